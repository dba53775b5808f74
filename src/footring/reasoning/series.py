"""Numbers issued in order date each other, exactly.

Every member of a series has a *running date*, the year its number was given out, and running dates never fall as
the numbers rise. A member's own date is its running date, or, with the exception rate, any year at all: a number
given to an older design, a number used again. So an exception says nothing of its neighbours.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from footring.terms.errors import BadInput

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SeriesPosterior:
    """Dates of the members of a series.

    Parameters
    ----------
    marginals : array, shape (members, years)
        p(date of the member | everything); each row sums to 1. All zero in a conflict.
    running : array, shape (members, years)
        The same for the running date; equal to `marginals` where no exceptions are allowed.
    log_evidence : float
        Natural logarithm of the sum, over all orderly sequences of running dates, of the product of likelihoods;
        -inf in a conflict.
    p_exception : array, shape (members,)
        Chance that the member's date is not its running date.
    conflict : tuple of int
        Positions of members that cannot all be true in this order: leave any one of them out and the rest can.
        Empty when there is none.
    """

    marginals: Floats
    running: Floats
    log_evidence: float
    p_exception: Floats
    conflict: tuple[int, ...] = ()


def date_series(
    likelihoods: ArrayLike, *, strict: bool = False, exception_rate: float = 0.0, prior: ArrayLike | None = None
) -> SeriesPosterior:
    """Posterior of every date of a series whose numbers were issued in order.

    Parameters
    ----------
    likelihoods : array_like, shape (members, years)
        Members in order of their numbers, years in order; each row what is known of that member's own date, on any
        scale of its own. A row of ones: nothing known.
    strict : bool
        Whether each running date must be later than the one before (one number a year at most) rather than not
        earlier.
    exception_rate : float
        Chance, 0 to below 1, that a member's date is not its running date.
    prior : array_like, shape (years,), optional
        Relative chance of each year for every running date, and for the dates of exceptions. All years alike
        without it.

    Returns
    -------
    SeriesPosterior
        Evidence that cannot all be true gives `conflict`, never an exception and never NaN.

    Raises
    ------
    BadInput
        If an argument has the wrong shape or a value that is no likelihood.

    See Also
    --------
    Rabiner 1989 (Proc. IEEE 77:257-286) for the forward-backward recursion. Work is O(members x years), in
    logarithms, since in a long series the orderly sequences through one year outnumber those through another by
    hundreds of orders of magnitude.

    Notes
    -----
    When *not* to use it: numbers given out in blocks to several departments at once are several series.

    Examples
    --------
    >>> known = np.ones((3, 5))
    >>> known[1] = [0, 0, 1, 0, 0]
    >>> date_series(known).marginals[0].round(2)
    array([0.33, 0.33, 0.33, 0.  , 0.  ])
    """
    given = _checked(likelihoods, strict)
    chances = _chances(prior, given.shape[1])
    if not 0.0 <= exception_rate < 1.0:
        raise BadInput(f"exception_rate is a chance from 0 to below 1, given {exception_rate}")
    as_issued = (1.0 - exception_rate) * given
    otherwise = exception_rate * (given @ (chances / chances.sum()))
    effective = (as_issued + otherwise[:, None]) * chances
    with np.errstate(divide="ignore"):
        log_weights = np.log(effective)
    log_running = _log_running(log_weights, strict)
    log_evidence = float(np.logaddexp.reduce(log_running[0]))
    if log_evidence == -np.inf:
        none = np.zeros_like(given)
        return SeriesPosterior(none, none, -np.inf, np.zeros(len(given)), _fighting(effective > 0, strict))
    running = np.exp(log_running - np.logaddexp.reduce(log_running, axis=1, keepdims=True))
    return _own_dates(running, given * chances, as_issued, otherwise, log_evidence)


def _checked(likelihoods: ArrayLike, strict: bool) -> Floats:
    given = np.asarray(likelihoods, dtype=float)
    if given.ndim != 2 or 0 in given.shape:
        raise BadInput(f"likelihoods have the shape (members, years), at least one of each; given {given.shape}")
    bad = np.flatnonzero(~(np.isfinite(given) & (given >= 0)).all(axis=1))
    if len(bad):
        raise BadInput(f"likelihoods are finite and not negative; member {bad[0]} has {given[bad[0]].min()}")
    if strict and len(given) > given.shape[1]:
        raise BadInput(
            f"{len(given)} members cannot each have a year of their own among {given.shape[1]}:"
            " use strict=False or a finer grid"
        )
    return given


def _chances(prior: ArrayLike | None, years: int) -> Floats:
    chances = np.ones(years) if prior is None else np.asarray(prior, dtype=float)
    if chances.shape != (years,) or not (np.isfinite(chances) & (chances >= 0)).all() or not chances.any():
        raise BadInput(f"the prior is one finite chance, not negative, for each of the {years} years; given {prior!r}")
    return chances


def _log_running(log_weights: Floats, strict: bool) -> Floats:
    """Logarithm of the joint mass of the evidence and each running date, shape (members, years)."""
    return mass_before(log_weights, strict) + log_weights + mass_after(log_weights, strict)


def mass_after(log_weights: Floats, strict: bool = False) -> Floats:
    """Logarithm of the mass of all later members, given that this one's running date is each year."""
    return mass_before(log_weights[::-1, ::-1], strict)[::-1, ::-1]


def mass_before(log_weights: Floats, strict: bool = False) -> Floats:
    """Logarithm of the mass of all earlier members, given that this one's running date is each year."""
    mass = np.zeros_like(log_weights)
    for before, weight, here in zip(mass[:-1], log_weights[:-1], mass[1:], strict=True):
        so_far = np.logaddexp.accumulate(before + weight)
        if strict:
            here[0], here[1:] = -np.inf, so_far[:-1]
        else:
            here[:] = so_far
    return mass


def _own_dates(
    running: Floats, free: Floats, as_issued: Floats, otherwise: Floats, log_evidence: float
) -> SeriesPosterior:
    """Take each member's running date apart into "dated as issued" and "an exception, dated freely"."""
    total = as_issued + otherwise[:, None]
    share = np.divide(as_issued, total, out=np.zeros_like(total), where=total > 0)
    regular = running * share
    p_exception = np.clip(1.0 - regular.sum(axis=1), 0.0, 1.0) * (otherwise > 0)
    norm = free.sum(axis=1, keepdims=True)
    freely = np.divide(free, norm, out=np.zeros_like(free), where=norm > 0)
    marginals = regular + p_exception[:, None] * freely
    return SeriesPosterior(marginals, running, log_evidence, p_exception)


def _fighting(possible: NDArray[np.bool_], strict: bool) -> tuple[int, ...]:
    """Members whose possible years cannot be put in order, none of them dispensable.

    Walk up the series at the earliest possible year of each; the first that finds none fights with those that
    pushed the year up on the way. Then leave out whoever is not needed for the fight.
    """
    members = range(len(possible))
    kept = [member for member in members if not possible[member].all()]
    blamed = _pushers(possible, kept, strict)
    for member in list(blamed):
        rest = [other for other in blamed if other != member]
        if _pushers(possible, rest, strict):
            blamed = rest
    return tuple(blamed)


def _pushers(possible: NDArray[np.bool_], kept: list[int], strict: bool) -> list[int]:
    """Members that pushed the year up, and the first that finds no year; empty when all find one."""
    step = int(strict)
    after = (len(possible) - 1) * step
    year, previous = 0, 0
    pushed: list[int] = []
    for member in kept:
        year += step * (member - previous)
        previous = member
        open_years = np.flatnonzero(possible[member, year : possible.shape[1] - after + step * member])
        if not len(open_years):
            return [*pushed, member]
        if open_years[0]:
            pushed.append(member)
        year += int(open_years[0])
    return []
