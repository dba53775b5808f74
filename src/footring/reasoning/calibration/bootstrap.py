"""Percentile intervals from pieces drawn again (Efron 1979), pieces that came together kept together."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from footring.reasoning.calibration.arrays import Floats, numbers
from footring.terms.errors import BadInput

Ints = NDArray[np.int64]
_AT_ONCE = 4_000_000


class Interval(NamedTuple):
    """A figure with the bounds that hold it."""

    value: float
    low: float
    high: float

    @property
    def excludes_0(self) -> bool:
        """Whether the figure differs from 0 beyond chance. False where it could not be told."""
        return self.low > 0 or self.high < 0


def mean_interval(
    values: ArrayLike, *, groups: Sequence[object] | None = None, mass: float = 0.95, draws: int = 2000, seed: int = 1
) -> Interval:
    """Mean with its percentile interval (Efron 1979). Of differences between two methods: the paired interval.

    Parameters
    ----------
    values : array, shape (pieces,)
        One figure a piece.
    groups : sequence, length pieces, optional
        Pieces of one group came together: whole groups are drawn.
    mass : float
        Of the interval.
    draws, seed : int
        How many times the pieces are drawn again, and where the draws begin.

    Raises
    ------
    BadInput
        If there is no piece, one is missing, or groups do not fit.

    Examples
    --------
    >>> mean_interval([1.0, 2.0, 3.0, 4.0]).value
    2.5
    """
    array = numbers("values", values)
    sums, sizes = array, np.ones_like(array)
    if groups is not None:
        which = _group_index(groups, len(array))
        sums, sizes = np.bincount(which, array).astype(float), np.bincount(which).astype(float)
    means = [sums[drawn].sum(axis=1) / sizes[drawn].sum(axis=1) for drawn in _draws(len(sums), draws, seed)]
    return _interval(float(array.mean()), np.concatenate(means), mass)


def statistic_interval(
    statistic: Callable[[Ints], float],
    pieces: int,
    *,
    reflected: bool = False,
    mass: float = 0.95,
    draws: int = 300,
    seed: int = 1,
) -> Interval:
    """Any figure of a set of pieces with its percentile interval (Efron 1979).

    Parameters
    ----------
    statistic : callable
        From the numbers of the pieces drawn, shape (pieces,), to the figure; NaN where those drawn do not allow one.
    pieces : int
        How many there are.
    reflected : bool
        Reflect the drawn figures about the figure, and none below 0: for distances, which drawing again only widens
        (the basic interval, as scipy calls it).

    Raises
    ------
    BadInput
        If there is no piece.

    Examples
    --------
    >>> values = np.arange(100.0)
    >>> statistic_interval(lambda drawn: float(np.median(values[drawn])), 100).value
    49.5
    """
    if pieces < 1:
        raise BadInput("expected at least one piece to draw from, given none")
    found = [statistic(row) for drawn in _draws(pieces, draws, seed) for row in drawn]
    value = statistic(np.arange(pieces))
    drawn = np.maximum(2 * value - np.array(found), 0.0) if reflected else np.array(found)
    return _interval(value, drawn, mass)


def _group_index(groups: Sequence[object], pieces: int) -> Ints:
    if len(groups) != pieces:
        raise BadInput(f"expected a group for each of {pieces} pieces, given {len(groups)}")
    place: dict[object, int] = {}
    return np.array([place.setdefault(group, len(place)) for group in groups])


def _draws(size: int, draws: int, seed: int) -> Iterator[Ints]:
    """Numbers of what is drawn, in blocks small enough for memory, shape (some draws, size)."""
    random = np.random.default_rng(seed)
    rows = max(1, _AT_ONCE // size)
    for first in range(0, draws, rows):
        yield random.integers(0, size, (min(rows, draws - first), size))


def _interval(value: float, drawn: Floats, mass: float) -> Interval:
    if np.isnan(drawn).all():
        return Interval(value, float("nan"), float("nan"))
    low, high = np.nanquantile(drawn, [(1 - mass) / 2, (1 + mass) / 2])
    return Interval(value, float(low), float(high))
