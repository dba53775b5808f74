"""Randomised probability integral transform of discrete answers (Czado 2009 and others)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from footring.reasoning.calibration.arrays import Floats, numbers
from footring.terms.errors import BadInput


def randomised_pit(below: ArrayLike, at: ArrayLike, seed: int = 1) -> Floats:
    """P(X < truth) + v P(X = truth), v uniform: uniform itself where the answers are calibrated (Czado 2009).

    Parameters
    ----------
    below, at : array, shape (pieces,)
        Probability that was given to all values before the truth, and to the truth.
    seed : int
        Of v.

    Returns
    -------
    array, shape (pieces,)
        From 0 to 1. Heaped in the middle: answers too wide; heaped at both ends: too narrow.

    Raises
    ------
    BadInput
        If the two differ in length.

    Examples
    --------
    >>> (randomised_pit([0.2, 0.9], [0.5, 0.1]) <= [0.7, 1.0]).all()
    np.True_
    """
    lower, width = numbers("below", below), numbers("at", at)
    if lower.shape != width.shape:
        raise BadInput(f"expected one probability a piece in each, given {len(lower)} below and {len(width)} at")
    return np.asarray(np.clip(lower + np.random.default_rng(seed).random(len(lower)) * width, 0.0, 1.0))


def year_pit(years: ArrayLike, density: Floats, truth: ArrayLike, seed: int = 1) -> Floats:
    """The same for answers on one grid of years.

    Parameters
    ----------
    years : int array, shape (years,)
        Ascending, without gaps.
    density : array, shape (pieces, years)
        Probability of each year, each row summing to 1.
    truth : int array, shape (pieces,)
        The true year; one off the grid counts as before or after all of it.

    Examples
    --------
    >>> year_pit([1950, 1951], np.array([[0.5, 0.5]]), [1960])
    array([1.])
    """
    place = np.asarray(truth, dtype=int) - int(np.asarray(years)[0])
    count = density.shape[1]
    sums = np.concatenate([np.zeros((len(density), 1)), np.cumsum(density, axis=1)], axis=1)
    rows = np.arange(len(density))
    below = sums[rows, np.clip(place, 0, count)]
    upto = sums[rows, np.clip(place + 1, 0, count)]
    return randomised_pit(below, upto - below, seed)
