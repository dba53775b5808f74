"""Dates in words, and lanes of years. What a date in EDTF means: its specification, ISO 8601-2:2019; the wording: common practice, no source."""

import pytest

from footring.terms.dates import parse_edtf
from footring.web.pages.reference.lanes import Lane, years
from footring.web.pages.reference.when import in_words

DATES = {
    "1934": "1934", "1934-03": "March 1934", "1934-03-05": "5 March 1934", "1934-21": "spring 1934",
    "1909~": "about 1909", "1937?": "perhaps 1937", "1937%": "perhaps about 1937", "193X": "1930s", "19XX": "19XX",
    "1911/1938": "1911-38", "1898/1904": "1898-1904", "1904/1922~": "from 1904 to about 1922",
    "1950/..": "from 1950", "../1940": "until 1940", "1936/": "from 1936, nobody knows until when",
    "/1940": "until 1940, nobody knows from when",
    "[1928..1935]": "between 1928 and 1935", "[1936,1938]": "1936 or 1938", "{1936,1938}": "1936 and 1938",
    "[..1935]": "1935 or before", "[1935..]": "1935 or later",
}  # fmt: skip


@pytest.mark.parametrize("edtf", DATES)
def test_a_date_is_said_with_all_its_doubt(edtf):
    parse_edtf(edtf)
    assert in_words(edtf) == DATES[edtf]


def test_years_are_written_whole_for_who_wants_them():
    assert in_words("1911/1938", whole_years=True) == "1911-1938"


def test_what_is_no_date_is_said_as_it_stands():
    assert (in_words(None), in_words("once upon a time")) == ("", "once upon a time")


def bars(*dates):
    return [(bar.soft, bar.x, bar.width) for bar in years([Lane("x", dates)]).lanes[0].bars]


def test_lanes_stand_on_one_scale_of_decades():
    told = years([Lane("a", ("1911/1938",)), Lane("b", ("1904~",)), Lane("no years", (None, "nonsense"))])
    assert [drawn.lane.label for drawn in told.lanes] == ["a", "b"]
    assert [year for _, year in told.ticks] == [1900, 1910, 1920, 1930, 1940]
    assert [x for x, _ in told.ticks] == ["0.00%", "25.00%", "50.00%", "75.00%", "100.00%"]


def test_what_is_sure_is_drawn_over_what_may_be():
    # 1920-1929 on a scale of ten years: each year is a tenth. About 1922 to 1926: 1921 and 1922 are in doubt.
    assert bars("1922~/1926") == [(True, "10.00%", "60.00%"), (False, "30.00%", "40.00%")]
    assert bars("[1922..1926]") == [(True, "20.00%", "50.00%")]
    assert bars("1922") == [(True, "20.00%", "10.00%"), (False, "20.00%", "10.00%")]


def test_what_is_sure_of_one_date_is_never_hidden_by_the_doubt_of_another():
    assert [soft for soft, *_ in bars("1922~/1926", "[1923..1929]", "1924")] == [True, True, True, False, False]


def test_an_open_end_reaches_the_end_of_the_scale():
    assert bars("1922/..")[0] == (True, "20.00%", "80.00%")


def test_years_of_nothing_are_no_drawing():
    assert years([Lane("x", (None,))]) is None and years([]) is None
