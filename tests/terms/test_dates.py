import time
from calendar import monthrange
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.terms.dates import SoftYears, parse_edtf
from footring.terms.errors import BadInput

years = st.integers(1, 2999).map("{:04d}".format)
signs = st.sampled_from(["", "?", "~", "%"])


@st.composite
def moments(draw):
    year = draw(years)
    unknown = draw(st.integers(0, 3))
    year = year[: 4 - unknown] + "X" * unknown if unknown < 3 or year[0] in "12" else year
    form = draw(st.sampled_from(["year", "month", "season", "day"]))
    if form == "year" or "X" in year:
        return year + draw(signs)
    if form == "season":
        return f"{year}-{draw(st.integers(21, 41))}" + draw(signs)
    month = draw(st.integers(1, 12))
    text = f"{draw(signs)}{year}-{draw(signs)}{month:02d}"
    return text + (f"-{draw(st.integers(1, monthrange(int(year), month)[1])):02d}" + draw(signs)) * (form == "day")


@st.composite
def edtf(draw):
    form = draw(st.sampled_from(["date", "interval", "[]", "{}"]))
    first, last = sorted(draw(st.lists(moments(), min_size=2, max_size=2)), key=lambda text: parse_edtf(text).first_day)
    if form == "date":
        return first
    if form == "interval":
        return draw(st.sampled_from([f"{first}/{last}", f"{first}/..", f"{first}/", f"../{last}", f"/{last}"]))
    members = [
        *draw(st.lists(moments(), max_size=3)),
        draw(st.sampled_from([f"{first}..{last}", f"..{first}", f"{last}.."])),
    ]
    return form[0] + ",".join(members) + form[1]


@given(edtf())
def test_round_trip(text):
    read = parse_edtf(text)
    assert parse_edtf(str(read)) == read
    assert str(parse_edtf(str(read))) == str(read)


@given(edtf())
def test_bounds_hold_together(text):
    read = parse_edtf(text)
    for span in read.spans:
        assert not (span.first_day and span.last_day and span.first_day > span.last_day)
    assert (read.first_day is None) == (read.start != "known")
    assert (read.last_day is None) == (read.end != "known")
    if read.first_year is not None:
        assert 1 <= read.year_min == read.first_year - read.soft_before_years
    if read.last_year is not None:
        assert read.year_max == read.last_year + read.soft_after_years
    if read.kind in ("date", "interval"):
        assert any(read.approximate) or any(read.uncertain) or not any(map(any, read.soft))


@given(st.lists(moments(), min_size=1, max_size=5))
def test_order_and_repetition_of_a_set_change_nothing(members):
    there, back = f"[{','.join(members)}]", f"[{','.join(reversed(members + members))}]"
    assert parse_edtf(there) == parse_edtf(back)


@given(st.integers(1, 2999), signs)
def test_a_doubt_only_widens(year, sign):
    sure, doubted = parse_edtf(f"{year:04d}"), parse_edtf(f"{year:04d}{sign}")
    assert doubted.spans == sure.spans
    assert doubted.year_min <= sure.year_min and doubted.year_max >= sure.year_max


def every_day(pattern: str) -> list[date]:
    """The slow obvious twin: try every day of 1900 to 1999."""
    days = (date.fromordinal(n) for n in range(date(1900, 1, 1).toordinal(), date(2000, 1, 1).toordinal()))
    return [day for day in days if all(p in ("X", d) for p, d in zip(pattern, day.isoformat(), strict=True))]


@pytest.mark.parametrize("text", ["193X-XX-XX", "19X8-02-29", "1938-1X-3X", "1938-XX-31", "19XX-02-29", "1938-05-X5"])
def test_unknown_digits_against_every_day(text):
    days, read = every_day(text), parse_edtf(text)
    assert (read.first_day, read.last_day) == (days[0], days[-1])
    assert all(any(span.first_day <= day <= span.last_day for span in read.spans) for day in days)
    assert {y for s in read.year_spans for y in range(s.first, s.last + 1)} == {day.year for day in days}


def test_a_repeating_figure_is_a_set_of_years():
    assert [span.first for span in parse_edtf("19X8").year_spans] == list(range(1908, 1999, 10))


@pytest.mark.parametrize(
    ("text", "first", "last"),
    [
        ("1938-05~", 1938, 1938),
        ("1938-01~", 1937, 1938),
        ("1938-12~", 1938, 1939),
        ("?1938-05", 1937, 1939),
        ("1938-?05", 1938, 1938),
        ("1938-01-01?", 1937, 1938),
        ("1938S3", 1930, 1939),
        ("1938S4", 1938, 1938),
        ("19XX~", 1800, 2099),
        ("0001~", 1, 2),
        ("1938-24", 1938, 1939),
    ],
)
def test_doubt_reaches_a_unit_of_the_dates_own_precision(text, first, last):
    read = parse_edtf(text)
    assert (read.year_min, read.year_max) == (first, last)


def test_each_member_keeps_its_own_doubt():
    assert parse_edtf("[1929,1939~]").year_spans == (SoftYears(1929, 1929, 0, 0), SoftYears(1939, 1939, 1, 1))


def test_vague_ends_of_an_interval_leave_a_sure_middle():
    read = parse_edtf("188X/189X")
    assert (read.first_year, read.sure_first_year, read.sure_last_year, read.last_year) == (1880, 1889, 1890, 1899)


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "there is nothing to read; leave the date out"),
        ("1938-13", "there is no month 13; check the day and the month"),
        ("1938-00", "there is no month 00"),
        ("1938-02-30", "February 1938 has no day 30"),
        ("1938-02-3X", "February 1938 has no day 3X"),
        ("1937-02-29", "February 1937 has no day 29"),
        ("1938-06-31", "June 1938 has no day 31"),
        ("1945/1936", r"it ends \(1936\) before it begins \(1945\); put the earlier date first"),
        ("[1945..1936]", r"it ends \(1936\) before it begins \(1945\)"),
        ("0000", "years run from 0001 to 2999"),
        ("3000", "years run from 0001 to 2999"),
        ("-1938", "years run from 0001 to 2999"),
        ("Y17000", "years run from 0001 to 2999"),
        ("193", "a year has four digits"),
        ("19380", "a year has four digits"),
        ("1938-05-12T10:00:00", "times of day are not kept"),
        ("1936/1937/1938", "an interval has one slash"),
        ("../..", "an interval without a single date says nothing"),
        ("[1936,1937", r"a set is dates, commas and .. between \[ and \]"),
        ("[]", r"a set is dates, commas and .. between \[ and \]"),
        ("[..]", "stands between two dates, before one or after one"),
        ("[1936..1937..1938]", "stands between two dates"),
        ("[1936,,1938]", r"date '\[1936,,1938\]': there is nothing where a date should be"),
        ("{1936}~", "a ~ cannot stand on a whole set"),
        ("1950S0", "S takes 1 to 4 significant digits"),
        ("1950S99999999999999999999", "S takes 1 to 4 significant digits"),
        ("195XS2", "S takes 1 to 4 significant digits"),
        ("1950S2~", r"S \(significant digits\) goes with a year alone"),
        ("١٩٣٨", "this is not a date of the Extended Date/Time Format"),
        ("1938 ~", "this is not a date of the Extended Date/Time Format; write a date as 1938, 193X"),
        ("1938" * 51, "204 characters are too long for a date; give at most 200"),
    ],
)
def test_bad_input(text, why):
    with pytest.raises(BadInput, match=why):
        parse_edtf(text)


def test_a_number_is_not_a_text():
    with pytest.raises(BadInput, match="date '1938': a date is given as text"):
        parse_edtf(1938)


@pytest.mark.parametrize("text", ["XXXX-XX-XX", "XXX8-02-29", "[" + ",".join(["XXX8"] * 39) + "]"])
def test_wide_patterns_are_quick(text):
    started = time.perf_counter()
    parse_edtf(text)
    assert time.perf_counter() - started < 1.0
