"""Windows of marks, by hand and by what must always hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.reasoning.mark_windows import lettering_window, trapezoid, use_window, with_tail
from footring.rows.reference_things import Mark
from footring.terms.dates import parse_edtf

YEARS = np.arange(1880, 1981)


@pytest.mark.parametrize(
    ("edtf", "heights"),
    [
        ("1904/1921", {1903: 0, 1904: 1, 1921: 1, 1922: 0}),
        ("1904/1921~", {1904: 1, 1921: 1, 1922: 0.5, 1923: 0}),
        ("1904%/1921", {1901: 0, 1902: 1 / 3, 1903: 2 / 3, 1904: 1, 1922: 0}),
        ("1921/..", {1920: 0, 1921: 1, 1980: 1}),
        ("/1921", {1880: 1, 1921: 1, 1922: 0}),
        ("190X/1921", {1899: 0, 1904: 0.5, 1909: 1, 1921: 1, 1922: 0}),
        ("[1904,1910..1912]", {1904: 1, 1905: 0, 1910: 1, 1912: 1, 1913: 0}),
        ("1931", {1930: 0, 1931: 1, 1932: 0}),
    ],
)
def test_a_trapezoid_is_sure_inside_slopes_over_doubt_and_ends(edtf, heights):
    found = trapezoid(parse_edtf(edtf), YEARS)
    assert {year: found[year - YEARS[0]] for year in heights} == pytest.approx(heights)


def test_where_no_year_is_sure_some_year_is_likeliest():
    found = trapezoid(parse_edtf("193X/193X"), YEARS)
    assert found.max() == 1 and 1930 < YEARS[found.argmax()] < 1939


@given(st.integers(1885, 1970), st.integers(0, 9), st.sampled_from(["", "~", "?", "%"]))
def test_a_tail_falls_away_on_both_sides_and_never_reaches_nothing(first, length, doubt):
    height = with_tail(trapezoid(parse_edtf(f"{first}{doubt}/{first + length}{doubt}"), YEARS))
    before, after = height[: first - YEARS[0] + 1], height[first + length - YEARS[0] :]
    assert (np.diff(before) >= 0).all() and (np.diff(after) <= 0).all()
    assert 0 < height.min() < 0.01 and height.max() == 1


def test_several_uses_are_an_envelope():
    mark = Mark("m", lettering="QUILLOW")
    both = use_window(["1904/1910", "1930/1940"], mark, "decorated", YEARS)
    each = [use_window([use], mark, "decorated", YEARS) for use in ("1904/1910", "1930/1940")]
    assert np.array_equal(both, np.maximum(*each))


RULED = ["MADE IN OCCUPIED JAPAN", "QUILLOW & TARN / MADE IN ENGLAND / 1951", "ENGLAND / Rd No 314901"]


@pytest.mark.parametrize("lettering", RULED)
def test_words_that_date_do_not_move_a_window_that_is_recorded(lettering):
    plain, worded = (
        use_window(["1921~/1968"], Mark("m", lettering=words, technique="printed"), "decorated", YEARS)
        for words in ("QUILLOW", lettering)
    )
    assert np.array_equal(plain, worded)


@pytest.mark.parametrize("lettering", RULED)
def test_words_date_a_mark_whose_use_is_not_dated(lettering):
    mark = Mark("m", lettering=lettering, technique="printed")
    assert np.array_equal(use_window([None], mark, "decorated", YEARS), use_window([], mark, "decorated", YEARS))
    assert np.ptp(use_window([], mark, "decorated", YEARS)) > 0.5


def test_of_one_family_of_wording_only_the_tightest_applies():
    """MADE IN ENGLAND implies the country's name: naming it again says nothing more."""
    once, twice = (
        lettering_window(Mark("m", lettering=words), "decorated", YEARS)
        for words in ("MADE IN ENGLAND", "MADE IN ENGLAND / ENGLAND")
    )
    assert np.array_equal(once, twice)


def test_a_mark_without_words_that_date_is_flat():
    assert (use_window([], Mark("m", lettering="QUILLOW"), "decorated", YEARS) == 1).all()
    assert (use_window([], Mark("m", device="heron in a ring"), "decorated", YEARS) == 1).all()
