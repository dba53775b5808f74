from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import beta

from footring.marks.evidence import Window
from footring.reasoning.knots import date_numbers
from footring.reasoning.series import date_series
from footring.terms.errors import BadInput

YEARS = np.arange(1920, 1950)


def test_between_two_sure_dates_only_the_order_speaks_when_evenness_is_none():
    found = date_numbers([101, 199], {100: Window(1930, 1930), 200: Window(1934, 1934)}, YEARS, evenness=0)
    for row in found.density:
        assert row[10:15] == pytest.approx(np.full(5, 0.2))


def test_great_evenness_reads_a_straight_line():
    known = {100: Window(1930, 1930), 200: Window(1939, 1939)}
    found = date_numbers([155], known, YEARS, evenness=1e6)
    assert found.density[0][15] == pytest.approx(1)  # 55 % of the ten years from 1930 to the end of 1939


def test_agrees_with_drawing_gamma_processes():
    """Slow twin: draw the numbers given out each year, scale to the interval, count where the number falls."""
    known = {100: Window(1930, 1930), 200: Window(1935, 1935)}
    found = date_numbers([130], known, YEARS, evenness=2.0).density[0]
    draws = np.random.default_rng(7).gamma(2.0, size=(200_000, 6))
    reached = np.cumsum(draws, axis=1) / draws.sum(axis=1, keepdims=True)
    fell = (reached < 0.3).sum(axis=1)
    assert np.allclose(found[10:16], np.bincount(fell, minlength=6) / 200_000, atol=0.005)


def test_uncertain_known_dates_are_averaged_over():
    """Slow twin: every pair of years of the two known numbers, by the formula."""
    known = {10: Window(1928, 1931), 50: Window(1930, 1936, soft_after=2)}
    found = date_numbers([20], known, YEARS, evenness=1.5).density[0]
    low, high = (window.shape(YEARS) for window in known.values())
    slow, total = np.zeros(len(YEARS)), 0.0
    for r in range(len(YEARS)):
        for s in range(r, len(YEARS)):
            total += low[r] * high[s]
            for year in range(r, s + 1):
                cdf = [beta.sf(0.25, 1.5 * (t - r), 1.5 * (s + 1 - t)) if r < t <= s else float(t > s)
                       for t in (year, year + 1)]  # fmt: skip
                slow[year] += low[r] * high[s] * (cdf[1] - cdf[0])
    assert np.allclose(found, slow / total, rtol=0, atol=1e-12)


def test_a_known_number_keeps_its_posterior_and_neighbours_sharpen_it():
    known = {10: Window(1925, 1940), 20: Window(1922, 1930)}
    found = date_numbers([20, 10], known, YEARS)
    chain = date_series([window.shape(YEARS) for window in known.values()])
    assert np.array_equal(found.density, chain.marginals[::-1])
    assert found.density[1][YEARS > 1930].sum() == 0


def test_beyond_the_known_numbers_only_the_order_speaks():
    found = date_numbers([1, 999], {100: Window(1930, 1930)}, YEARS)
    assert found.density[0] == pytest.approx(np.where(YEARS <= 1930, 1 / 11, 0))
    assert found.density[1] == pytest.approx(np.where(YEARS >= 1930, 1 / 20, 0))


def test_known_dates_that_fight_are_named_and_an_exception_settles_them():
    known = {417: Window(1936, 1936), 430: Window(1924, 1924), 500: Window(1941, 1941)}
    found = date_numbers([450], known, YEARS)
    assert found.conflict == (417, 430)
    assert not found.density.any()
    settled = date_numbers([450], known, YEARS, exception_rate=0.05)
    assert settled.conflict == ()
    assert settled.density.sum() == pytest.approx(1)


@settings(max_examples=50, deadline=None)
@given(
    st.dictionaries(
        st.integers(1, 400), st.tuples(st.integers(1920, 1949), st.integers(0, 30)), min_size=1, max_size=5
    ),
    st.lists(st.integers(1, 400), max_size=5),
    st.sampled_from([0.0, 0.3, 1.0, 40.0]),
)
def test_dates_rise_with_the_numbers_and_sum_to_one(known, numbers, evenness):
    windows = {number: Window(first, first + more) for number, (first, more) in known.items()}
    found = date_numbers(sorted(numbers), windows, YEARS, evenness=evenness, exception_rate=0.1)
    assert found.density.shape == (len(numbers), len(YEARS))
    assert np.allclose(found.density.sum(axis=1), 1, atol=1e-9)
    later = np.diff(np.cumsum(found.density, axis=1), axis=0)
    assert (later <= 1e-9).all()


def test_bad_input_is_named():
    with pytest.raises(BadInput, match="at least one number with its date"):
        date_numbers([1], {}, YEARS)
    with pytest.raises(BadInput, match="evenness of 0 or more"):
        date_numbers([1], {1: Window(1930, 1930)}, YEARS, evenness=-1)
