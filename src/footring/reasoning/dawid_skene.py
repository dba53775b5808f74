"""Several observers grade the same things, and nobody knows who is right (Dawid and Skene 1979)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from footring.terms.errors import BadInput

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class DawidSkene:
    """What the grades most likely are, and how each observer errs.

    Parameters
    ----------
    prevalence : array, shape (grades,)
        Share of things of each grade.
    error_rates : array, shape (observers, grades, grades)
        p(observer says the last | true is the middle). NaN for an observer who was never shown that grade.
    posterior : array, shape (things, grades)
        p(true grade). A thing nobody graded has the prevalence.
    log_likelihood : float
        Natural logarithm, without the multinomial coefficients.
    iterations : int
        Steps of EM taken.
    """

    prevalence: Floats
    error_rates: Floats
    posterior: Floats
    log_likelihood: float
    iterations: int


def dawid_skene(counts: ArrayLike, *, tolerance: float = 1e-10, most: int = 10_000) -> DawidSkene:
    """Maximum likelihood by EM, started from each thing's share of grades.

    Parameters
    ----------
    counts : array, shape (things, observers, grades)
        How often each observer gave each thing each grade. An observer who did not see a thing has zeros there.
    tolerance : float
        Stop when the log-likelihood grows by less.
    most : int
        Steps at most.

    Raises
    ------
    BadInput
        Another shape, a negative count or none at all.

    Notes
    -----
    Dawid and Skene 1979, Maximum likelihood estimation of observer error-rates using the EM algorithm. When *not* to
    use it: with few ratings an observer each (rates of 0 and 1 come out, and are believed), or where observers copy
    one another, which it takes for agreement. `footring.reasoning.source_records` is made for both.

    Examples
    --------
    >>> three_agree_and_one_differs = [[[1, 0], [1, 0], [1, 0]], [[0, 1], [0, 1], [1, 0]]]
    >>> dawid_skene(three_agree_and_one_differs).posterior.round(3).tolist()
    [[1.0, 0.0], [0.0, 1.0]]
    """
    given = _checked(counts)
    posterior = _shares(given.sum(axis=1))
    before, step = -np.inf, 0
    for step in range(1, most + 1):  # noqa: B007
        prevalence, rates = _maximised(given, posterior)
        posterior, now = _expected(given, prevalence, rates)
        if now - before < tolerance:
            break
        before = now
    seen = np.einsum("ijl,iq->jq", given, posterior)[..., None] > 0
    return DawidSkene(prevalence, np.where(seen, rates, np.nan), posterior, now, step)


def _checked(counts: ArrayLike) -> Floats:
    given = np.asarray(counts, np.float64)
    if given.ndim != 3 or given.size == 0:
        raise BadInput(f"counts of shape (things, observers, grades) were expected, given shape {given.shape}")
    if not (np.isfinite(given).all() and (given >= 0).all() and given.sum() > 0):
        raise BadInput("counts of ratings are numbers of zero or more, not all of them zero; leave zeros for not seen")
    return given


def _shares(weights: Floats) -> Floats:
    """Each row over its sum; even where the sum is nothing."""
    total = weights.sum(axis=-1, keepdims=True)
    return np.where(total > 0, weights / np.where(total > 0, total, 1.0), 1.0 / weights.shape[-1])


def _maximised(given: Floats, posterior: Floats) -> tuple[Floats, Floats]:
    rated = given.sum(axis=(1, 2)) > 0
    return posterior[rated].mean(axis=0), _shares(np.einsum("ijl,iq->jql", given, posterior))


def _expected(given: Floats, prevalence: Floats, rates: Floats) -> tuple[Floats, float]:
    with np.errstate(divide="ignore"):
        log_rates, log_prevalence = np.log(rates), np.log(prevalence)
    # what was never said adds nothing, even at a rate of zero
    terms = np.where(given[:, :, None, :] > 0, given[:, :, None, :] * np.maximum(log_rates, -1e300), 0.0)
    joint = log_prevalence + terms.sum(axis=(1, 3))
    top = joint.max(axis=1, keepdims=True)
    mass = np.exp(joint - top)
    return _shares(mass), float((top[:, 0] + np.log(mass.sum(axis=1))).sum())
