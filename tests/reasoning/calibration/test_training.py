"""Training pieces, and what is held out of them."""

import numpy as np
import pytest

from footring.reasoning.calibration.simulated import JOINT
from footring.reasoning.calibration.training import MOST_HELD_OUT, Pieces, distinct, held_out, laid, places
from footring.reasoning.piece_readings import settled_readings


def numbered(many):
    return Pieces([{"line": str(i)} for i in range(many)], np.arange(many))


@pytest.mark.parametrize(("many", "held"), [(1, 1), (2, 1), (8, 2), (200, 50), (10_000, MOST_HELD_OUT)])
def test_a_quarter_is_held_out_and_500_at_most(many, held):
    kept, out = held_out(numbered(many))
    assert len(out) == held and len(kept) == max(many - held, 1)
    assert {row["line"] for row in out.rows} == {str(i) for i in out.truth}
    if many > 1:
        assert sorted([*kept.truth, *out.truth]) == list(range(many))


def test_the_same_pieces_are_held_out_whatever_is_asked_of_them():
    one, other = held_out(numbered(40))[1], held_out(Pieces(numbered(40).rows, np.zeros(40, np.int64)))[1]
    assert one.rows == other.rows


def test_training_pieces_are_the_settled_ones_and_their_cells_those_of_the_pack(world):
    data, reference = laid(world), world.reference
    table = reference.tables["attributions"]
    assert len(data.known) == len(settled_readings(reference)) > 40
    said = {tuple(table.links[name][row] for name in JOINT) for row in settled_readings(reference)}
    assert {tuple(row) for row in data.known.truth.tolist()} == said
    assert len(data.asked) == (~world.outside).sum()
    assert data.sizes == tuple(
        len(reference.tables[t]) for t in ("lines", "forms", "bodies", "glazes", "decorations", "trims")
    )
    assert data.combinations == np.prod(data.sizes[1:]) and data.many("form") == data.sizes[1]
    assert data.of("glaze").truth.tolist() == data.known.truth[:, 3].tolist()


def test_test_pieces_are_no_training_pieces(world):
    """They were drawn apart: readings in full agree only where little was read."""
    data = laid(world)
    met = [row for row in data.known.rows if len(row) > 8]
    assert met and not [row for row in data.asked if row in met]


def test_distinct_rows_and_where_a_row_is_among_them():
    values, which = distinct(np.array([[2, 1], [0, 5], [2, 1]]))
    assert values.tolist() == [[0, 5], [2, 1]] and which.tolist() == [1, 0, 1]
    assert places(values, np.array([[2, 1], [2, 2]])).tolist() == [1, -1]
    assert places(values, np.empty((0, 2), np.int64)).tolist() == []
