from __future__ import annotations

import json
from itertools import combinations, combinations_with_replacement, product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.reasoning.series import date_series
from footring.terms.errors import BadInput

# Computed by enumeration of all sequences, forward-backward and a Gibbs sampler: tests/published/dating.json
SIX = json.loads((Path(__file__).parents[1] / "published" / "dating.json").read_text())["monotone"]
YEARS = np.arange(SIX["grid"][0], SIX["grid"][1] + 1)
LIKELIHOODS = np.array(SIX["likelihoods"])


@pytest.mark.parametrize("order", ["weak", "strict"])
def test_six_members_have_the_means_and_mass_of_enumeration(order):
    found = date_series(LIKELIHOODS, strict=order == "strict")
    assert np.allclose(found.marginals @ YEARS, SIX[order]["mean"], rtol=0, atol=SIX["tolerance"])
    assert np.exp(found.log_evidence) == pytest.approx(SIX[order]["Z"], rel=SIX["tolerance"])


def test_six_members_have_the_marginals_of_enumeration():
    found = date_series(LIKELIHOODS)
    assert np.allclose(found.marginals, SIX["weak"]["marginals"], rtol=0, atol=SIX["tolerance"])
    spread = np.sqrt(found.marginals @ YEARS**2 - (found.marginals @ YEARS) ** 2)
    assert np.allclose(spread, SIX["weak"]["sd"], rtol=0, atol=1e-7)


def test_six_members_agree_with_a_gibbs_sampler_to_its_error():
    assert np.allclose(date_series(LIKELIHOODS).marginals @ YEARS, SIX["gibbs_weak_mean"], atol=0.03)


def enumerated(likelihoods, strict, rate, prior):
    """Every sequence of running dates, every choice of exceptions, every date of each exception."""
    members, years = likelihoods.shape
    marginals, p_exception, total = np.zeros((members, years)), np.zeros(members), 0.0
    free = prior / prior.sum()
    ways = combinations if strict else combinations_with_replacement
    for running in ways(range(years), members):
        for exceptional in product((False, True), repeat=members):
            own = [range(years) if odd else (at,) for odd, at in zip(exceptional, running, strict=True)]
            for dates in product(*own):
                mass = np.prod(prior[list(running)])
                for member, (odd, date) in enumerate(zip(exceptional, dates, strict=True)):
                    mass *= likelihoods[member, date] * (rate * free[date] if odd else 1 - rate)
                total += mass
                marginals[range(members), dates] += mass
                p_exception += mass * np.array(exceptional)
    return total, marginals, p_exception


heights = st.sampled_from([0.0, 0.25, 1.0])


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.lists(heights, min_size=4, max_size=4), min_size=1, max_size=3),
    st.booleans(),
    st.sampled_from([0.0, 0.1, 0.6]),
    st.lists(st.sampled_from([0.5, 1.0, 2.0]), min_size=4, max_size=4),
)
def test_agrees_with_enumeration(rows, strict, rate, prior):
    likelihoods, chances = np.array(rows), np.array(prior)
    found = date_series(likelihoods, strict=strict, exception_rate=rate, prior=chances)
    total, marginals, p_exception = enumerated(likelihoods, strict, rate, chances)
    if total == 0:
        assert found.log_evidence == -np.inf
        assert found.conflict
        assert not found.marginals.any()
    else:
        assert found.log_evidence == pytest.approx(np.log(total), abs=1e-11)
        assert np.allclose(found.marginals, marginals / total, rtol=0, atol=1e-11)
        assert np.allclose(found.p_exception, p_exception / total, rtol=0, atol=1e-11)
        assert found.conflict == ()


def feasible(supports, kept, strict):
    """Whether the kept members' possible years can be put in order, the others free, by trying everything."""
    members, years = supports.shape
    ways = combinations if strict else combinations_with_replacement
    return any(all(supports[m, running[m]] for m in kept) for running in ways(range(years), members))


@settings(max_examples=80, deadline=None)
@given(st.lists(st.lists(st.booleans(), min_size=5, max_size=5), min_size=2, max_size=4), st.booleans())
def test_a_conflict_names_members_none_of_whom_can_be_spared(rows, strict):
    supports = np.array(rows)
    conflict = date_series(supports, strict=strict).conflict
    everyone = range(len(supports))
    assert feasible(supports, everyone, strict) == (not conflict)
    if conflict:
        assert not feasible(supports, conflict, strict)
        assert all(feasible(supports, set(conflict) - {member}, strict) for member in conflict)


def test_a_number_given_to_an_older_design_is_an_exception_and_leaves_its_neighbours_alone():
    likelihoods = np.ones((5, 40))
    likelihoods[1], likelihoods[3] = np.arange(40) == 25, np.arange(40) == 30
    likelihoods[2] = np.arange(40) == 4
    assert date_series(likelihoods).conflict == (1, 2)
    found = date_series(likelihoods, exception_rate=0.05)
    assert found.marginals[2, 4] == pytest.approx(1)
    assert found.p_exception[2] > 0.8
    assert found.marginals[1, 25] > 0.7
    assert found.running[2, 25:31].sum() > 0.7


@given(st.floats(0, 0.9), st.booleans())
def test_where_nothing_is_known_exceptions_are_as_common_as_said(rate, strict):
    found = date_series(np.ones((3, 6)), exception_rate=rate, strict=strict)
    assert np.allclose(found.p_exception, rate, atol=1e-12)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.lists(st.floats(0.01, 1), min_size=6, max_size=6), min_size=2, max_size=5), st.floats(0.1, 9))
def test_scale_of_a_likelihood_and_direction_of_time_change_nothing(rows, scale):
    likelihoods = np.array(rows)
    found = date_series(likelihoods, exception_rate=0.1)
    mirrored = date_series(likelihoods[::-1, ::-1] * scale, exception_rate=0.1)
    assert np.allclose(found.marginals, mirrored.marginals[::-1, ::-1], rtol=0, atol=1e-12)
    assert np.allclose(found.marginals.sum(axis=1), 1, atol=1e-12)


def test_five_thousand_members_keep_their_mass_where_sequences_run_to_hundreds_of_decades():
    likelihoods = np.ones((5000, 231))
    likelihoods[2500] = np.exp(-0.5 * ((np.arange(231) - 60) / 2) ** 2)
    found = date_series(likelihoods)
    assert np.allclose(found.marginals.sum(axis=1), 1, atol=1e-9)
    assert found.marginals[2500] @ np.arange(231) == pytest.approx(60, abs=5)
    # Closed form: orderly sequences of n members over t years number C(n + t - 1, n).
    flat = date_series(np.ones((5000, 231)))
    exact = sum(np.log((5000 + k) / k) for k in range(1, 231))
    assert flat.log_evidence == pytest.approx(exact, rel=1e-10)


@pytest.mark.parametrize(
    ("likelihoods", "kwargs", "says"),
    [
        (np.ones(4), {}, r"shape \(members, years\)"),
        (np.ones((0, 4)), {}, "at least one of each"),
        ([[1.0, -0.5]], {}, "not negative; member 0 has -0.5"),
        ([[1.0, np.nan]], {}, "finite and not negative"),
        (np.ones((3, 2)), {"strict": True}, "use strict=False or a finer grid"),
        (np.ones((3, 2)), {"exception_rate": 1.0}, "0 to below 1, given 1.0"),
        (np.ones((3, 2)), {"prior": [1.0]}, "each of the 2 years"),
        (np.ones((3, 2)), {"prior": [0.0, 0.0]}, "each of the 2 years"),
    ],
)
def test_bad_input_is_named(likelihoods, kwargs, says):
    with pytest.raises(BadInput, match=says):
        date_series(likelihoods, **kwargs)
