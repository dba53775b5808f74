"""Whole cells from probabilities of their parts, worked out by hand."""

import numpy as np
import pytest

from footring.reasoning.calibration.recorded_cells import PARTS, over_cells
from footring.reasoning.calibration.smoothing import Smoothing
from footring.reasoning.calibration.training import held_out
from tests.reasoning.calibration.pottery import CELLS, SIZES, lay

ROWS = [{"form": f"f{cell[1]}"} for cell in CELLS[:2]] * 4
TRUTH = np.tile(CELLS[:2], (4, 1))


def even(pieces):
    return {name: np.full((pieces, size), 1 / size) for name, size in zip(PARTS, SIZES[1:], strict=True)}


def sure(truth, p):
    """So sure of every part, the rest shared out."""
    found = {}
    for k, (name, size) in enumerate(zip(PARTS, SIZES[1:], strict=True), 1):
        found[name] = np.full((len(truth), size), (1 - p) / max(size - 1, 1))
        found[name][np.arange(len(truth)), truth[:, k]] = p if size > 1 else 1.0
    return found


def fixed(monkeypatch, temperature, share):
    monkeypatch.setattr(
        "footring.reasoning.calibration.recorded_cells.fit_to_truths", lambda *_: Smoothing(temperature, share)
    )


def test_of_two_cells_met_often_each_is_as_likely_as_its_product(monkeypatch):
    """Form 0.7 to 0.2, all else alike: 7 to 2. Nothing was met once, so nothing is kept for new cells."""
    fixed(monkeypatch, 1.0, 0.0)
    data, asked = lay(ROWS, TRUTH, [{}]), even(1)
    asked["form"] = np.array([[0.7, 0.2, 0.05, 0.05]])
    found = over_cells(even(2), asked, data, CELLS[:1])
    assert np.exp(found.log_p) == pytest.approx([7 / 9]) and found.first_p == pytest.approx([7 / 9])
    assert found.right.tolist() == [True]


def test_temperature_flattens(monkeypatch):
    fixed(monkeypatch, 2.0, 0.0)
    asked = even(1) | {"form": np.array([[0.7, 0.2, 0.05, 0.05]])}
    found = over_cells(even(2), asked, lay(ROWS, TRUTH, [{}]), CELLS[:1])
    assert np.exp(found.log_p) == pytest.approx([7**0.5 / (7**0.5 + 2**0.5)])


def test_a_new_cell_gets_its_product_of_what_is_kept_for_new_ones(monkeypatch):
    """One piece of nine is the only one of its cell: 1/9 goes to the product, 1/4 x 1 x 1/3 x 1/3 x 1/2."""
    fixed(monkeypatch, 1.0, 0.0)
    data = lay([*ROWS, {}], [*TRUTH, CELLS[2]], [{}, {}])
    found = over_cells(even(2), even(2), data, CELLS[[3, 0]])
    apart = 1 / 72
    assert np.exp(found.log_p) == pytest.approx([apart / 9, 8 / 9 / 3 + apart / 9])
    assert not found.right[0]


def test_a_truth_the_reference_does_not_hold_is_never_right(monkeypatch):
    fixed(monkeypatch, 1.0, 0.0)
    truth = CELLS[:1].copy()
    truth[0, 3] = -1
    found = over_cells(even(2), even(1), lay(ROWS, TRUTH, [{}]), truth)
    assert found.log_p[0] < np.log(1e-9) and not found.right[0]


def test_the_temperature_is_fitted_on_pieces_held_out():
    """What was right of them makes for sure answers, what was wrong for even ones."""
    data, asked = lay(ROWS, TRUTH, [{}]), sure(CELLS[:1], 0.7)
    _, out = held_out(data.known)
    wrong = np.where((out.truth == CELLS[0]).all(axis=1)[:, None], CELLS[1], CELLS[0])
    trusted, doubted = (over_cells(sure(truth, 0.7), asked, data, CELLS[:1]) for truth in (out.truth, wrong))
    assert np.exp(trusted.log_p[0]) > 0.9 > 0.6 > np.exp(doubted.log_p[0])
