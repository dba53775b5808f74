"""Columns are taken for what they hold by what stands over them, else by what stands in them."""

import pytest

from footring.marks.readings import NAMES
from footring.packs.headings import Column, columns_of
from footring.packs.plain_sheet import PlainSheet
from footring.terms.tables import read_table


def of(heading, *cells, known=None):
    rows = [(cell,) for cell in cells or ("x",)]
    return columns_of(PlainSheet("s", (heading,), rows, list(range(2, 2 + len(rows)))), NAMES, known)[0]


@pytest.mark.parametrize(
    ("heading", "means", "unit"),
    [
        ("Form", "form", ""), ("SHAPE", "form", ""), ("Pattern No.", "number", ""), ("Back-stamp", "mark", ""),
        ("Diameter (mm)", "across", "mm"), ("height in", "height", "in"), ("Dia [inches]", "across", "in"),
        ("lid.form", "lid.form", ""), ("Lid glaze", "lid.glaze", ""), ("mark.2", "mark.2", ""),
        ("mark_kind", "mark_kind", ""), ("Location", "place", ""), ("met on", "met", "day first"),
        ("Item", "name", ""), ("ID", "id", ""), ("wibble", "", ""), ("", "", ""),
    ],
)  # fmt: skip
def test_by_what_stands_over_them(heading, means, unit):
    assert of(heading) == Column(means, unit)


def test_every_heading_in_the_table_means_something_that_there_is():
    for row in read_table("footring.packs", "headings.csv"):
        assert row["means"] in (*NAMES, "id", "name", "place", "met"), row
        assert of(row["heading"]).means == row["means"], row


def test_by_what_stands_in_them():
    known = {"glaze": frozenset({"moss", "clear"}), "form": frozenset({"plate"})}
    assert of("?", "Moss", "clear", "rust", known=known).means == "glaze"
    assert of("?", "rust", "iron", "clear", known=known).means == ""
    assert of("?", "184 mm", "7 1/4 in", "small").means == "across"
    assert of("?", "2019-05-12", "2020-01-02T00:00:00").means == "met"


def test_which_stands_first_in_a_date_shows_from_one_that_can_be_read_one_way():
    assert of("met", "5/6/2019", "4/30/2019").unit == "month first"
    assert of("met", "5/6/2019", "30/4/2019").unit == "day first"


def test_a_meaning_is_given_once():
    sheet = PlainSheet("s", ("form", "shape", "?"), [("plate", "round", "plate")], [2])
    assert [c.means for c in columns_of(sheet, NAMES, {"form": frozenset({"plate"})})] == ["form", "", ""]
