"""Mean ceramic date of a group (South 1977)."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import get_close_matches
from math import isfinite

from footring.terms.errors import BadInput, UnknownName


def mean_ceramic_date(counts: Mapping[str, float], midpoints: Mapping[str, float]) -> float | None:
    """Mean of the types' middle dates, each weighted by how many pieces of it there are.

    Parameters
    ----------
    counts : mapping of type to count
        Pieces of each type in the group. A type counted zero times needs no date.
    midpoints : mapping of type to year
        Middle of the years in which each type was made.

    Returns
    -------
    float or None
        Year and fraction of a year; None for a group of no pieces.

    Raises
    ------
    UnknownName
        If a type that was counted has no date. It is never left out: pieces counted but not dated pull the mean
        towards the other types without a word.
    BadInput
        If a count is negative, or a count or date no finite number.

    Notes
    -----
    South 1977, *Method and Theory in Historical Archeology*. When *not* to use it: for a group that was added to
    over many years the mean falls in a year when little was added; look at `aoristic_sum` beside it.

    Examples
    --------
    >>> mean_ceramic_date({"mottled": 3, "plain": 1}, {"mottled": 1930, "plain": 1950})
    1935.0
    """
    for name, count in counts.items():
        _check(name, count, midpoints)
    total = sum(counts.values())
    if total == 0:
        return None
    return sum(count * midpoints[name] for name, count in counts.items() if count) / total


def _check(name: str, count: float, midpoints: Mapping[str, float]) -> None:
    if not (isfinite(count) and count >= 0):
        raise BadInput(f"type {name!r}: a count is zero or more, given {count}")
    if count and name not in midpoints:
        near = get_close_matches(name, midpoints, 1, cutoff=0.7)
        hint = f"is it {near[0]!r}, spelt otherwise? " if near else ""
        raise UnknownName(f"type {name!r} has no date: {hint}Give it a date, or count it under a dated type")
    if count and not isfinite(midpoints[name]):
        raise BadInput(f"type {name!r}: the middle date is a year, given {midpoints[name]}")
