"""Bootstrap intervals beside scipy.stats.bootstrap (reference library) and what they promise."""

import numpy as np
import pytest
from scipy import stats

from footring.reasoning.calibration.bootstrap import Interval, mean_interval, statistic_interval
from footring.terms.errors import BadInput


def test_interval_of_a_mean_is_that_of_scipy():
    values = np.random.default_rng(1).gamma(2.0, size=120)
    ours = mean_interval(values, draws=20_000)
    theirs = stats.bootstrap((values,), np.mean, n_resamples=20_000, method="percentile", rng=2).confidence_interval
    assert ours.value == values.mean()
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=0.01)


def test_interval_of_any_figure_is_that_of_the_mean_where_it_is_the_mean():
    values = np.random.default_rng(2).normal(size=80)
    ours = statistic_interval(lambda drawn: float(values[drawn].mean()), 80, draws=4000)
    mean = mean_interval(values, draws=4000)
    assert (ours.low, ours.high) == pytest.approx((mean.low, mean.high), abs=1e-12)  # the same draws


def test_reflected_interval_is_the_basic_one_of_scipy():
    values = np.random.default_rng(8).gamma(2.0, size=60)
    ours = statistic_interval(lambda drawn: float(values[drawn].std()), 60, reflected=True, draws=4000)
    theirs = stats.bootstrap((values,), np.std, n_resamples=4000, method="basic", rng=2).confidence_interval
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), abs=0.05)
    percentile = statistic_interval(lambda drawn: float(values[drawn].std()), 60, draws=4000)
    assert ours.low == pytest.approx(2 * ours.value - percentile.high)


def test_no_distance_is_below_0():
    found = statistic_interval(lambda drawn: float(abs(drawn.mean() - 4.5)), 10, reflected=True)
    assert (found.value, found.low, found.high) == (0.0, 0.0, 0.0)


def test_pieces_that_came_together_say_less():
    random = np.random.default_rng(3)
    lots = np.repeat(np.arange(20), 30)
    values = random.normal(size=20)[lots] + 0.1 * random.normal(size=600)
    alone, together = mean_interval(values), mean_interval(values, groups=list(lots))
    assert together.value == alone.value
    assert together.high - together.low > 3 * (alone.high - alone.low)


def test_groups_of_one_piece_are_no_groups():
    values = np.random.default_rng(4).normal(size=50)
    assert mean_interval(values, groups=list(range(50))) == pytest.approx(mean_interval(values), abs=1e-12)


def test_interval_holds_the_mean_about_as_often_as_it_says():
    random = np.random.default_rng(5)
    held = 0
    for k in range(400):
        low_high = mean_interval(random.exponential(size=150), draws=300, seed=k)
        held += low_high.low <= 1.0 <= low_high.high
    assert 0.90 < held / 400 < 0.98


def test_large_sets_are_drawn_in_blocks_and_seeded():
    values = np.random.default_rng(6).normal(size=30_000)
    found = mean_interval(values, draws=300)
    assert found == mean_interval(values, draws=300)
    assert found != mean_interval(values, draws=300, seed=2)
    error = values.std() / np.sqrt(30_000)
    assert (found.high - found.low) / 2 == pytest.approx(1.96 * error, rel=0.15)


def test_figures_that_cannot_be_had_are_left_out():
    found = statistic_interval(lambda drawn: float("nan") if drawn[0] % 2 else 1.0, 10)
    assert (found.low, found.high) == (1.0, 1.0)
    never = statistic_interval(lambda _: float("nan"), 3)
    assert np.isnan(never.low) and not never.excludes_0


def test_what_excludes_0():
    assert Interval(1.0, 0.5, 1.5).excludes_0 and Interval(-1.0, -1.5, -0.5).excludes_0
    assert not Interval(0.1, -0.2, 0.4).excludes_0


def test_what_cannot_be_drawn_is_told():
    with pytest.raises(BadInput, match="expected at least one piece to draw from, given none"):
        statistic_interval(lambda _: 0.0, 0)
    with pytest.raises(BadInput, match="expected a group for each of 2 pieces, given 1"):
        mean_interval([1.0, 2.0], groups=["a"])
