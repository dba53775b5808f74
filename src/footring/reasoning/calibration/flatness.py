"""How far values that should be uniform are from it (Kolmogorov 1933)."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy import stats

from footring.reasoning.calibration.arrays import shares


class Flatness(NamedTuple):
    """Distance, what chance alone reaches in 1 of 20 cases, and each bin's share of an even one."""

    distance: float
    by_chance: float
    heights: tuple[float, ...]

    @property
    def flat(self) -> bool:
        """Within chance of even."""
        return self.distance <= self.by_chance


def flatness(values: ArrayLike, bins: int = 10) -> Flatness:
    """Largest gap between the share of values up to u and u itself (Kolmogorov 1933).

    Parameters
    ----------
    values : array, shape (pieces,)
        From 0 to 1, such as probability integral transforms.
    bins : int
        Of the heights reported beside; 1.0 is as many values as an even spread would put there.

    Raises
    ------
    BadInput
        If there is none, or one lies outside 0 to 1.

    Examples
    --------
    >>> round(flatness([0.1, 0.3, 0.5, 0.7, 0.9]).distance, 2)
    0.1

    Notes
    -----
    With tens of thousands of pieces a gap that nobody would notice is beyond chance: look at the distance.
    """
    given = np.sort(shares("values", values))
    count = len(given)
    steps = np.arange(count + 1) / count
    distance = max((steps[1:] - given).max(), (given - steps[:-1]).max())
    heights = np.histogram(given, bins, (0.0, 1.0 + 1e-9))[0] * bins / count
    return Flatness(float(distance), float(stats.kstwo.isf(0.05, count)), tuple(heights.tolist()))
