"""How much an outcome not yet seen would tell, on the average."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def entropy_bits(p: Floats) -> float:
    """Entropy of a distribution, in bits.

    Examples
    --------
    >>> entropy_bits(np.array([0.5, 0.25, 0.25]))
    1.5
    """
    some = p[p > 0]
    return float(-(some * np.log2(some)).sum())


def information_bits(prior: Floats, likelihood: Floats) -> float:
    """Expected information of an experiment about what is hidden [lindley1956]_: I(hidden; outcome), never negative.

    Parameters
    ----------
    prior : array, shape (values,)
        p(hidden); sums to 1.
    likelihood : array, shape (values, outcomes)
        p(outcome | hidden); rows sum to 1.

    Examples
    --------
    >>> information_bits(np.array([0.5, 0.5]), np.eye(2)), information_bits(np.array([0.5, 0.5]), np.full((2, 2), 0.5))
    (1.0, 0.0)
    """
    joint = prior[:, None] * likelihood
    outcome = joint.sum(axis=0)
    told = entropy_bits(outcome) - float(prior @ np.array([entropy_bits(row) for row in likelihood]))
    return max(0.0, told)
