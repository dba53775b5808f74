"""Entropy, expected information and weights of evidence on the chest-clinic network.

Source: Lauritzen & Spiegelhalter 1988, JRSS B 50:157-224, its structure and tables. The values in chest_clinic.csv are
from an exact enumeration made apart; rows `opened` are marginals that the article prints.
"""

import csv
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from footring.reasoning.information import entropy_bits, information_bits
from footring.reasoning.weights import weight_db

ROWS = list(csv.DictReader(Path(__file__).with_name("chest_clinic.csv").read_text(encoding="utf-8").splitlines()))
NAMES = ("asia", "tub", "smoke", "lung", "bronc", "either", "xray", "dysp")


def _chance(s):
    """Probability of one state of everything."""
    p = {
        "asia": 0.01,
        "tub": 0.05 if s["asia"] else 0.01,
        "smoke": 0.5,
        "lung": 0.1 if s["smoke"] else 0.01,
        "bronc": 0.6 if s["smoke"] else 0.3,
        "either": float(s["tub"] or s["lung"]),
        "xray": 0.98 if s["either"] else 0.05,
        "dysp": (0.9 if s["either"] else 0.8) if s["bronc"] else (0.7 if s["either"] else 0.1),
    }
    return np.prod([p[name] if s[name] else 1.0 - p[name] for name in NAMES])


STATES = [dict(zip(NAMES, bits, strict=True)) for bits in product((True, False), repeat=8)]
CHANCE = np.array([_chance(state) for state in STATES])


def _p(name, given):
    """p(name = yes | given)."""
    here = np.array([all(state[g] == v for g, v in given.items()) for state in STATES])
    yes = np.array([state[name] for state in STATES])
    return float(CHANCE[here & yes].sum() / CHANCE[here].sum())


def _given(text):
    pairs = (part.partition("=") for part in text.split(",") if part)
    return {name: value != "no" for name, _, value in pairs}


def _pair(p):
    return np.array([p, 1.0 - p])


def _rows(kind):
    return [pytest.param(row, id=row["key"]) for row in ROWS if row["kind"] == kind]


@pytest.mark.parametrize("row", _rows("posterior"))
def test_the_enumeration_here_is_that_of_the_table(row):
    assert _p(row["target"], _given(row["given"])) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", _rows("entropy"))
def test_entropy(row):
    found = entropy_bits(_pair(_p(row["target"], _given(row["given"]))))
    assert found == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", _rows("gain"))
def test_expected_information(row):
    given, target = _given(row["given"]), row["target"]
    prior = _pair(_p(target, given))
    likelihood = np.array(
        [_pair(_p(row["by"], given | {target: is_}) if p else 0.5) for p, is_ in zip(prior, (True, False), strict=True)]
    )
    assert information_bits(prior, likelihood) == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))


@pytest.mark.parametrize("row", _rows("decibans"))
def test_weights_of_evidence(row):
    before = {name: True for name in row["given"].split(",") if name}
    found = weight_db(_p(row["target"], before | {row["by"]: True}), _p(row["target"], before))
    assert found == pytest.approx(float(row["value"]), abs=float(row["tolerance"]))
