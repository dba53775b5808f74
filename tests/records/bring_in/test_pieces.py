"""Rows of somebody's own spreadsheet become pieces; what cannot be read is told by its cell."""

import pytest

from footring.marks.readings import NAMES
from footring.packs.headings import Column, columns_of
from footring.packs.plain_sheet import PlainSheet
from footring.records.bring_in.pieces import read_pieces, rows_of, value_of


def sheet(heading, *rows):
    return PlainSheet("s", tuple(heading), [tuple(row) for row in rows], list(range(2, 2 + len(rows))))


def read(of, fixes=None, columns=None):
    return read_pieces(of, columns or columns_of(of, NAMES), fixes)


def test_a_row_becomes_a_piece_with_its_parts_readings_and_the_day_it_was_met_on():
    of = sheet(
        ["id", "name", "form", "glaze", "lid.glaze", "across (mm)", "place", "met on"],
        ["Q-17", "Hotel dish", "covered dish ~0.7", "none", "Clear", "184", "Shelf 3", "12/5/2019"],
    )
    rows = list(rows_of(read(of).pieces, {"shelf 3": "p"}))
    assert [(row.TABLE, row.id) for row in rows] == [
        ("pieces", "home.Q-17"), ("parts", "home.Q-17.lid"), ("encounters", "home.Q-17.met"),
        ("readings", "home.Q-17.form"), ("readings", "home.Q-17.glaze"), ("readings", "home.Q-17.lid.glaze"),
        ("readings", "home.Q-17.across"),
    ]  # fmt: skip
    piece, _, met, form, glaze, lid, across = rows
    assert (piece.name, piece.place, met.met) == ("Hotel dish", "p", "2019-05-12")
    assert (form.value, form.sure, glaze.absent, glaze.value) == ("covered dish", 0.7, True, None)
    assert (lid.part, across.value) == ("home.Q-17.lid", "184 mm")


def test_the_same_row_is_the_same_piece_and_one_that_stands_twice_is_two():
    first = read(sheet(["form", "line"], ["plate", "A"], ["plate", "A"], ["bowl", "A"])).pieces
    later = read(sheet(["form", "line"], ["bowl", "A"], ["plate", "A"], ["cup", "A"])).pieces
    assert len({piece.id for piece in first}) == 3
    assert [piece.id in {p.id for p in first} for piece in later] == [True, True, False]


def test_ids_that_would_stand_badly_in_an_address_stay_apart():
    ids = [piece.id for piece in read(sheet(["id", "form"], ["3/417", "a"], ["3-417", "a"], ["3 417", "a"])).pieces]
    assert len(set(ids)) == 3 and not any(set(id_) & set("/ ?#%") for id_ in ids)


@pytest.mark.parametrize(
    ("column", "cell", "says"),
    [
        (Column("across"), "184", "no unit"),
        (Column("across", "mm"), "big", "not a number with a unit"),
        (Column("height", "in"), "99", "over 2000 mm"),
        (Column("capacity"), "1 pt", "differs between countries"),
        (Column("made"), "long ago", "not understood"),
        (Column("mark_kind"), "wobbly", "wobbly"),
        (Column("number"), "1941-03-01", "a date"),
        (Column("met", "day first"), "4/30/2019", "no such day"),
        (Column("met"), "once", "not understood"),
    ],
)
def test_what_cannot_be_read_is_told(column, cell, says):
    value, fault = value_of(column, cell)
    assert value is None and says in fault and repr(cell)[1:-1] in fault


def test_a_row_with_a_fault_is_left_out_until_it_is_mended():
    of = sheet(["form", "across", "met"], ["plate", "184", ""], ["bowl", "8 in", "5/2019"], ["", "", ""])
    found = read(of)
    assert [(f.line, f.column, f.heading, f.given) for f in found.faults] == [(2, 2, "across", "184"), (4, 0, "", "")]
    mended = read(of, {"2:2": "184 mm"})
    assert len(mended.pieces) == 2 and mended.pieces[1].id == found.pieces[0].id
    emptied = read(of, {"2:2": ""})
    assert [r.name for r in emptied.pieces[0].readings] == ["form"]


def test_an_own_number_that_stands_twice_is_told():
    found = read(sheet(["id", "form"], ["1", "cup"], ["1", "bowl"]))
    assert [(f.line, f.column, f.given) for f in found.faults] == [(3, 1, "1")] and len(found.pieces) == 1
    assert "stands in another row too" in found.faults[0].says


@pytest.mark.parametrize(
    ("order", "day"), [("day first", "2019-05-06"), ("month first", "2019-06-05"), ("", "2019-05-06")]
)
def test_days_are_read_in_the_order_that_was_chosen(order, day):
    assert value_of(Column("met", order), "6/5/2019") == (day, "")
    assert value_of(Column("met", order), "2019-05-06T00:00:00") == ("2019-05-06", "")
    assert value_of(Column("met", order), "5/2019") == ("2019-05", "")
    assert value_of(Column("met", order), "May 2019") == ("2019-05", "")
