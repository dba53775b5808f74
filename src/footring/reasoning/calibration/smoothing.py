"""Probabilities of a classifier, made as good as held-out pieces allow: a temperature (Guo 2017) and a floor."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize_scalar
from scipy.special import logsumexp

from footring.reasoning.calibration.answers import Index
from footring.reasoning.calibration.arrays import Floats

SHARES = (0.0003, 0.001, 0.003, 0.01, 0.03, 0.1)


@dataclass(frozen=True, slots=True)
class Smoothing:
    """Scores are divided by `temperature`; `share` of the probability goes evenly to all values."""

    temperature: float
    share: float

    def __call__(self, log: Floats) -> Floats:
        """Probabilities, shape (pieces, values), of log scores of the same shape; -inf for a value never met."""
        sharp = log / self.temperature
        return np.asarray(
            (1 - self.share) * np.exp(sharp - logsumexp(sharp, axis=1, keepdims=True)) + self.share / log.shape[1]
        )


def fit_smoothing(log: Floats, truth: Index) -> Smoothing:
    """The temperature (Guo 2017) and floor under which held-out pieces come out likeliest.

    Parameters
    ----------
    log : array, shape (pieces, values)
        Log scores, -inf for a value never met.
    truth : int array, shape (pieces,)
        Column of the truth.

    Examples
    --------
    >>> fit_smoothing(np.log([[0.99, 0.01], [0.99, 0.01]]), np.array([0, 1])).temperature > 5
    True
    """
    rows = np.arange(len(log))

    def loss(temperature: float, share: float) -> float:
        return float(-np.log(Smoothing(temperature, share)(log)[rows, truth]).mean())

    def best(share: float) -> tuple[float, float]:
        found = minimize_scalar(lambda x: loss(float(np.exp(x)), share), bounds=(-2.5, 4.0), method="bounded")
        return float(found.fun), float(np.exp(found.x))

    tried = {share: best(share) for share in SHARES}
    share = min(tried, key=lambda s: tried[s][0])
    return Smoothing(tried[share][1], share)
