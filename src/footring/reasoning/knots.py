"""The date of any number of a series from a few numbers whose dates are known."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import betainc

from footring.marks.evidence import Window
from footring.reasoning.series import date_series, mass_after, mass_before
from footring.terms.errors import BadInput

Floats = NDArray[np.float64]
Years = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class NumberDates:
    """Dates of some numbers of a series.

    Parameters
    ----------
    density : array, shape (numbers, years)
        In the order asked; each row sums to 1. All zero in a conflict.
    conflict : tuple of int
        Known numbers whose dates cannot all be true in this order; empty when there is none.
    """

    density: Floats
    conflict: tuple[int, ...] = ()


def date_numbers(
    numbers: Sequence[int],
    known: Mapping[int, Window],
    years: Years,
    *,
    evenness: float = 1.0,
    exception_rate: float = 0.0,
) -> NumberDates:
    """Years in which numbers were given out, from the dates of other numbers of the series.

    Parameters
    ----------
    numbers : sequence of int
    known : mapping of number to Window
        Years a dated piece with that number allows. A window's slopes are its own uncertainty.
    years : array of int, shape (years,)
        Annual grid, ascending, without gaps.
    evenness : float
        How evenly numbers were given out: the spread of a year's count of numbers, as a share of its mean, is
        1 / sqrt(evenness). 1 is as uneven as chance; 0 is nothing but the order; a large value a straight line.
    exception_rate : float
        Chance that a known number's date is not that of its place in the series; see `date_series`.

    Returns
    -------
    NumberDates

    Raises
    ------
    BadInput
        If nothing is known, or `evenness` is negative.

    Notes
    -----
    Between two known numbers given out in years r <= s, the share of their interval given out by a time t is
    Beta(evenness (t - r), evenness (s + 1 - t)), as for a gamma process tied down at both ends (Ferguson 1973,
    Ann. Statist. 1:209-230), so the date's distribution is exact, and it is averaged over the posterior of (r, s).
    Beyond the first and last known number only the order speaks, as far as the grid goes.

    When *not* to use it: for a printed table of first numbers a year, look the number up
    (`footring.marks.numbered.year_of_number`).

    Examples
    --------
    >>> years = np.arange(1930, 1941)
    >>> found = date_numbers([150], {100: Window(1932, 1932), 200: Window(1936, 1936)}, years)
    >>> float((found.density[0] @ years).round(6))
    1934.0
    """
    if not known or evenness < 0:
        raise BadInput("expected at least one number with its date, and an evenness of 0 or more")
    order = sorted(known)
    likelihoods = np.array([known[number].shape(years) for number in order])
    posterior = date_series(likelihoods, exception_rate=exception_rate)
    if posterior.conflict:
        fighting = tuple(order[member] for member in posterior.conflict)
        return NumberDates(np.zeros((len(numbers), len(years))), fighting)
    effective = (1 - exception_rate) * likelihoods + exception_rate * likelihoods.mean(axis=1, keepdims=True)
    pairs = _Pairs.of(effective)
    rows = [_density(number, order, posterior.running, pairs, evenness) for number in numbers]
    return NumberDates(np.array(rows).reshape(len(numbers), len(years)))


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Log mass of each known number with all before it (`up_to`), and with all after it (`from_here`)."""

    up_to: Floats
    from_here: Floats

    @classmethod
    def of(cls, effective: Floats) -> _Pairs:
        with np.errstate(divide="ignore"):
            log_weights = np.log(effective)
        return cls(mass_before(log_weights) + log_weights, mass_after(log_weights) + log_weights)

    def joint(self, below: int) -> Floats:
        """p(year of a known number, year of the next), shape (years, years), zero out of order."""
        log_mass = self.up_to[below][:, None] + self.from_here[below + 1][None, :]
        log_mass[np.tril_indices(len(log_mass), -1)] = -np.inf
        mass = np.exp(log_mass - log_mass.max())
        return np.asarray(mass / mass.sum())


def _density(number: int, order: list[int], running: Floats, pairs: _Pairs, evenness: float) -> Floats:
    below = bisect_right(order, number) - 1
    if below >= 0 and order[below] == number:
        return np.asarray(running[below])
    if below < 0:
        return _later_than_none(running[0])
    if below == len(order) - 1:
        return _later_than_none(running[-1][::-1])[::-1]
    share = (number - order[below]) / (order[below + 1] - order[below])
    return _between(pairs.joint(below), share, evenness)


def _later_than_none(running: Floats) -> Floats:
    """Any year of the grid up to the known one's, all alike."""
    each = running / np.arange(1, len(running) + 1)
    return np.asarray(each[::-1].cumsum()[::-1])


def _between(joint: Floats, share: float, evenness: float) -> Floats:
    """Average of the tied-down process over the two known numbers' years, one number of years apart at a time."""
    size = len(joint)
    density = np.zeros(size)
    for apart in range(size):
        starts = np.diagonal(joint, apart)
        if starts.any():
            density += np.convolve(starts, _steps(apart + 1, share, evenness))[:size]
    return density


def _steps(span: int, share: float, evenness: float) -> Floats:
    """p(year | a span of so many years, both its ends known numbers), shape (span,)."""
    if evenness == 0 or span == 1:
        return np.full(span, 1.0 / span)
    inner = np.arange(1, span)
    reached = 1.0 - betainc(evenness * inner, evenness * (span - inner), share)
    return np.diff(np.concatenate(([0.0], reached, [1.0])))
