"""Dawid and Skene's EM, against two independent implementations on their own patients, and a slow twin.

The ratings were read in two public transcriptions (`opened`); they differ in one rating. The paper itself could not
be opened, so its printed estimates are not asserted: what is compared was computed elsewhere from the same ratings.
"""

import csv
from itertools import product
from math import log, prod
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from footring.reasoning.dawid_skene import dawid_skene
from footring.terms.errors import BadInput

PUBLISHED = Path(__file__).parents[1] / "published"


def table(name):
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


RATINGS = table("dawid_skene_ratings.csv")
COMPUTED = table("dawid_skene_computed.csv")
VARIANTS = sorted({row["patient7"] for row in COMPUTED})


def patients(patient_7):
    counts = np.zeros((45, 5, 4))
    told = dict(enumerate(patient_7.split(","), 1))
    for row in RATINGS:
        patient, observer, occasion, rating = (int(row[c]) for c in ("patient", "observer", "occasion", "rating"))
        if (patient, observer) == (7, 1):
            rating = int(told[occasion])
        counts[patient - 1, observer - 1, rating - 1] += 1
    return counts


def test_the_ratings_are_all_there():
    assert len(RATINGS) == 315 and all(row["status"].startswith("opened") for row in RATINGS)
    assert [row["key"] for row in RATINGS if row["status"] != "opened"] == ["DS07-12"]
    assert patients("1,2,2").sum(axis=(0, 2)).tolist() == [135, 45, 45, 45, 45]


@pytest.mark.parametrize("variant", VARIANTS)
def test_the_patients_as_two_others_compute_them(variant):
    found = dawid_skene(patients(variant), tolerance=1e-13)
    rows = [row for row in COMPUTED if row["patient7"] == variant]
    assert len(rows) == 4 + 5 * 16 + 45 * 4 + 1
    for row in rows:
        what, *at = row["what"].split()
        place = tuple(int(k) - 1 for k in at if k.isdigit())
        ours = {
            "prevalence": lambda p=place: found.prevalence[p],
            "rate": lambda p=place: found.error_rates[p],
            "posterior": lambda p=place: found.posterior[p],
            "log": lambda: found.log_likelihood,
        }[what]()
        assert ours == pytest.approx(float(row["value"]), abs=float(row["tolerance"])), row["key"]


def slow(counts, steps):
    """The formulas of the paper's section 2, one sum and product at a time."""
    things, observers, grades = (range(n) for n in np.shape(counts))
    truth = [[sum(counts[i][j][q] for j in observers) for q in grades] for i in things]
    truth = [[x / sum(row) for x in row] for row in truth]
    for _ in range(steps):
        share = [sum(truth[i][q] for i in things) / len(things) for q in grades]
        said = {
            (j, q, s): sum(truth[i][q] * counts[i][j][s] for i in things)
            for j, q, s in product(observers, grades, grades)
        }
        whole = {(j, q): sum(said[j, q, s] for s in grades) for j, q in product(observers, grades)}
        rate = {(j, q, s): x / whole[j, q] if whole[j, q] else 1 / len(grades) for (j, q, s), x in said.items()}
        mass = [
            [share[q] * prod(rate[j, q, s] ** counts[i][j][s] for j, s in product(observers, grades)) for q in grades]
            for i in things
        ]
        truth = [[x / sum(row) for x in row] for row in mass]
    return share, truth, sum(log(sum(row)) for row in mass)


RATED = arrays(np.int64, (4, 3, 3), elements=st.integers(0, 3)).filter(lambda a: (a.sum(axis=(1, 2)) > 0).all())


@given(RATED)
def test_like_the_slow_twin(counts):
    found = dawid_skene(counts, tolerance=-np.inf, most=7)
    share, truth, likelihood = slow(counts.tolist(), 7)
    assert np.allclose(found.prevalence, share, atol=1e-9)
    assert np.allclose(found.posterior, truth, atol=1e-7)
    assert found.log_likelihood == pytest.approx(likelihood, abs=1e-7)


@given(RATED, st.permutations(range(4)), st.permutations(range(3)))
def test_no_order_matters(counts, things, observers):
    found, other = dawid_skene(counts, most=5), dawid_skene(counts[things][:, observers], most=5)
    assert np.allclose(found.posterior[things], other.posterior, atol=1e-9)
    assert np.allclose(found.error_rates[observers], other.error_rates, atol=1e-9, equal_nan=True)


@given(RATED)
def test_probabilities_sum_to_one_and_a_thing_nobody_graded_has_the_prevalence(counts):
    found = dawid_skene(np.concatenate([counts, np.zeros((1, 3, 3))]), tolerance=-np.inf, most=5)
    before = dawid_skene(counts, tolerance=-np.inf, most=5)
    assert np.allclose(found.posterior.sum(axis=1), 1)
    assert np.allclose(found.posterior[-1], found.prevalence)
    assert np.allclose(found.posterior[:-1], before.posterior)


def test_a_grade_an_observer_was_never_shown_has_no_rate():
    found = dawid_skene([[[2, 0], [0, 0]], [[0, 2], [0, 2]]])
    assert np.isnan(found.error_rates[1, 0]).all()
    assert found.error_rates[1, 1].tolist() == [0, 1]


@pytest.mark.parametrize(
    ("counts", "says"),
    [
        ([[1, 2], [3, 4]], r"shape \(things, observers, grades\) were expected, given shape \(2, 2\)"),
        (np.zeros((2, 2, 2)), "not all of them zero"),
        (np.full((2, 2, 2), -1), "numbers of zero or more"),
        (np.full((2, 2, 2), np.nan), "numbers of zero or more"),
    ],
)
def test_what_cannot_be_used(counts, says):
    with pytest.raises(BadInput, match=says):
        dawid_skene(counts)
