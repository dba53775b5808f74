"""Counting the matches, worked out by hand on four cells."""

import numpy as np
import pytest
from scipy.special import softmax

from footring.reasoning.calibration.answers import FLOOR
from footring.reasoning.calibration.count_matches import Checklist, count_matches, fit_counting
from footring.reasoning.calibration.training import held_out
from tests.reasoning.calibration.pottery import CELLS, lay, read, reference


@pytest.mark.parametrize(
    ("given", "fits"),
    [
        ({"line": "Wherry"}, [0, 0, 1, 1]),
        ({"form": "Wherry plate"}, [0, 0, 0, 1]),
        ({"form": "plate"}, [0, 1, 0, 1]),
        ({"form": "Covered dish"}, [1, 0, 1, 0]),
        ({"glaze": "Withy green"}, [1, 0, 1, 0]),
        ({"glaze": "no such glaze"}, [0, 0, 0, 0]),
        ({"decoration": "the heron"}, [1, 0, 0, 1]),
        ({"trim": "Green edge"}, [0, 0, 1, 0]),
        ({"mark": "WHERRY WARE"}, [0, 0, 1, 1]),
        ({"mark": "none"}, [0, 0, 0, 0]),
        ({"number": "417"}, [2, 0, 2, 1]),  # what it stands for, on its own line and on the other
        ({"numeral": "9 M"}, [1, 0, 0, 1]),
        ({"across": "200 mm"}, [1, 0, 1, 0]),  # 204 mm lies within 3 %
        ({"across": "185 mm"}, [0, 1, 0, 0]),
        ({"height": "91 mm"}, [1, 0, 0, 0]),
        ({"feature": "rim: a ledge inside"}, [1, 0, 0, 0]),
        ({"feature": "rim: smooth"}, [0, 0, 1, 0]),
        ({"feature": "foot: smooth"}, [0, 0, 0, 0]),
        ({"technique": "painting"}, [0, 0, 1, 0]),
        ({"effect": "matt"}, [0, 1, 0, 0]),
        ({"trade_size": "24s"}, [0, 0, 0, 0]),
        ({"line": "Ormsley", "form": "plate", "across": "250 mm"}, [1, 3, 0, 1]),
        ({}, [0, 0, 0, 0]),
    ],
)
def test_what_fits_counts_one(given, fits):
    assert Checklist(reference(), CELLS).matches([read(**given)]).tolist() == [fits]


def test_counts_of_several_pieces_are_those_of_each():
    rows = [read(line="Wherry", across="200 mm"), read(), read(number="417")]
    checklist = Checklist(reference(), CELLS)
    assert checklist.matches(rows).tolist() == [
        Checklist(reference(), CELLS).matches([row])[0].tolist() for row in rows
    ]


def test_what_makes_held_out_pieces_likeliest():
    """Two cells, one match apart, the better one right 3 times of 4: it gets three quarters."""
    same = np.array([[True, False]] * 3 + [[False, True]])
    found = fit_counting(np.array([[1.0, 0.0]] * 4), same, 2)
    better = softmax(np.array([1.0, 0.0]) / found.temperature)[0]
    assert (1 - found.share) * better + found.share / 2 == pytest.approx(0.75, abs=0.001)


def test_answers_by_hand():
    """Settled: one piece of each cell but the last, twice. What is asked matches the first cell twice, others once."""
    truth = np.repeat(CELLS[:3], 2, axis=0)
    rows = [read(line=line, form=form) for line, form in
            (("Ormsley", "Oval covered dish"), ("Ormsley", "Ormsley plate"), ("Wherry", "Round covered dish")) for _ in "ab"]  # fmt: skip
    data = lay(rows, truth, [read(line="Ormsley", form="covered dish")])
    of = count_matches(reference(), data, CELLS[:1], ("line", "form"))
    smoothing = _fitted(data)
    p = softmax(np.array([2.0, 1.0, 1.0]) / smoothing.temperature)
    share = smoothing.share
    assert np.exp(of["joint"].log_p[0]) == pytest.approx((1 - share) * p[0] + share / data.combinations)
    assert of["joint"].first_p[0] == pytest.approx((1 - share) * p[0] + share / data.combinations)
    assert all(found.right.all() for found in of.values())
    assert np.exp(of["line"].log_p[0]) > np.exp(of["form"].log_p[0]) > 0.5


def _fitted(data):
    kept, held = held_out(data.known)
    cells = np.unique(kept.truth, axis=0)
    same = (held.truth[:, None, :] == cells[None]).all(axis=2)
    return fit_counting(Checklist(reference(), cells).matches(held.rows), same, data.combinations)


def test_a_cell_nobody_settled_gets_the_floor_alone():
    data = lay([read(line="Ormsley")] * 8, np.repeat(CELLS[:2], 4, axis=0), [read(line="Wherry"), read(line="Ormsley")])
    of = count_matches(reference(), data, CELLS[[2, 0]], ("form",))
    p = np.exp(of["joint"].log_p)
    assert FLOOR < p[0] < 0.4 / data.combinations + 1e-9 < p[1]
    assert not of["joint"].right[0]


def test_many_pieces_are_counted_a_part_at_a_time(monkeypatch):
    data = lay([read(line="Ormsley"), read(line="Wherry")] * 4, CELLS[[0, 2] * 4], [read(line="Wherry"), read()] * 5)
    truth = CELLS[[2, 0] * 5]
    whole = count_matches(reference(), data, truth, ("form",))
    monkeypatch.setattr("footring.reasoning.calibration.answers.MOST_CELLS", 6)
    parts = count_matches(reference(), data, truth, ("form",))
    assert all(np.array_equal(whole[name].log_p, parts[name].log_p) for name in whole)
    assert all(np.array_equal(whole[name].right, parts[name].right) for name in whole)
