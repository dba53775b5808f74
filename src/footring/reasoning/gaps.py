"""How many years lie between the dates of one piece."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from footring.terms.tables import read_table

Matrix = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Gaps:
    """How the dates of one piece hang together on an annual grid.

    Each matrix has shape (years, years) and rows that sum to 1: `lag` is p(potted | decorated), `form_age`
    p(form_designed | potted), `pattern_age` p(pattern_designed | decorated), `sale_lag` p(sold | decorated), the
    given year in the row. What would fall outside the grid is spread over the years that are left, in proportion.
    """

    lag: Matrix
    form_age: Matrix
    pattern_age: Matrix
    sale_lag: Matrix


@lru_cache(maxsize=8)
def gaps(years_on_grid: int) -> Gaps:
    """The gaps of `tables/gaps.csv` on a grid of so many years.

    Parameters
    ----------
    years_on_grid : int
        Number of years of the grid. Only differences matter, not where it begins.

    Examples
    --------
    >>> bool(np.allclose(gaps(50).lag.sum(axis=1), 1))
    True
    """
    share = _shares(years_on_grid)
    return Gaps(
        lag=_spread(share["lag"]),
        form_age=_spread(share["form_age"]),
        pattern_age=_spread(share["pattern_age"]),
        sale_lag=_spread(share["sale_lag"], later=True),
    )


def _shares(years_on_grid: int) -> dict[str, NDArray[np.float64]]:
    """Height of each gap at 0, 1, 2 ... years apart, straight between the knots of the table."""
    knots: dict[str, list[tuple[int, float]]] = {}
    for row in read_table("footring.reasoning", "gaps.csv"):
        knots.setdefault(row["gap"], []).append((int(row["years_apart"]), float(row["height"])))
    apart = np.arange(years_on_grid)
    return {
        gap: np.interp(apart, [years for years, _ in of_gap], [height for _, height in of_gap])
        for gap, of_gap in knots.items()
    }


def _spread(share: NDArray[np.float64], *, later: bool = False) -> Matrix:
    given, other = np.indices((len(share), len(share)))
    years_apart = other - given if later else given - other
    matrix = np.where(years_apart >= 0, share[np.abs(years_apart)], 0.0)
    matrix /= matrix.sum(axis=1, keepdims=True)
    matrix.flags.writeable = False
    return matrix
