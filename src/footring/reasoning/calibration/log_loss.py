"""The logarithmic score (Good 1952), and regret to somebody who knew more."""

from __future__ import annotations

from numpy.typing import ArrayLike

from footring.reasoning.calibration.arrays import Floats, numbers, same_length


def log_loss(log_p: ArrayLike) -> float:
    """Mean of -log p(truth), in nat (Good 1952). 0 is certain and right.

    Parameters
    ----------
    log_p : array, shape (pieces,)
        Natural logarithm of the probability that was given to what is true; `-inf` makes the loss infinite.

    Raises
    ------
    BadInput
        If there is no piece, or one is missing.

    Examples
    --------
    >>> import numpy as np
    >>> round(log_loss(np.log([0.5, 0.25])), 4)
    1.0397

    Notes
    -----
    Not for densities beside probabilities: only losses on one measure may be compared.
    """
    return 0.0 - float(numbers("log_p", log_p).mean())


def regret(log_p: ArrayLike, oracle_log_p: ArrayLike) -> Floats:
    """How much less each truth was expected than by the oracle, in nat; its mean is the Kullback-Leibler divergence.

    Parameters
    ----------
    log_p, oracle_log_p : array, shape (pieces,)
        Natural logarithm of the probability that each gave to what is true.

    Returns
    -------
    array, shape (pieces,)
        Single pieces may be below 0; the mean is not, beyond chance, when the oracle knew everything.

    Raises
    ------
    BadInput
        If the two differ in length, or one is missing.

    Examples
    --------
    >>> import numpy as np
    >>> regret(np.log([0.5, 0.2]), np.log([0.5, 0.4])).round(3)
    array([0.   , 0.693])
    """
    ours, theirs = numbers("log_p", log_p), numbers("oracle_log_p", oracle_log_p)
    same_length(log_p=ours, oracle_log_p=theirs)
    return theirs - ours
