from __future__ import annotations

import csv
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.marks.numbered import SERIES, year_of_number
from footring.terms.errors import BadInput, UnknownName
from footring.terms.tables import read_table

PUBLISHED = Path(__file__).parents[1] / "published"


def read(name):
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


FIRST = read("first_numbers.csv")
NEXT_YEAR = {(row["series"], int(row["year"]) - 1): int(row["first_number"]) for row in FIRST}


def within(series, number, year):
    return any(first <= year <= last for first, last in year_of_number(series, str(number)).spans)


D1 = "the official table begins in 1843; D1 itself is dated 9 November 1842"


@pytest.mark.parametrize(
    "row",
    [
        pytest.param(
            row,
            id=row["key"],
            marks=[pytest.mark.xfail(strict=True, reason=D1)] if row["key"] == "us_design-1843" else [],
        )
        for row in FIRST
    ],
)
def test_the_first_number_of_a_year_is_of_that_year_and_the_one_before_of_the_year_before(row):
    """A. Whitton, registered numbers 1884-1965; USPTO first-number tables; Midwest Tool Collectors Assoc."""
    series, year, number = row["series"], int(row["year"]), int(row["first_number"])
    assert within(series, number, year)
    if (series, year) in NEXT_YEAR:
        assert year_of_number(series, str(number)).spans == ((year, year),)
    if number > 1:
        assert within(series, number - 1, year - 1)
        assert not within(series, number - 1, year)


@pytest.mark.parametrize("row", read("patents.csv"), ids=lambda row: row["key"])
def test_single_patents_with_opened_dates(row):
    """Each from the source in its row; table years from memory reach a year further."""
    assert within(row["series"], row["number"], int(row["issue_date"][:4]))


def test_d1_is_of_1842_whatever_the_official_table_says():
    """NY State Science & Technology Law Center newsletter; Inventors Digest."""
    assert year_of_number("us_design", "1").spans == ((1842, 1842),)
    assert year_of_number("us_design", "2").spans == ((1842, 1843),)


@pytest.mark.parametrize("row", read("trade_mark_points.csv"), ids=lambda row: row["key"])
def test_known_trade_mark_numbers_are_met(row):
    """TMEP 1601.07; duetsblog.com June 2016."""
    spans = year_of_number("us_trademark", row["number"]).spans
    slack = int(row["tolerance"].split()[0])
    assert spans[0][0] - slack <= int(row["date"][:4]) <= (spans[-1][1] or 9999) + slack


def test_between_trade_mark_points_the_error_is_stated_and_inside_them():
    spans = year_of_number("us_trademark", "275000").spans
    assert spans == ((1921, 1933),)  # the straight line from 1906 to 1948 is at 1927; six years each way


@pytest.mark.parametrize("series", ["rd", "us_patent", "us_design"])
def test_rows_from_memory_reach_a_year_further_and_say_so(series):
    rows = read_table("footring.marks", SERIES[series])
    remembered = [row for row in rows if row["status"] == "memory"]
    assert remembered
    for row in remembered:
        found = year_of_number(series, row["first_number"])
        assert found.status == "memory"
        assert within(series, row["first_number"], int(row["year"]) - 1)
        assert within(series, int(row["first_number"]) - 1, int(row["year"]))


def test_tables_rise():
    for series in ("rd", "us_patent", "us_design"):
        rows = read_table("footring.marks", SERIES[series])
        for key in ("year", "first_number"):
            values = [int(row[key]) for row in rows]
            assert values == sorted(set(values))


def test_numbers_outside_a_table_are_an_answer():
    assert year_of_number("rd", "0").spans == ()
    assert year_of_number("rd", "0").says == "before the numbers of the table began, with 1"
    assert year_of_number("rd", "2012345").spans == ((1988, None),)
    assert "1988 or later, beyond the end of the table" in year_of_number("rd", "2012345").says
    assert year_of_number("rd", "1057000").spans == ((1988, 1990),)
    assert year_of_number("uk_patent", "12345").spans == ()
    assert year_of_number("uk_patent", "345678").spans == ((1915, None),)


@settings(max_examples=150)
@given(st.sampled_from(["rd", "us_design", "us_patent"]), st.from_regex(r"[1-9?][0-9?]{0,3}", fullmatch=True))
def test_unreadable_figures_give_the_years_of_every_number_they_may_be(series, figures):
    numbers = ("".join(d) for d in product(*("0123456789" if f == "?" else f for f in figures)) if d[0] != "0")
    years = set()
    for number in numbers:
        years |= {y for first, last in year_of_number(series, number).spans for y in range(first, last + 1)}
    found = {y for first, last in year_of_number(series, figures).spans for y in range(first, last + 1)}
    assert found == years


def test_unreadable_and_lost_figures():
    assert year_of_number("rd", "31?901").spans == ((1897, 1898),)
    assert year_of_number("rd", "?14901").spans[0] == (1888, 1888)
    assert year_of_number("rd", "84...").spans[-1][1] is None
    assert year_of_number("us_design", "1...").spans[:2] == ((1842, 1844), (1846, 1848))


@pytest.mark.parametrize("number", ["1,180,881", "1 180 881", "1.180.881", "01180881"])
def test_commas_spaces_stops_and_noughts_are_ignored(number):
    assert year_of_number("us_patent", number) == year_of_number("us_patent", "1180881")


@given(st.sampled_from(list(SERIES)), st.integers(1, 5_000_000), st.integers(1, 500_000))
def test_later_numbers_are_never_earlier(series, number, more):
    before, after = (year_of_number(series, str(n)).spans for n in (number, number + more))
    if before and after:
        assert before[0][0] <= after[0][0]
        assert (before[0][1] or 9999) <= (after[0][1] or 9999)


@pytest.mark.parametrize("number", ["", "M428", "12-3", "...", "12345678901", "²³⁴"])
def test_what_is_no_number_is_named(number):
    with pytest.raises(BadInput, match="is no number: expected up to ten figures"):
        year_of_number("rd", number)


def test_an_unknown_series_is_named():
    with pytest.raises(UnknownName, match="no numbered series is called 'drgm': there are rd, us_patent"):
        year_of_number("drgm", "1")
