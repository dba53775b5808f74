from __future__ import annotations

import pickle

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.rows import TABLES, RowTable, coded
from footring.rows.collection import Channel
from footring.rows.reference_things import Glaze, Maker
from footring.terms.errors import BadInput, UnknownName

from .strategies import tables_of_rows


@settings(max_examples=150, deadline=None)
@given(tables_of_rows())
def test_rows_come_back_as_they_went_in(drawn) -> None:
    spec, rows = drawn
    table = RowTable.from_rows(spec, rows)
    assert len(table) == len(rows)
    assert list(table.rows()) == rows
    assert [table.row(i) for i in range(len(rows))] == rows
    again = RowTable.from_columns(spec, {c.name: table.column(c.name).tolist() for c in spec.columns})
    assert again == table and pickle.loads(pickle.dumps(table)) == table


@settings(max_examples=100, deadline=None)
@given(tables_of_rows(), st.data())
def test_concat_and_take_are_those_of_lists(drawn, data) -> None:
    spec, rows = drawn
    cut = data.draw(st.integers(0, len(rows)))
    whole = RowTable.from_rows(spec, rows)
    parts = [RowTable.from_rows(spec, rows[:cut]), RowTable.from_rows(spec, rows[cut:])]
    assert RowTable.concat(parts) == whole
    order = data.draw(st.permutations(range(len(rows))))
    assert list(whole.take(np.array(order, int)).rows()) == [rows[i] for i in order]
    assert RowTable.concat([whole.take(slice(0, cut)), whole.take(slice(cut, None))]) == whole
    if rows:
        assert whole != whole.take(slice(1, None))


def test_arrays_are_read_only_and_copied() -> None:
    across = np.array([101.5, np.nan])
    table = RowTable.from_columns(TABLES["sizes"], {"id": ["a", "b"], "form": ["f", "f"], "across_mm": across})
    across[0] = 0
    assert table.column("across_mm").tolist() == [101.5, None]
    assert table.column("across_mm").known.tolist() == [True, False]
    for name in ("id", "across_mm", "private"):
        with pytest.raises(ValueError, match="read-only"):
            table.column(name).values[0] = 1
    with pytest.raises(ValueError, match="read-only"):
        table.column("id").vocabulary[0] = "c"
    with pytest.raises(AttributeError, match="is not changed"):
        table.spec = TABLES["forms"]


def test_arrays_of_every_kind_are_taken_as_they_are() -> None:
    spec = TABLES["claims"]
    columns = {
        "id": coded(np.array([1, 0]), ["a", "b"]),
        "subject": np.array(["x", None], object),
        "property": np.array(["p", "q"]),
        "handled": np.array([3, 4], np.int16),
        "hours": np.array([1, 2]),
        "private": np.array([True, False]),
    }
    table = RowTable.from_columns(spec, columns)
    assert table.column("id").tolist() == ["b", "a"]
    assert [table.column(n).tolist() for n in ("subject", "property", "handled", "hours", "private")] == [
        ["x", None], ["p", "q"], [3, 4], [1.0, 2.0], [True, False]
    ]  # fmt: skip
    assert table.column("stance").tolist() == [None, None]


def test_the_order_of_a_vocabulary_is_no_difference() -> None:
    one = RowTable.from_columns(TABLES["makers"], {"id": coded(np.array([0, 1]), ["a", "b"])})
    other = RowTable.from_columns(TABLES["makers"], {"id": coded(np.array([2, 0]), ["b", "unused", "a"])})
    assert one == other
    assert one != RowTable.from_columns(TABLES["makers"], {"id": ["a", "c"]})
    assert one != RowTable.from_columns(TABLES["lines"], {"id": ["a", "b"]})


def test_unknown_is_none_and_never_false() -> None:
    table = RowTable.from_rows(TABLES["decorations"], [TABLES["decorations"].row_class("d", name="Heron")])
    assert table.column("over_glaze").tolist() == [None]
    assert table.column("over_glaze").values.tolist() == [-1]
    assert table.column("private").tolist() == [False]
    floats = RowTable.from_columns(TABLES["glazes"], {"id": ["g"], "lab_a": [float("nan")]})
    assert floats.row(0) == Glaze("g", name=None, lab_a=None)


@pytest.mark.parametrize(
    ("columns", "says"),
    [
        ({"id": ["a", "b"], "name": ["x"]}, "table makers: columns of one length .*'id': 2, 'name': 1"),
        ({"id": ["a", 4]}, "table makers, column id, row 1: 4 is not text; None stands for not known"),
        ({"private": [1]}, "table makers, column private, row 0: 1 is not True or False"),
    ],
)
def test_what_cannot_be_a_column_is_refused(columns, says) -> None:
    with pytest.raises(BadInput, match=says):
        RowTable.from_columns(TABLES["makers"], columns)


def test_what_cannot_be_a_table_is_refused() -> None:
    with pytest.raises(BadInput, match="table makers is made of Maker rows, and was given Channel"):
        RowTable.from_rows(TABLES["makers"], [Maker("m", name="x"), Channel("c", name="fair", selected=True)])
    with pytest.raises(UnknownName, match="table makers has no column 'nme'"):
        RowTable.from_columns(TABLES["makers"], {"nme": []})
    with pytest.raises(BadInput, match="column handled: a number too large"):
        RowTable.from_columns(TABLES["claims"], {"handled": [2**70]})
    with pytest.raises(BadInput, match=r"codes from 0 to 2 for 2 words; expected -1 \(not known\) to 1"):
        coded(np.array([0, 2]), ["a", "b"])
    with pytest.raises(BadInput, match="names a word twice"):
        coded(np.array([0, 1]), ["a", "a"])
    with pytest.raises(BadInput, match="column name holds str, and was given float"):
        sizes = RowTable.from_columns(TABLES["sizes"], {"across_mm": [1.0]})
        RowTable.from_columns(TABLES["makers"], {"name": sizes.column("across_mm")})
    with pytest.raises(BadInput, match="tables of one kind were expected, and these were given: none"):
        RowTable.concat([])
    with pytest.raises(IndexError, match="table makers has 0 rows, from 0; row 0 was asked for"):
        RowTable.from_rows(TABLES["makers"], []).row(0)
