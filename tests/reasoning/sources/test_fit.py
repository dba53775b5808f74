"""The fit against the Beta posterior (a textbook result), against a general-purpose optimiser, and in any order."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize
from scipy.special import expit, logit
from scipy.stats import beta

from footring.reasoning.sources.fit import Checked, Priors, beta_interval, fit

SETTLED = 60.0
KINDS, FIRM = 2, 2


def checked(rows):
    source, kind, firmness, odds, weight = (np.array(column) for column in zip(*rows, strict=True))
    return Checked(source, kind, firmness, odds.astype(float), weight.astype(float))


def priors(sources=2, sd=0.5, own_sd=0.6, right=7.0, wrong=3.0):
    return Priors(
        np.full(sources, right),
        np.full(sources, wrong),
        np.array([0.0, 0.0, 0.0, -0.9]),
        np.array([sd, sd, 0.0, sd * 1.4]),
        own_sd,
        KINDS,
    )


@pytest.mark.parametrize(("right", "wrong"), [(0, 0), (5, 0), (0, 4), (30, 9), (3, 3)])
def test_one_source_checked_beyond_doubt_has_the_beta_posterior(right, wrong):
    rows = [(0, 0, 0, SETTLED, 1.0)] * right + [(0, 0, 0, -SETTLED, 1.0)] * wrong
    given_ = checked(rows) if rows else Checked(*(np.empty(0, int),) * 3, np.empty(0), np.empty(0))
    found = fit(given_, priors(sd=1e-6, own_sd=1e-6))
    own, shared = np.array([[1.0, 1.0, 0.0]]), np.array([[1.0, 0.0, 1.0, 0.0]])
    mean, sd = found.spread(np.array([0]), own, shared)
    assert expit(mean[0]) == pytest.approx((7 + right) / (10 + right + wrong), abs=1e-7)
    low, high = beta_interval(mean, sd)
    assert (low[0], high[0]) == pytest.approx(beta.ppf([0.05, 0.95], 7 + right, 3 + wrong), abs=1e-6)


ROW = st.tuples(
    st.integers(0, 1),
    st.integers(0, KINDS - 1),
    st.integers(0, FIRM - 1),
    st.sampled_from([-7.0, -2.0, 0.7, 3.0, 7.0]),
    st.sampled_from([0.5, 1.0]),
)


def log_posterior(x, rows, prior):
    own, shared = x[: 2 * (1 + KINDS)].reshape(2, 1 + KINDS), x[2 * (1 + KINDS) :]
    total = 0.0
    for source, kind, firmness, odds, weight in rows:
        p = expit(own[source, 0] + own[source, 1 + kind] + shared[kind] + (firmness and shared[2]))
        total += weight * np.log(p * np.exp(odds) + 1 - p)
    for s in range(2):
        p = expit(own[s, 0])
        total += prior.right[s] * np.log(p) + prior.wrong[s] * np.log(1 - p) - (own[s, 1:] ** 2).sum() / 2 / 0.36
    centre, sd = np.array([0.0, 0.0, -0.9]), np.array([0.5, 0.5, 0.7])
    return total - (((shared - centre) / sd) ** 2).sum() / 2


@given(st.lists(ROW, min_size=1, max_size=25))
def test_no_general_optimiser_finds_a_better_place_nearby(rows):
    prior = priors()
    found = fit(checked(rows), prior)
    ours = np.concatenate([found.own.ravel(), found.shared[[0, 1, 3]]])
    better = minimize(lambda x: -log_posterior(x, rows, prior), ours, method="BFGS", options={"gtol": 1e-7})
    assert np.allclose(better.x, ours, atol=2e-5)


def test_the_spread_is_the_inverse_of_the_whole_curvature():
    rng = np.random.default_rng(5)
    rows = [
        (int(rng.integers(2)), int(rng.integers(2)), int(rng.integers(2)), float(rng.choice([-40, 40, 40])), 1.0)
        for _ in range(40)
    ]
    prior = priors()
    found = fit(checked(rows), prior)
    x = np.concatenate([found.own.ravel(), found.shared[[0, 1, 3]]])
    step = 1e-4 * np.eye(len(x))
    second = np.array(
        [
            [
                sum(s * t * log_posterior(x + s * a + t * b, rows, prior) for s in (1, -1) for t in (1, -1)) / 4e-8
                for b in step
            ]
            for a in step
        ]
    )
    slope = np.array([1, 1, 0, 0, 0, 0, 1, 0, 1.0])
    expected = np.sqrt(slope @ np.linalg.inv(-second) @ slope)
    _, sd = found.spread(np.array([0]), np.array([[1.0, 1.0, 0.0]]), np.array([[1.0, 0.0, 0.0, 1.0]]))
    assert sd[0] == pytest.approx(expected, rel=1e-3)


@given(st.lists(ROW, min_size=1, max_size=25), st.randoms(use_true_random=False))
def test_the_order_of_claims_changes_no_bit(rows, random):
    other = rows.copy()
    random.shuffle(other)
    one, two = fit(checked(rows), priors()), fit(checked(other), priors())
    assert np.array_equal(one.own, two.own) and np.array_equal(one.shared_cov, two.shared_cov)


def test_what_pieces_leave_open_makes_nothing_surer():
    open_ones = fit(checked([(0, 0, 0, 0.0, 1.0)] * 50), priors())
    nothing = fit(Checked(*(np.empty(0, int),) * 3, np.empty(0), np.empty(0)), priors())
    assert np.allclose(open_ones.own, nothing.own) and np.allclose(open_ones.inverse, nothing.inverse)
    assert nothing.own[:, 0] == pytest.approx(logit(0.7))
