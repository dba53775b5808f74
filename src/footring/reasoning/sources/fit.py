"""Log-odds of being right, fitted to claims that pieces bear out or contradict.

The log-odds of a claim are those of its source, and shifts for the kind of claim, for this source's kind of claim,
and for how firmly it was put. A source's own have the Beta prior of its kind, as claims right and wrong; the shifts
are normal. Whether a claim is true is itself not known, only how far pieces speak for it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import betaincinv, expit, logit

from footring.reasoning.sources.said import Floats, Ints

_MOST_STEPS = 500
_CLOSE = 1e-10


@dataclass(frozen=True, slots=True, eq=False)
class Checked:
    """Claims that could be checked, arrays of shape (claims,).

    Parameters
    ----------
    source, kind, firmness : int array
        Index of the source, the kind of claim, and how firmly it was put.
    log_odds : float array
        That it is true, from even, as far as pieces go.
    weight : float array
        Its part of one voice.
    """

    source: Ints
    kind: Ints
    firmness: Ints
    log_odds: Floats
    weight: Floats

    def gathered(self) -> Checked:
        """Claims alike put together and in a fixed order, so that no sum depends on the order of rows."""
        odds, of_odds = np.unique(self.log_odds.round(9), return_inverse=True)
        weight, of_weight = np.unique(self.weight.round(9), return_inverse=True)
        sizes = (int(self.source.max(initial=0)) + 1, 1 << 8, 1 << 4, len(odds) or 1, len(weight) or 1)
        keys = np.ravel_multi_index((self.source, self.kind, self.firmness, of_odds, of_weight), sizes)
        alike, times = np.unique(keys, return_counts=True)
        source, kind, firmness, of_odds, of_weight = np.unravel_index(alike, sizes)
        return Checked(source, kind, firmness, odds[of_odds], weight[of_weight] * times)


@dataclass(frozen=True, slots=True, eq=False)
class Priors:
    """Where the fit starts from.

    Parameters
    ----------
    right, wrong : float array, shape (sources,)
        Beta prior of each source.
    shift, sd : float array, shape (kinds + firmnesses,)
        Normal priors of the shifts that all sources share.
    own_sd : float
        Standard deviation of one source's shift for one kind of claim.
    kinds : int
        How many kinds of claim there are.
    """

    right: Floats
    wrong: Floats
    shift: Floats
    sd: Floats
    own_sd: float
    kinds: int


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """The fitted log-odds and what is needed for their spread.

    Parameters
    ----------
    own : float array, shape (sources, 1 + kinds)
        Each source's log-odds, and its shifts by kind of claim.
    shared : float array, shape (kinds + firmnesses,)
        Shifts all sources share.
    inverse : float array, shape (sources, 1 + kinds, 1 + kinds)
        Inverse curvature of each source's own, the shared held fixed.
    lean : float array, shape (sources, 1 + kinds, kinds + firmnesses)
        How far a source's own gives way to each of the shared.
    shared_cov : float array, shape (kinds + firmnesses, kinds + firmnesses)
    steps : int
        Steps taken.
    """

    own: Floats
    shared: Floats
    inverse: Floats
    lean: Floats
    shared_cov: Floats
    steps: int

    def log_odds(self, source: Ints, kind: Ints, firmness: Ints) -> Floats:
        """Of claims by source, kind and firmness, shape (claims,)."""
        kinds = self.own.shape[1] - 1
        own = self.own[source, 0] + self.own[source, 1 + kind]
        return np.asarray(own + self.shared[kind] + self.shared[kinds + firmness])

    def spread(self, source: Ints, own: Floats, shared: Floats) -> tuple[Floats, Floats]:
        """Mean and standard deviation of sums of the parameters.

        Parameters
        ----------
        source : int array, shape (n,)
        own, shared : float array, shape (n, 1 + kinds) and (n, kinds + firmnesses)
            How often each parameter enters.
        """
        mean = (self.own[source] * own).sum(axis=1) + shared @ self.shared
        rest = shared - np.einsum("nm,nmg->ng", own, self.lean[source])
        variance = np.einsum("nm,nmk,nk->n", own, self.inverse[source], own)
        return mean, np.sqrt(variance + np.einsum("ng,gh,nh->n", rest, self.shared_cov, rest))


def fit(checked: Checked, priors: Priors) -> Fit:
    """Most probable log-odds, summed over which claims are true, by Newton steps that never lead down.

    Notes
    -----
    For one source and one kind of claim, put one way and checked beyond doubt, the answer is the Beta posterior: the
    mode of its log-odds is the logit of its mean. The curvature at the end is that of the observed data: claims that
    pieces leave open make nothing surer.
    """
    claims = checked.gathered()
    own, shared = np.zeros((len(priors.right), 1 + priors.kinds)), priors.shift.copy()
    own[:, 0] = logit(priors.right / (priors.right + priors.wrong))
    step, longest = 0, np.inf
    while step < _MOST_STEPS and longest > _CLOSE:
        chance, true = _expected(claims, own, shared)
        slopes = _slopes(claims, priors, own, shared, true - chance)
        move = _solved(_curvature(claims, priors, own, _known(chance, true)), *slopes)
        longest = max(np.abs(part).max(initial=0.0) for part in move)
        own, shared = _uphill(claims, priors, (own, shared), move)
        step += 1
    chance, true = _expected(claims, own, shared)
    inverse, lean, cov = _inverted(_curvature(claims, priors, own, _known(chance, true)))
    return Fit(own, shared, inverse, lean, cov, step)


def _uphill(
    claims: Checked, priors: Priors, here: tuple[Floats, Floats], move: tuple[Floats, Floats]
) -> tuple[Floats, Floats]:
    """As much of the move as does not lead down."""
    height = log_posterior(claims, priors, *here)
    scale = 1.0
    while scale > 1e-6:
        own, shared = here[0] + scale * move[0], here[1] + scale * move[1]
        if log_posterior(claims, priors, own, shared) >= height - 1e-12 * (1 + abs(height)):
            return own, shared
        scale /= 2
    return here


def log_posterior(claims: Checked, priors: Priors, own: Floats, shared: Floats) -> float:
    """What is made as large as can be: natural logarithm, up to a constant."""
    odds = _log_odds(claims, own, shared)
    told = claims.weight * (np.logaddexp(0.0, odds + claims.log_odds) - np.logaddexp(0.0, odds))
    start = own[:, 0]
    beta_part = -priors.right * np.logaddexp(0.0, -start) - priors.wrong * np.logaddexp(0.0, start)
    normal = (own[:, 1:] ** 2).sum() / priors.own_sd**2 + ((shared - priors.shift) ** 2 * _precision(priors.sd)).sum()
    return float(told.sum() + beta_part.sum() - normal / 2)


def _log_odds(claims: Checked, own: Floats, shared: Floats) -> Floats:
    kinds = own.shape[1] - 1
    odds = own[claims.source, 0] + own[claims.source, 1 + claims.kind]
    return np.asarray(odds + shared[claims.kind] + shared[kinds + claims.firmness])


def _expected(claims: Checked, own: Floats, shared: Floats) -> tuple[Floats, Floats]:
    """How likely each claim is to be true before and after looking at pieces."""
    odds = _log_odds(claims, own, shared)
    return expit(odds), expit(odds + claims.log_odds)


def _known(chance: Floats, true: Floats) -> Floats:
    return np.maximum(chance * (1 - chance) - true * (1 - true), 0.0)


def _slopes(claims: Checked, priors: Priors, own: Floats, shared: Floats, error: Floats) -> tuple[Floats, Floats]:
    weighted = claims.weight * error
    of_own = -own / priors.own_sd**2
    start = expit(own[:, 0])
    of_own[:, 0] = priors.right - (priors.right + priors.wrong) * start
    np.add.at(of_own, (claims.source, np.zeros_like(claims.source)), weighted)
    np.add.at(of_own, (claims.source, 1 + claims.kind), weighted)
    of_shared = (priors.shift - shared) * _precision(priors.sd)
    np.add.at(of_shared, claims.kind, weighted)
    np.add.at(of_shared, priors.kinds + claims.firmness, weighted)
    return of_own, of_shared


def _precision(sd: Floats) -> Floats:
    return 1.0 / np.maximum(sd, 1e-6) ** 2


def _curvature(claims: Checked, priors: Priors, own: Floats, known: Floats) -> tuple[Floats, Floats, Floats]:
    """Second derivatives, signs turned: of each source's own, of own with shared, of the shared."""
    sources, width = own.shape
    weight, k, f = claims.weight * known, claims.kind, priors.kinds + claims.firmness
    start = expit(own[:, 0])
    block = np.broadcast_to(np.eye(width) / priors.own_sd**2, (sources, width, width)).copy()
    block[:, 0, 0] = (priors.right + priors.wrong) * start * (1 - start)
    cross = np.zeros((sources, width, len(priors.shift)))
    whole = np.diag(_precision(priors.sd))
    zero = np.zeros_like(k)
    for a in (zero, 1 + k):
        for b in (zero, 1 + k):
            np.add.at(block, (claims.source, a, b), weight)
        for b in (k, f):
            np.add.at(cross, (claims.source, a, b), weight)
    for a in (k, f):
        for b in (k, f):
            np.add.at(whole, (a, b), weight)
    return block, cross, whole


def _inverted(curvature: tuple[Floats, Floats, Floats]) -> tuple[Floats, Floats, Floats]:
    block, cross, whole = curvature
    inverse = np.linalg.inv(block)
    lean = inverse @ cross
    left = whole - np.einsum("smg,smh->gh", cross, lean)
    return np.asarray(inverse), np.asarray(lean), np.asarray(np.linalg.inv(left))


def _solved(curvature: tuple[Floats, Floats, Floats], of_own: Floats, of_shared: Floats) -> tuple[Floats, Floats]:
    inverse, lean, cov = _inverted(curvature)
    shared = cov @ (of_shared - np.einsum("smg,sm->g", lean, of_own))
    own = np.einsum("smk,sk->sm", inverse, of_own) - lean @ shared
    return own, shared


def beta_interval(mean: Floats, sd: Floats, mass: float = 0.9) -> tuple[Floats, Floats]:
    """Central interval of the chance whose log-odds have this mode and spread.

    A Beta distribution with the same mode and curvature of its log-odds: exact where the posterior is one.

    Examples
    --------
    >>> from scipy.stats import beta
    >>> low, high = beta_interval(logit(np.array([0.8])), np.array([(10 * 0.8 * 0.2) ** -0.5]))
    >>> bool(np.allclose([low, high], beta.ppf([[0.05], [0.95]], 8, 2)))
    True
    """
    chance = expit(mean)
    claims = 1.0 / (sd**2 * chance * (1 - chance))
    low, high = (betaincinv(claims * chance, claims * (1 - chance), p) for p in ((1 - mass) / 2, (1 + mass) / 2))
    return np.asarray(low), np.asarray(high)
