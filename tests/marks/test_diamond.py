from __future__ import annotations

import csv
from calendar import monthrange
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.marks.diamond import decode_diamond, find_diamonds
from footring.terms.tables import read_table

with (Path(__file__).parents[1] / "published" / "diamonds.csv").open(encoding="utf-8", newline="") as lines:
    EXAMPLES = list(csv.DictReader(lines))
TABLE = read_table("footring.marks", "registration_diamond.csv")


@pytest.mark.parametrize("row", EXAMPLES, ids=[row["key"] for row in EXAMPLES])
def test_examples(row):
    """Opened rows as their sources date them (letters printed, or the corners derived); constructed ones by the rule."""
    read = decode_diamond(row["top"], row["right"], row["bottom"], row["left"], row["circle_class"])
    assert "|".join(read.dates) == row["expected_dates"]
    assert read.period == (row["period"] if row["expected_dates"] else None)
    assert (read.warning is None) == (row["circle_class"] == "IV")


def test_every_letter_of_both_periods_dates_its_year_and_month():
    """Guide to Pottery & Porcelain Marks p. 36; reprint of The National Archives leaflet (row by row in the table)."""
    months = {row["letter"]: int(row["value"]) for row in TABLE if row["field"] == "month"}
    years = [row for row in TABLE if row["field"] == "year"]
    assert len(years) == 26 + 16
    assert len(months) == 12
    for row, (letter, month) in product(years, months.items()):
        day = monthrange(int(row["value"]), month)[1]
        expected = f"{row['value']}-{month:02d}-{day:02d}"
        first = row["period"] == "1842-1867"
        corners = (row["letter"], str(day), "1", letter) if first else (str(day), row["letter"], letter, "1")
        read = decode_diamond(*corners)
        assert expected in read.dates if expected >= "1842-09-01" else "before the marks began" in read.problems[0]


def test_letters_that_the_tables_leave_out_are_no_dates():
    for row in EXAMPLES[:1]:
        for letter in "FJLNOPQSTUVXYZ":
            read = decode_diamond(row["top"], row["right"], letter, row["left"])
            assert (read.dates, f"{letter} is no month letter" in read.problems[0]) == ((), True)
        for letter in "BGMNOQRTWZ":
            read = decode_diamond(row["top"], letter, row["bottom"], row["left"])
            assert (read.dates, f"{letter} is no year letter" in read.problems[0]) == ((), True)


def test_august_and_september_1857_share_a_letter_for_nineteen_days():
    assert decode_diamond("K", "19", "3", "R").dates == ("1857-08-19", "1857-09-19")
    assert decode_diamond("K", "20", "3", "R").dates == ("1857-08-20",)
    assert decode_diamond("K", "19", "3", "D").dates == ("1857-09-19",)


def test_march_1878_has_letters_of_its_own_for_six_days_and_rests_on_memory():
    read = decode_diamond("6", "W", "G", "3")
    assert (read.dates, read.status, read.plain) == (("1878-03-06",), "memory", False)
    assert decode_diamond("7", "W", "G", "3").dates == ()
    assert decode_diamond("4", "D", "W", "3").dates == ("1878-03-04",)


def test_unreadable_corners_leave_a_set():
    assert decode_diamond("?", "C", "R", None).dates == ("1870-08",)
    assert decode_diamond("1?", "C", "R", "9").dates == tuple(f"1870-08-{day}" for day in range(10, 20))
    assert decode_diamond("9", "C", "?", "9").dates == ("1870",)
    assert decode_diamond("9", "?", "R", "9").years == tuple(range(1868, 1884))
    assert decode_diamond("?", "?", "?", "?").years == tuple(range(1842, 1884))
    assert not decode_diamond("9", "?", "R", "9").plain


def test_a_figure_for_a_letter_is_taken_for_its_look_alike_and_said():
    read = decode_diamond("9", "1", "R", "9")
    assert read.dates == ("1872-08-09",)
    assert read.problems == ("right 1 stands where 1868-1883 has a year: taken for I",)
    assert not read.plain


def test_a_corner_that_fits_neither_is_left_unread_and_said():
    read = decode_diamond("9", "7", "R", "9")
    assert read.years == tuple(range(1868, 1884))
    assert "right 7 stands where 1868-1883 has a year: left unread" in read.problems
    assert decode_diamond("A", "B", "C", "D").problems[0].startswith("figures and letters stand as in neither period")


def test_classes():
    assert "glass, not ceramics" in decode_diamond("9", "C", "R", "9", "iii").warning
    assert "other fabrics or damasks" in decode_diamond("9", "C", "R", "9", "XII").warning
    assert decode_diamond("9", "C", "R", "9", "XV").warning == "XV is no class of the register: read the circle again"
    assert decode_diamond("9", "C", "R", "9").warning is None


@pytest.mark.parametrize(
    "text",
    [
        "diamond: top 9, right C, bottom R, left 9, class IV",
        "Registration diamond, class IV, 9 on top, C right, R bottom, 9 left",
        "ORMSLEY / diamond with top=9 right=C bottom=R left=9 class IV / 417",
        "<IV 9/C/R/9>",
        "ORMSLEY / < iv 9 / c / r / 9 > / 417",
        "<IV: 9 C R 9>",
    ],
)
def test_typed_diamonds(text):
    ((said, read),) = find_diamonds(text)
    assert said.strip("<> ") in text
    assert (read.dates, read.material_class, read.parcel) == (("1870-08-09",), "IV", "9")


@pytest.mark.parametrize("text", ["a diamond", "registration diamond, worn", "ware <about 1870>", "diamond top 9", ""])
def test_no_corners_no_reading(text):
    assert find_diamonds(text) == []


def test_two_diamonds_on_one_foot():
    found = find_diamonds("diamond: top 9, right C, bottom R, left 9; diamond: top 14, right J, bottom H, left ?")
    assert [read.dates for _, read in found] == [("1870-08-09",), ("1880-04-14",)]


corner = st.one_of(st.none(), st.text(alphabet="?-0123456789ABCIKRWZ² ", max_size=3))


@given(corner, corner, corner, corner, st.one_of(st.none(), st.text(max_size=4)))
def test_any_corners_give_dates_or_say_why_not(top, right, bottom, left, circle):
    read = decode_diamond(top, right, bottom, left, circle)
    assert read.dates or read.problems
    assert all("1842" <= date <= "1883-12-31" for date in read.dates)


@given(st.text(alphabet="diamondtoprghbelfcs IVX<>/?-,:0123456789CR", max_size=200))
def test_any_text_is_read_without_complaint(text):
    for _, read in find_diamonds("diamond " + text):
        assert read.dates or read.problems
