"""What answers are made of."""

import numpy as np
import pytest

from footring.reasoning.calibration.answers import (
    FLOOR,
    MOST_CELLS,
    Answers,
    answers,
    in_parts,
    joint_answers,
    together,
    truths,
)
from footring.reasoning.calibration.simulated import JOINT
from tests.reasoning.calibration.pottery import CELLS


def test_a_truth_without_a_column_gets_the_floor_and_is_not_right():
    found = answers(np.array([[0.2, 0.8], [0.6, 0.4]]), np.array([-1, 0]))
    assert np.exp(found.log_p) == pytest.approx([FLOOR, 0.6])
    assert found.first_p.tolist() == [0.8, 0.6] and found.right.tolist() == [False, True]


def test_probabilities_a_rounding_above_one_are_one():
    assert joint_answers([1.0], [1.0 + 1e-12], [True]).first_p.tolist() == [1.0]


def test_answers_in_parts_are_answers_together():
    p, truth = np.random.default_rng(1).dirichlet(np.ones(3), 7), np.array([0, 1, 2, -1, 0, 1, 2])
    whole = answers(p, truth)
    parts = together(answers(p[part], truth[part]) for part in (slice(0, 3), slice(3, 7)))
    for name in Answers.__slots__:
        assert np.array_equal(getattr(whole, name), getattr(parts, name))
    assert whole.only(truth == 2).right.tolist() == whole.right[[2, 6]].tolist()


@pytest.mark.parametrize(("pieces", "values"), [(0, 3), (1, 3), (10, 4_000_001), (103, 1_000_000), (5, 0)])
def test_parts_hold_every_piece_once_and_never_too_many(pieces, values):
    parts = list(in_parts(pieces, values))
    assert [i for part in parts for i in range(pieces)[part]] == list(range(pieces)) and parts
    assert all((part.stop - part.start) * values <= max(MOST_CELLS, values) for part in parts)


def test_truths_are_rows_of_the_reference(world):
    rows, inside = truths(world), np.flatnonzero(~world.outside)
    for k, (name, table) in enumerate(
        zip(JOINT, ("lines", "forms", "bodies", "glazes", "decorations", "trims"), strict=True)
    ):
        ids = world.reference.tables[table].text("id").tolist()
        assert [ids[row] for row in rows[:, k].tolist()] == [world.truth[f"{name}_id"][i] for i in inside]
    assert truths(world.only(world.outside)).shape == (0, CELLS.shape[1])
