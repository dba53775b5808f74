"""Whether the truth lies in the smallest set of a given mass (Hyndman 1996)."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from footring.reasoning.calibration.arrays import Flags, numbers
from footring.terms.errors import BadInput


def covered(spans: Sequence[Sequence[tuple[int, int]]], truth: ArrayLike) -> Flags:
    """Whether each true year lies in its highest-density set (Hyndman 1996).

    Parameters
    ----------
    spans : sequence, length pieces, of (first, last)
        The sets, as `highest_density_set` gives them, both ends included.
    truth : int array, shape (pieces,)
        The true years.

    Returns
    -------
    bool array, shape (pieces,)
        Its mean is the coverage. Years come whole, so a 90 % set holds a little more than 90 %.

    Raises
    ------
    BadInput
        If there is not one set a piece.

    Examples
    --------
    >>> covered([[(1901, 1903), (1910, 1910)], [(1901, 1903)]], [1910, 1904])
    array([ True, False])
    """
    years = numbers("truth", truth)
    if len(spans) != len(years):
        raise BadInput(f"expected one set a piece, given {len(spans)} sets and {len(years)} pieces")
    within = [any(first <= year <= last for first, last in of) for of, year in zip(spans, years, strict=True)]
    return np.array(within)
