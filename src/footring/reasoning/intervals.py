"""Medians and highest-density sets of years."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Years = NDArray[np.int64]

_TIE = 1e-9


def median_year(years: Years, density: Floats) -> int:
    """Earliest year by which at least half of the probability has come.

    An exact half counts as reached, so that a tie goes to the earlier year whatever the rounding.

    Examples
    --------
    >>> median_year(np.arange(1941, 1951), np.full(10, 0.1))
    1945
    """
    return int(years[np.searchsorted(np.cumsum(density), 0.5 - _TIE)])


def highest_density_set(years: Years, density: Floats, mass: float) -> list[tuple[int, int]]:
    """Smallest set of years that holds at least `mass`, as spans with both ends included.

    Parameters
    ----------
    years : array of int, shape (years,)
        Ascending, without gaps.
    density : array, shape (years,)
        Sums to 1.
    mass : float
        Between 0 and 1.

    Notes
    -----
    Of years that are equally probable, to nine figures, the earlier comes first.

    Examples
    --------
    >>> highest_density_set(np.arange(1900, 1905), np.array([0.1, 0.4, 0.0, 0.4, 0.1]), 0.8)
    [(1901, 1901), (1903, 1903)]
    """
    rounded = np.round(density / density.max(), 9)
    order = np.argsort(-rounded, kind="stable")
    enough = int(np.searchsorted(np.cumsum(density[order]), mass - _TIE)) + 1
    return _spans(years[np.sort(order[:enough])])


def _spans(chosen: Years) -> list[tuple[int, int]]:
    breaks = np.flatnonzero(np.diff(chosen) > 1)
    firsts = chosen[np.concatenate(([0], breaks + 1))]
    lasts = chosen[np.concatenate((breaks, [len(chosen) - 1]))]
    return list(zip(firsts.tolist(), lasts.tolist(), strict=True))
