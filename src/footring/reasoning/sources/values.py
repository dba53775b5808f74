"""Values that claims give one thing, and which of them can be true together."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from footring.terms.dates import UncertainDate, parse_edtf
from footring.terms.errors import BadInput


def supports(values: Sequence[str | None], dates: bool) -> NDArray[np.bool_]:
    """Whether a claim for one value is borne out when another is true, shape (true, claimed).

    Parameters
    ----------
    values : sequence of str or None
        Plain values, each once.
    dates : bool
        A date lies within a vaguer one: whoever said 1934 to 1936 is right if it was 1934. Spans that lasted agree
        when both their ends do, as far as these are vague.

    Examples
    --------
    >>> supports(["1934", "[1934..1936]"], dates=True).tolist()
    [[True, True], [False, True]]
    """
    read = [_date(value) if dates else None for value in values]
    whole = np.eye(len(values), dtype=bool)
    for true, one in enumerate(read):
        for claimed, other in enumerate(read):
            if one is not None and other is not None and true != claimed:
                whole[true, claimed] = _within(one, other)
    return whole


def narrowest(within: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Of what `supports` gives, the values that hold no narrower one: these exclude one another."""
    narrower = within & ~within.T
    return np.flatnonzero(~narrower.any(axis=0))


def _date(value: str | None) -> UncertainDate | None:
    try:
        return parse_edtf(value) if value else None
    except BadInput:
        return None


def _within(one: UncertainDate, other: UncertainDate) -> bool:
    if (one.kind == "interval") != (other.kind == "interval"):
        return False
    lowest, highest = other.year_min, other.year_max
    if one.kind == "interval":
        first = _near(
            one.first_year, lowest, other.first_year, other.first_year and other.first_year + other.soft_before_years
        )
        return first and _near(
            one.last_year, other.last_year and other.last_year - other.soft_after_years, other.last_year, highest
        )
    after = lowest is None or (one.first_year is not None and one.first_year >= lowest)
    return after and (highest is None or (one.last_year is not None and one.last_year <= highest))


def _near(year: int | None, low: int | None, same: int | None, high: int | None) -> bool:
    if year is None or low is None or high is None:
        return year == same
    return low <= year <= high
