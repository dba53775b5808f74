"""Against the answers of the Python package edtf 5.0.2 on 31 dates and 12 phrases (edtf.csv), as it gave them.

Where Footring differs on purpose, the columns `ours` and `why` say how and why.
"""

import csv
from datetime import date
from pathlib import Path

import pytest

from footring.terms.dates import parse_edtf
from footring.terms.errors import BadInput
from footring.terms.phrases import parse_when

ROWS = list(csv.DictReader(Path(__file__).with_name("edtf.csv").read_text(encoding="utf-8").splitlines()))
DATES = [row for row in ROWS if row["level"] != "text_to_edtf"]
SAME = [row for row in DATES if not row["ours"]]
PHRASES = [row for row in ROWS if row["level"] == "text_to_edtf"]


def bound(cell: str) -> date | None:
    return None if cell == "open" else date.fromisoformat(cell)


def year(cell: str) -> int | None:
    return None if cell == "open" else int(cell[:4])


def test_all_rows_are_here():
    assert (len(DATES), len(SAME), len(PHRASES)) == (31, 27, 12)
    assert {row["status"] for row in ROWS} == {"opened"}


@pytest.mark.parametrize("row", SAME, ids=lambda row: row["key"])
def test_bounds_and_doubt(row):
    read = parse_edtf(row["edtf"])
    assert (read.first_day, read.last_day) == (bound(row["lower_strict"]), bound(row["upper_strict"]))
    assert (read.year_min, read.year_max) == (year(row["lower_fuzzy"]), year(row["upper_fuzzy"]))


@pytest.mark.parametrize("row", SAME, ids=lambda row: row["key"])
def test_kind_follows_the_brackets(row):
    text = row["edtf"]
    kind = {"[": "one_of", "{": "all_of"}.get(text[0], "interval" if "/" in text else "date")
    assert parse_edtf(text).kind == kind


def test_unknown_end_is_not_padded():
    """Differs: the package pads an unknown end by ten years; there is an end, and nobody knows when."""
    from_1930, to_1945 = parse_edtf("1930/"), parse_edtf("/1945")
    assert from_1930.last_day is None and from_1930.unknown_end and not from_1930.open_end
    assert to_1945.first_day is None and to_1945.unknown_start and not to_1945.open_start
    assert parse_edtf("1930/..").open_end and not parse_edtf("1930/..").unknown_end


def test_left_qualifier_on_a_decade():
    """Differs: the package refuses ~193X, which the standard has (from memory)."""
    assert parse_edtf("~193X") == parse_edtf("193X~")
    assert (parse_edtf("~193X").year_min, parse_edtf("~193X").year_max) == (1920, 1949)


def test_doubt_on_a_whole_set():
    with pytest.raises(
        BadInput, match=r"a \? cannot stand on a whole set; put it on its dates, as in \[1936\?..1938\?\]"
    ):
        parse_edtf("[1936..1938]?")


@pytest.mark.parametrize("row", PHRASES, ids=lambda row: row["key"])
def test_phrases(row):
    typed = row["meaning"].removeprefix("free text: ")
    assert str(parse_when(typed)) == row["ours"]
    assert (row["ours"] == row["edtf"]) == (row["why"] == "")
