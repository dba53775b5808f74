"""Highest-density sets against the definition."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.reasoning.intervals import highest_density_set, median_year

DENSITIES = st.lists(st.integers(0, 50), min_size=3, max_size=40).filter(any)


@given(DENSITIES, st.sampled_from([0.5, 0.8, 0.9, 0.95]))
def test_no_smaller_set_holds_as_much(counts, mass):
    density = np.array(counts) / sum(counts)
    years = np.arange(1900, 1900 + len(counts))
    spans = highest_density_set(years, density, mass)
    inside = np.zeros(len(years), bool)
    for first, last in spans:
        inside |= (years >= first) & (years <= last)
    assert density[inside].sum() >= mass - 1e-9
    fewest = next(k for k in range(1, len(counts) + 1) if np.sort(density)[::-1][:k].sum() >= mass - 1e-9)
    assert inside.sum() == fewest


@given(DENSITIES)
def test_median_splits_the_mass(counts):
    density = np.array(counts) / sum(counts)
    years = np.arange(len(counts))
    median = median_year(years, density)
    assert density[years <= median].sum() >= 0.5 - 1e-9
    assert density[years < median].sum() < 0.5


def test_bimodal_sets_come_in_pieces():
    years = np.arange(1850, 1950)
    density = np.zeros(100)
    density[[10, 36, 62]] = 1 / 3
    assert highest_density_set(years, density, 0.95) == [(1860, 1860), (1886, 1886), (1912, 1912)]
    assert median_year(years, density) == 1886


def test_a_flat_density_gives_the_earliest_span():
    assert highest_density_set(np.arange(10), np.full(10, 0.1), 0.5) == [(0, 4)]


def test_ten_zeros_and_one():
    assert highest_density_set(np.arange(11), np.eye(11)[3], 0.95) == [(3, 3)]
    assert pytest.approx(3) == median_year(np.arange(11), np.eye(11)[3])
