"""What one thing on a foot says about when the piece was made.

An `Evidence` is a likelihood over years for one of the dates of a piece: 1 where the reading is just what one
would expect, falling over a few soft years to a floor. The floor is what is left for exceptions, misreadings
and chance; a hard bound has none.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

DATES = ("form_designed", "pattern_designed", "potted", "decorated", "sold")
"""The dates a piece of evidence may speak of. The first four are reported; `sold` only carries labels."""


@dataclass(frozen=True, slots=True)
class Window:
    """Years in which a reading is as expected, with edges that slope.

    Parameters
    ----------
    first, last : int or None
        First and last year, both included; None leaves that side open.
    soft_before, soft_after : float
        Years over which the likelihood falls from 1 to the floor outside each edge, in a straight line. 0 is a step.
    weight : float
        Height of this window against the other windows of the same evidence, 0 to 1.
    """

    first: int | None
    last: int | None
    soft_before: float = 0.0
    soft_after: float = 0.0
    weight: float = 1.0

    def shape(self, years: NDArray[np.int64]) -> NDArray[np.float64]:
        """Height at each year, 0 to `weight`."""
        height = np.full(len(years), self.weight)
        if self.first is not None:
            height = np.minimum(height, self.weight * _slope(years - self.first, self.soft_before))
        if self.last is not None:
            height = np.minimum(height, self.weight * _slope(self.last - years, self.soft_after))
        return height


def _slope(inside_by: NDArray[np.int64], soft: float) -> NDArray[np.float64]:
    return np.clip(1.0 + inside_by / (soft + 1.0), 0.0, 1.0) if soft > 0 else (inside_by >= 0).astype(float)


@dataclass(frozen=True, slots=True)
class Evidence:
    """One reading's likelihood over the years, and what it rests on.

    Parameters
    ----------
    reading : str
        What was read, as typed ("MADE IN JAPAN").
    says : str
        One short clause for a label ("words the customs asked for from 1921").
    speaks_of : tuple of str
        Which of `DATES` it bears on. More than one: it bears on exactly one of them, each equally likely.
    windows : sequence of Window
        A *set* of spans; the likelihood is their upper envelope.
    floor : float
        Likelihood left outside every window, 0 to 1. 0 is a hard bound.
    family : str
        Evidence of one family repeats itself: at each year only the lowest likelihood of the family counts.
    kind : str
        "wording", "registration", "date code", "year", "maker" or "known".
    strength : str
        "law", "law_with_exceptions", "administrative_order", "political_fact", "standard", "convention" or "fact".
    rule, source, status : str
        Id of the row it comes from, the citation, and "opened" or "memory".
    part : int or None
        Index of the mark part it was read in; None for a reading given apart.
    """

    reading: str
    says: str
    speaks_of: tuple[str, ...]
    windows: tuple[Window, ...]
    floor: float
    family: str
    kind: str
    strength: str
    rule: str
    source: str
    status: str
    part: int | None = None

    @property
    def hard(self) -> bool:
        """Whether years outside the windows are ruled out."""
        return self.floor == 0.0

    def likelihood(self, years: NDArray[np.int64]) -> NDArray[np.float64]:
        """Likelihood at each year, between the floor and 1.

        Examples
        --------
        >>> import numpy as np
        >>> w = Window(1921, None, soft_before=4)
        >>> e = Evidence("JAPAN", "", ("decorated",), (w,), 0.1, "origin", "wording", "law", "X", "", "memory")
        >>> e.likelihood(np.array([1915, 1919, 1921, 1950])).round(2)
        array([0.1 , 0.64, 1.  , 1.  ])
        """
        return self.floor + (1.0 - self.floor) * envelope(self.windows, years)


def envelope(windows: Sequence[Window], years: NDArray[np.int64]) -> NDArray[np.float64]:
    """Upper envelope of several windows at each year; 0 everywhere for none."""
    height = np.zeros(len(years))
    for window in windows:
        height = np.maximum(height, window.shape(years))
    return height


USUAL_YEARS = np.arange(1850, 1991)
"""Years over which a share of marks that break a rule is spread."""


def floor_for(share: float, windows: Sequence[Window]) -> float:
    """Floor under which a given share of the marks falls outside the windows.

    With ware spread evenly over 1850-1990 and `inside` years within the windows, marks outside are a share
    f x outside / (inside + f x outside) of all. A rule of six years that three marks in a hundred break needs a far
    lower floor than one of a century. Never more than the share itself.

    Parameters
    ----------
    share : float
        Share of such marks that lie outside, 0 to 1; 0 is a hard bound.
    windows : sequence of Window

    Examples
    --------
    >>> round(floor_for(0.03, [Window(1947, 1952)]), 5), floor_for(0.03, [Window(1891, None)])
    (0.00137, 0.03)
    """
    inside = max(1.0, float(envelope(windows, USUAL_YEARS).sum()))
    outside = len(USUAL_YEARS) - inside
    return min(share, share / (1.0 - share) * inside / outside) if outside > 0 else share
