"""The oracle's chances are what really happens: 20,000 pieces of a tiny world, and pieces of the invented pottery.

Where a piece's chances are p, the truth is v with chance p[v]; sums over independent pieces are near normal, so no
sum lies further than four or five standard deviations off. The law is the test: nothing of Footring's is compared with.
"""

from dataclasses import replace

import numpy as np
import pytest

from footring.demo.oracle import Oracle
from footring.demo.parameters import Parameters
from footring.demo.readers import vocabularies
from footring.demo.reading_off import meet
from footring.demo.ware import draw_world
from tests.simulated.tiny import TINY

BARE = replace(TINY, looks=0.25, seed=8)


def asked(parameters, pieces, **wrong):
    world = draw_world(parameters)
    found = meet(world, vocabularies(parameters, world.things), np.random.default_rng(11), pieces)
    believed = replace(parameters, **wrong)
    oracle = Oracle(replace(world, p=believed), vocabularies(believed, world.things))
    weighed = [oracle.weigh(read, int(reader)) for read, reader in zip(found.readings, found.reader, strict=True)]
    p = np.array([np.append(cells, outside) for cells, outside in weighed])
    return oracle, found, p / p.sum(axis=1, keepdims=True)


def far_off(p, truth):
    """Standard deviations between what was foretold and what is: for each value, and for the chance of the truth."""
    one = np.eye(p.shape[1])[truth]
    spread = (p * (1 - p)).sum(axis=0)
    by_value = (one - p).sum(axis=0)[spread > 5] / np.sqrt(spread[spread > 5])
    given, mean = (one * p).sum(axis=1), (p**2).sum(axis=1)
    sharp = (given - mean).sum() / np.sqrt(((p**3).sum(axis=1) - mean**2).sum())
    log = np.log(np.maximum(p, 1e-300))
    entropy, told = (p * log).sum(axis=1), (one * log).sum(axis=1)
    lost = (told - entropy).sum() / np.sqrt(((p * log**2).sum(axis=1) - entropy**2).sum())
    return by_value, sharp, lost


def attribute(oracle, p, truth, values):
    """Chances of an attribute's values, the last being outside."""
    many = int(values.max()) + 1
    of = np.concatenate([p[:, :-1] @ np.eye(many)[values], p[:, -1:]], axis=1)
    return of, np.where(truth < 0, many, values[truth])


@pytest.mark.slow
@pytest.mark.parametrize(
    ("parameters", "pieces"), [(TINY, 20_000), (BARE, 20_000), (Parameters(), 3_000)], ids=["tiny", "bare", "whole"]
)
def test_frequencies_are_the_oracles_chances(parameters, pieces):
    oracle, found, p = asked(parameters, pieces)
    names = {"line": oracle.line, "form": oracle.form, "glaze": oracle.glaze, "decoration": oracle.decoration}
    for name, values in (names | {"cell": np.arange(len(oracle.line))}).items():
        by_value, sharp, lost = far_off(*attribute(oracle, p, found.cell, values))
        assert np.abs(by_value).max() < 4.5, name
        assert abs(sharp) < 4 and abs(lost) < 4, name


@pytest.mark.slow
def test_outside_and_unrecorded_come_as_often_as_said_at_every_height():
    oracle, found, p = asked(TINY, 20_000)
    recorded = np.random.default_rng(1).random(len(oracle.line)) < 0.7
    said = {"outside": (p[:, -1], found.cell < 0)}
    said["unrecorded"] = p[:, :-1][:, ~recorded].sum(axis=1), (found.cell >= 0) & ~recorded[found.cell]
    for name, (chance, is_so) in said.items():
        order = np.argsort(chance)
        for part in np.array_split(order, 10):
            spread = np.sqrt((chance[part] * (1 - chance[part])).sum())
            assert abs((is_so[part] - chance[part]).sum()) < 4 * spread + 1, name


@pytest.mark.slow
@pytest.mark.parametrize("wrong", [{"misread": 0.3}, {"colour_noise": 1.0}, {"outside_share": 0.05}])
def test_an_oracle_that_is_wrong_is_found_out(wrong):
    oracle, found, p = asked(TINY, 30_000, **wrong)
    by_value, sharp, lost = far_off(*attribute(oracle, p, found.cell, np.arange(len(oracle.line))))
    assert max(np.abs(by_value).max(), abs(sharp), abs(lost)) > 4.5
