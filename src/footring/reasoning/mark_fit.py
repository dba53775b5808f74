"""Shares of totals become shares at each year."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Index = NDArray[np.int32]

ROUNDS = 25
"""Steps of the fit; more change a share by less than counting errors do."""


def fitted_weights(height: Floats, group: Index, target: Floats, years: Floats, trust: Floats) -> Floats:
    """Weights whose shares at each year add up to the totals counted.

    Parameters
    ----------
    height : array, shape (rows, years)
        Above 0, at most 1: the window of each thing in its group.
    group : array of int, shape (rows,)
        Ascending.
    target : array, shape (rows,)
        Share of each row in the total of its group, over all years; each group sums to 1.
    years : array, shape (groups, years)
        How the pieces of each group are spread over the years; rows sum to 1.
    trust : array, shape (groups,)
        How far the totals were counted, 0 to 1. With 0 they are belief alone, and are the weights.

    Returns
    -------
    array, shape (rows,)
        Each group sums to 1.

    Notes
    -----
    The weights are those of a choice model, one choice a piece among what is in use in its year, fitted by the
    minorise-maximise step of Hunter 2004 (MM algorithms for generalized Bradley-Terry models, Ann. Stat. 32:384),
    a fixed number of rounds from the totals, which are also its prior (gamma, for 1 - `trust` of the pieces).

    Examples
    --------
    >>> height, even = np.array([[1.0, 1.0], [1e-6, 1.0]]), np.full((1, 2), 0.5)
    >>> group = np.array([0, 0])
    >>> weight = fitted_weights(height, group, np.array([0.75, 0.25]), even, np.ones(1))
    >>> normalised(weight, height, group).round(2)
    array([[1. , 0.5],
           [0. , 0.5]])
    """
    if len(group) == 0:
        return target
    first, place = _runs(group)
    weight, spread, trusted = target, years[group[first]], trust[group]
    for _ in range(ROUNDS):
        met = spread / np.add.reduceat(weight[:, None] * height, first, axis=0)
        weight = target / (trusted * np.einsum("ry,ry->r", height, met[place]) + 1.0 - trusted)
        weight = weight / np.add.reduceat(weight, first)[place]
    return weight


def normalised(weight: Floats, height: Floats, group: Index) -> Floats:
    """Weight x height over the sum of the group at that year, shape (rows, years)."""
    if len(group) == 0:
        return height
    first, place = _runs(group)
    mass = weight[:, None] * height
    return np.asarray(mass / np.add.reduceat(mass, first, axis=0)[place])


def _runs(group: Index) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Where each run of one group begins, and which run each row is in."""
    begins = np.diff(group, prepend=-1) != 0
    return np.flatnonzero(begins), (np.cumsum(begins) - 1).astype(np.intp)
