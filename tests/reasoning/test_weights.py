"""Weights of evidence: Good 1950, on the published network of Lauritzen & Spiegelhalter 1988."""

import pytest

from footring.reasoning.weights import LIMIT_DB, weight_db, weight_words

# P(lung) of the chest-clinic network before, after dyspnoea, after both; published marginals .055 and the exact ones.
# Source: Lauritzen & Spiegelhalter 1988, JRSS B 50:157-224; decibans computed apart. Status: opened (marginals).
CHAIN = [(0.055, 0.055, 0.0), (0.055, 0.0995253, 2.785303), (0.0995253, 0.444271, 8.593228)]


@pytest.mark.parametrize(("before", "after", "decibans"), CHAIN)
def test_decibans_of_a_published_network(before, after, decibans):
    assert weight_db(after, before) == pytest.approx(decibans, abs=2e-4)


def test_weights_of_a_chain_add_up_to_the_final_odds():
    steps = [weight_db(0.5, 0.2), weight_db(0.9, 0.5)]
    assert sum(steps) == pytest.approx(weight_db(0.9, 0.2))


def test_no_infinities():
    assert weight_db(1.0, 0.1) == LIMIT_DB
    assert weight_db(0.0, 0.1) == -LIMIT_DB
    assert weight_db(0.0, 0.0) == 0.0


@pytest.mark.parametrize(
    ("db", "words"),
    [
        (0.0, "says next to nothing"),
        (1.5, "1.4 times more likely"),
        (-20, "100 times less likely"),
        (33, "2,000 times more likely"),
    ],
)
def test_words(db, words):
    assert weight_words(db) == words
