"""The other methods on a tiny factory."""

from dataclasses import replace

import numpy as np
import pytest

from footring.reasoning.calibration import classifiers, comparisons
from footring.reasoning.calibration.answers import ATTRIBUTES
from footring.reasoning.calibration.comparisons import COUNTING, compare
from footring.reasoning.calibration.training import laid

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def compared(world):
    steps = []
    return compare(world, steps.append), steps


def test_three_methods_answer_every_piece_that_is_not_from_outside(world, compared):
    found, steps = compared
    assert list(found) == [COUNTING, "CategoricalNB", "HistGradientBoosting"]
    inside = (~world.outside).sum()
    for of in found.values():
        assert set(of) == set(ATTRIBUTES)
        assert all(one.log_p.shape == one.first_p.shape == one.right.shape == (inside,) for one in of.values())
    assert steps[0] == COUNTING and steps[-1] == "HistGradientBoosting, decoration"


def test_they_know_more_than_nothing_and_less_than_the_oracle(world, compared):
    """Even odds over what the reference has; and an oracle that knew how each piece came to be, beyond chance."""
    inside = ~world.outside
    for name, table in (("line", "lines"), ("form", "forms"), ("decoration", "decorations")):
        even = -np.log(len(world.reference.tables[table]))
        oracle = world.oracle[name].log_p[inside & ~world.selected]
        for of in compared[0].values():
            assert of[name].log_p.mean() > even
            less = oracle - of[name].log_p[~world.selected[inside]]
            assert less.mean() > -2 * less.std() / np.sqrt(len(less))


def test_all_at_once_is_no_likelier_than_its_form(compared):
    """A whole cell holds its form; probabilities of one model keep that order, here those of counting."""
    of = compared[0][COUNTING]
    assert (of["form"].right >= of["joint"].right).mean() > 0.9
    assert of["joint"].log_p.mean() < of["form"].log_p.mean()


def test_truth_is_used_only_to_score(world, compared):
    """The same answers, scored against other truths: first answers are as sure as before."""
    inside = np.flatnonzero(~world.outside)
    truth = {name: list(of) for name, of in world.truth.items()}
    for name in truth:
        if name.endswith("_id"):
            for i, j in zip(inside, np.roll(inside, 1), strict=True):
                truth[name][i] = world.truth[name][j]
    mixed = replace(world, truth={name: tuple(of) for name, of in truth.items()}, oracle={})
    again = compare(mixed)
    for method, of in compared[0].items():
        for name in ATTRIBUTES:
            assert again[method][name].first_p == pytest.approx(of[name].first_p)


def test_without_scikit_learn_counting_is_left(world, monkeypatch):
    monkeypatch.setattr(classifiers, "find_spec", lambda _: None)
    assert list(compare(world)) == [COUNTING]


def test_without_a_settled_piece_there_is_nothing_to_train_on(world, monkeypatch):
    data = laid(world)
    monkeypatch.setattr(comparisons, "laid", lambda _: replace(data, known=data.known.at(np.array([], np.int64))))
    assert compare(world) == {}
