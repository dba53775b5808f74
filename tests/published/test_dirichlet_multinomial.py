"""Shares that lean on a parent, without a discount, against the Dirichlet-multinomial.

Values in dirichlet_multinomial.csv: concentrations 1, 1, 1, 0.5 and counts 6, 2, 0, 1; the chance of what is met next.
Other chances are held to scipy.stats (dirichlet_multinomial, betabinom).
"""

import csv
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from footring.reasoning.shares import _lean, _level

ROWS = list(
    csv.DictReader(Path(__file__).with_name("dirichlet_multinomial.csv").read_text(encoding="utf-8").splitlines())
)
ALPHA, COUNTS = np.array([1.0, 1.0, 1.0, 0.5]), np.array([6.0, 2.0, 0.0, 1.0])


def _leaning(counts, alpha):
    return _lean(counts, alpha / alpha.sum(), alpha.sum())


def _levelled(counts, alpha):
    own, rest = _level(counts, np.zeros(len(counts), np.int32), 1, alpha.sum(), 0.0)
    return own + rest[0] * alpha / alpha.sum()


def _chance(share, counts, alpha, met):
    """Of meeting so many of each, in any order, one after the other."""
    draws = [thing for thing, times in enumerate(met) for _ in range(times)]
    total = 0.0
    for order in set(permutations(draws)):
        seen, p = np.array(counts), 1.0
        for thing in order:
            p *= share(seen, alpha)[thing]
            seen[thing] += 1.0
        total += p
    return total


@pytest.mark.parametrize("share", [_leaning, _levelled])
@pytest.mark.parametrize("row", ROWS, ids=[row["key"] for row in ROWS])
def test_what_is_met_next(row, share):
    met = [int(times) for times in row["met"].split()]
    expected = pytest.approx(float(row["value"]), abs=float(row["tolerance"]))
    assert _chance(share, COUNTS, ALPHA, met) == expected


@pytest.mark.parametrize("share", [_leaning, _levelled])
@pytest.mark.parametrize("seed", range(5))
def test_what_is_met_next_beside_scipy(seed, share):
    dice = np.random.default_rng(seed)
    alpha, counts = dice.gamma(1.0, 2.0, 4) + 0.01, dice.poisson(3.0, 4).astype(float)
    met = dice.multinomial(4, [0.4, 0.3, 0.2, 0.1])
    expected = stats.dirichlet_multinomial(alpha + counts, 4).pmf(met)
    assert _chance(share, counts, alpha, met.tolist()) == pytest.approx(float(expected), rel=1e-9)


def test_never_met_so_far_turns_up_in_the_next_five():
    """0.303030303030303: 1 less the chance that the third, of which none was met, stays away five times."""
    away, seen = 1.0, COUNTS.copy()
    for _ in range(5):
        away *= 1.0 - _leaning(seen, ALPHA)[2]
        seen[0] += 1.0
    assert 1.0 - away == pytest.approx(0.303030303030303, abs=1e-9)
    assert 1.0 - away == pytest.approx(1.0 - stats.betabinom(5, 1.0, 11.5).pmf(0), abs=1e-9)
