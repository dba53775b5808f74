"""Average precision: precision at each hit, from the highest score down (Buckley and Voorhees 2000)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from footring.reasoning.calibration.arrays import flags, numbers, same_length


def average_precision(score: ArrayLike, is_so: ArrayLike) -> float:
    """Precision averaged over the pieces that are so (Buckley and Voorhees 2000); tied scores come in together.

    Parameters
    ----------
    score : array, shape (pieces,)
        Higher means more likely so.
    is_so : bool array, shape (pieces,)
        What is true.

    Returns
    -------
    float
        Chance gives the share of pieces that are so; NaN where none is.

    Raises
    ------
    BadInput
        If there is no piece.

    Examples
    --------
    >>> round(average_precision([0.1, 0.4, 0.35, 0.8], [0, 0, 1, 1]), 4)
    0.8333
    """
    scores, truth = numbers("score", score), flags("is_so", is_so)
    same_length(score=scores, is_so=truth)
    if not truth.any():
        return float("nan")
    order = np.argsort(-scores, kind="stable")
    ends = np.flatnonzero(np.append(np.diff(scores[order]) != 0, True))
    hits = np.cumsum(truth[order])[ends]
    return float((np.diff(hits, prepend=0) * hits / (ends + 1)).sum() / truth.sum())
