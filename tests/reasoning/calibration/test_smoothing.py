"""Temperatures, floors and the share of what was never met."""

import numpy as np
import pytest
from scipy.special import softmax

from footring.reasoning.calibration.smoothing import SHARES, Smoothing, chance_of_new, fit_smoothing


def test_without_temperature_or_floor_it_is_the_softmax_of_scipy():
    log = np.random.default_rng(1).normal(size=(20, 6))
    assert Smoothing(1.0, 0.0)(log) == pytest.approx(softmax(log, axis=1))
    assert Smoothing(2.0, 0.0)(log) == pytest.approx(softmax(log / 2, axis=1))


def test_by_hand():
    """Two values met, two never: 0.9 x (0.8 x (3/4, 1/4), 0.2 each halved) + 0.1 / 4."""
    found = Smoothing(1.0, 0.1)(np.log([[0.75, 0.25, 0.0, 0.0]], where=[[True, True, False, False]],
                                       out=np.full((1, 4), -np.inf)), new=0.2)  # fmt: skip
    assert found == pytest.approx(np.array([[0.565, 0.205, 0.115, 0.115]]))


def test_where_all_are_met_nothing_is_kept_for_others():
    assert Smoothing(1.0, 0.0)(np.log([[0.75, 0.25]]), new=0.5) == pytest.approx(np.array([[0.75, 0.25]]))


def test_rows_sum_to_one():
    random = np.random.default_rng(2)
    log = random.normal(size=(9, 5))
    log[:, 3] = -np.inf
    for temperature, share in zip(random.uniform(0.2, 5, 9), SHARES, strict=True):
        assert Smoothing(temperature, share)(log, 0.3).sum(axis=1) == pytest.approx(1.0)


@pytest.mark.parametrize("temperature", [0.5, 1.0, 3.0])
def test_the_temperature_that_truths_were_drawn_at_is_found(temperature):
    """Guo 2017: scores that are too sure by a factor are divided by it."""
    random = np.random.default_rng(3)
    log = 2 * random.normal(size=(20_000, 5))
    upto = np.cumsum(softmax(log / temperature, axis=1), axis=1)
    truth = (upto < random.random((20_000, 1))).sum(axis=1).clip(max=4)
    assert fit_smoothing(log, truth).temperature == pytest.approx(temperature, rel=0.05)


def test_the_best_of_all_floors_and_temperatures():
    """A slow twin: every floor with a fine grid of temperatures."""
    random = np.random.default_rng(4)
    log, truth = 3 * random.normal(size=(60, 4)), random.integers(0, 4, 60)
    found = fit_smoothing(log, truth)

    def loss(smoothing):
        return -np.log(smoothing(log)[np.arange(60), truth]).mean()

    grid = [loss(Smoothing(float(t), share)) for share in SHARES for t in np.exp(np.linspace(-4, 4, 200))]
    assert loss(found) == pytest.approx(min(grid), abs=1e-3)


def test_what_was_met_once_says_how_much_is_new():
    assert chance_of_new(np.array([0, 0, 0, 4, 9])) == pytest.approx(2 / 5)  # Good 1953: n1 / n
    assert chance_of_new(np.array([1, 1])) == 0.0
