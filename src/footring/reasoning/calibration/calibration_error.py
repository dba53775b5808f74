"""Expected calibration error of stated probabilities (Naeini 2015, Guo 2017)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from footring.reasoning.calibration.arrays import flags, same_length, shares


def calibration_error(p: ArrayLike, right: ArrayLike, bins: int = 15) -> float:
    """Mean distance of stated probability from share right, over equal bins of the probability (Naeini 2015, Guo 2017).

    Parameters
    ----------
    p : array, shape (pieces,)
        How sure each first answer was.
    right : bool array, shape (pieces,)
        Whether it was right.
    bins : int
        Equal in width, each closed above; an empty one counts for nothing.

    Raises
    ------
    BadInput
        If there is no piece, or a probability lies outside 0 to 1.

    Examples
    --------
    >>> round(calibration_error([0.9, 0.9, 0.9, 0.9], [1, 1, 1, 0]), 2)
    0.15

    Notes
    -----
    Biased upward where bins hold few pieces: with a few hundred pieces, 0.02 is within chance of 0.
    """
    stated, came = shares("p", p), flags("right", right)
    same_length(p=stated, right=came)
    which = np.clip(np.ceil(stated * bins).astype(int) - 1, 0, bins - 1)
    gaps = np.bincount(which, came - stated, bins)
    return float(np.abs(gaps).sum() / len(stated))
