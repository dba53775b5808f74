"""Labels that were stuck on when a piece was sold, and went on being stuck on after their time."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.demo.factory import YEARS
from footring.demo.mark_habits import LATE
from footring.demo.parameters import Parameters
from footring.demo.words import words

Floats = NDArray[np.float64]
LOST = 0.7
"""Share of pieces whose label is gone, or that never had one."""


@dataclass(frozen=True, slots=True, eq=False)
class Labels:
    """All labels, and p(label | year); the last row of the table is none.

    Parameters
    ----------
    lettering : tuple of str
        The factory's own first, then one of each outside maker.
    own : tuple of mapping
        Rows of the factory's own.
    share : array, shape (labels + 1, years)
    """

    lettering: tuple[str, ...]
    own: tuple[dict[str, str], ...]
    share: Floats


def draw_labels(p: Parameters) -> Labels:
    """The labels of a world."""
    own = words("labels")
    theirs = tuple(f"{row['short']} / {row['town'].upper()}" for row in words("makers")[1 : 1 + p.outside_makers])
    share = np.zeros((len(own) + len(theirs) + 1, len(YEARS)))
    for i, row in enumerate(own):
        share[i] = (int(row["first"]) <= YEARS) & (int(row["last"]) >= YEARS)
    share *= (1.0 - LOST) / share.sum(axis=0)
    share[-1] = LOST
    late = share[:, np.maximum(np.arange(len(YEARS)) - LATE, 0)]
    return Labels(
        tuple(row["lettering"] for row in own) + theirs, own, (1.0 - p.left_over) * share + p.left_over * late
    )
