"""Scores made into probabilities as good as held-out pieces allow: a temperature (Guo 2017) and a floor."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize_scalar
from scipy.special import softmax

from footring.reasoning.calibration.answers import Index
from footring.reasoning.calibration.arrays import Floats

SHARES = (0.0001, 0.0003, 0.001, 0.003, 0.01, 0.03, 0.1, 0.2, 0.4)
LEAST, COOLEST, HOTTEST = 1e-12, -4.0, 4.0


@dataclass(frozen=True, slots=True)
class Smoothing:
    """Scores are divided by `temperature`; `share` of the probability goes evenly to all values."""

    temperature: float
    share: float

    def __call__(self, log: Floats, new: float = 0.0) -> Floats:
        """Probabilities, shape (pieces, values), of log scores of the same shape; -inf for a value never met.

        Parameters
        ----------
        new : float
            Share of the pieces that are of a value never met, all of these alike.
        """
        return np.asarray((1 - self.share) * _shared_out(log, self.temperature, new) + self.share / log.shape[1])


def _shared_out(log: Floats, temperature: float, new: float) -> Floats:
    never = np.isneginf(log[:1]).ravel()
    new = new if never.any() else 0.0
    return np.asarray((1 - new) * softmax(log / temperature, axis=1) + new * never / max(never.sum(), 1))


def chance_of_new(truth: Index) -> float:
    """Share of pieces to come that are of a value not among these: as many as were met once (Good 1953).

    Parameters
    ----------
    truth : int array, shape (pieces,)
        What each piece met is.

    Examples
    --------
    >>> chance_of_new(np.array([3, 3, 5, 7]))
    0.5
    """
    return float((np.bincount(truth) == 1).sum() / len(truth))


def fit_smoothing(log: Floats, truth: Index, new: float = 0.0) -> Smoothing:
    """The temperature (Guo 2017) and floor under which held-out pieces come out likeliest.

    Parameters
    ----------
    log : array, shape (pieces, values)
        Log scores, -inf for a value never met.
    truth : int array, shape (pieces,)
        Column of the truth.
    new : float
        As in `Smoothing`.

    Examples
    --------
    >>> fit_smoothing(np.log([[0.99, 0.01], [0.99, 0.01]]), np.array([0, 1])).temperature > 5
    True
    """
    rows = np.arange(len(log))
    return fit_to_truths(lambda temperature: _shared_out(log, temperature, new)[rows, truth], log.shape[1])


def fit_to_truths(of_truth: Callable[[float], Floats], values: float) -> Smoothing:
    """The same, from what each temperature gives to the truths, shape (pieces,), of so many values."""

    def losses(x: float) -> Floats:
        p = of_truth(float(np.exp(x)))
        return np.array([-np.log(np.maximum((1 - s) * p + s / values, LEAST)).mean() for s in SHARES])

    x = float(minimize_scalar(lambda x: losses(x).min(), bounds=(COOLEST, HOTTEST), method="bounded").x)
    return Smoothing(float(np.exp(x)), SHARES[int(losses(x).argmin())])
