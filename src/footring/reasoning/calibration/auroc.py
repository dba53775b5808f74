"""Area under the curve of hits against false alarms (Hanley and McNeil 1982)."""

from __future__ import annotations

from numpy.typing import ArrayLike
from scipy import stats

from footring.reasoning.calibration.arrays import flags, numbers, same_length


def auroc(score: ArrayLike, is_so: ArrayLike) -> float:
    """Probability that a piece that is so scores above one that is not, ties counting half (Hanley and McNeil 1982).

    Parameters
    ----------
    score : array, shape (pieces,)
        Higher means more likely so.
    is_so : bool array, shape (pieces,)
        What is true.

    Returns
    -------
    float
        0.5 is chance; NaN where all pieces are so, or none.

    Raises
    ------
    BadInput
        If there is no piece.

    Examples
    --------
    >>> auroc([0.1, 0.4, 0.35, 0.8], [0, 0, 1, 1])
    0.75
    """
    scores, truth = numbers("score", score), flags("is_so", is_so)
    same_length(score=scores, is_so=truth)
    yes, no = int(truth.sum()), int((~truth).sum())
    if not yes or not no:
        return float("nan")
    ranks = stats.rankdata(scores)
    return float((ranks[truth].sum() - yes * (yes + 1) / 2) / (yes * no))
