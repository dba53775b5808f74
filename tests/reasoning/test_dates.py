"""The dates of a piece against enumeration, published cases and what must always hold."""

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.marks.evidence import DATES, Evidence, Window
from footring.reasoning.conflicts import families
from footring.reasoning.date_finding import REPORTED, date_evidence
from footring.reasoning.dates import date_posterior, year_grid
from footring.reasoning.gaps import gaps
from footring.reasoning.intervals import highest_density_set, median_year
from footring.reasoning.prior import default_prior


def evidence(first, last, *, on="decorated", before=0.0, after=0.0, floor=0.1, family=None, reading="x"):
    on = (on,) if isinstance(on, str) else on
    return Evidence(
        reading,
        "",
        on,
        (Window(first, last, before, after),),
        floor,
        family or f"{first}{last}{on}{floor}",
        "wording",
        "convention",
        "R",
        "invented",
        "invented",
    )


def by_enumeration(items, prior, years):
    """The slow twin: every combination of the five dates and of what each two-sided reading bears on."""
    between = gaps(len(years))
    mass = {name: np.zeros(len(years)) for name in DATES}
    total = 0.0
    sides = [list(item.speaks_of) for item in items]
    choices = list(product(*sides))
    for choice in choices:
        by_family = {}
        for name, item in zip(choice, items, strict=True):
            by_family.setdefault((name, item.family), []).append(item.likelihood(years))
        like = {name: np.ones(len(years)) for name in DATES}
        for (name, _), heights in by_family.items():
            like[name] = like[name] * np.minimum.reduce(heights)
        for f, p, t, d, s in product(range(len(years)), repeat=5):
            if f <= t <= d and p <= d and s >= d:
                m = (
                    prior[d]
                    * between.lag[d, t]
                    * between.form_age[t, f]
                    * between.pattern_age[d, p]
                    * between.sale_lag[d, s]
                    * like["form_designed"][f]
                    * like["pattern_designed"][p]
                    * like["potted"][t]
                    * like["decorated"][d]
                    * like["sold"][s]
                ) / len(choices)
                total += m
                for name, k in zip(DATES, (f, p, t, d, s), strict=True):
                    mass[name][k] += m
    return {name: of / total for name, of in mass.items()}, np.log(total)


def test_summing_out_the_tree_equals_enumeration():
    years = np.arange(1900, 1908)
    prior = np.linspace(1, 2, len(years))
    prior /= prior.sum()
    items = [
        evidence(1903, None, floor=0.05, before=1),
        evidence(1902, 1905, on="potted", floor=0.2),
        evidence(1904, 1904, on=("form_designed", "pattern_designed"), floor=0.01),
        evidence(1905, None, on="sold", floor=0.3),
        evidence(1901, None, floor=0.4, family="origin"),
        evidence(1904, None, floor=0.1, family="origin"),
    ]
    slow, log_total = by_enumeration(items, prior, years)
    fast = date_posterior([items], prior, years)
    for name in DATES:
        np.testing.assert_allclose(fast.density[name][:, 0], slow[name], atol=1e-14)
    assert fast.log_evidence[0] == pytest.approx(log_total, abs=1e-12)


SOME = st.builds(
    lambda first, length, on, floor, soft, family: evidence(
        first, None if length is None else first + length, on=on, before=soft, after=soft, floor=floor, family=family
    ),
    st.integers(1800, 2000),
    st.none() | st.integers(0, 60),
    st.sampled_from(
        [("decorated",), ("potted",), ("form_designed", "pattern_designed"), ("form_designed",), ("sold",)]
    ),
    st.sampled_from([0.01, 0.03, 0.1, 0.5]),
    st.sampled_from([0.0, 2.0, 10.0]),
    st.sampled_from(["origin", "year", "firm", "address"]),
)


@settings(deadline=None, max_examples=60)
@given(st.lists(SOME, max_size=6), st.randoms())
def test_order_and_repetition_change_nothing(items, random):
    once = date_evidence(items, default_prior())
    shuffled = [*items, *items[:2]]
    random.shuffle(shuffled)
    again = date_evidence(shuffled, default_prior())
    for name in REPORTED:
        np.testing.assert_allclose(once.dates[name].density, again.dates[name].density, atol=1e-12)
        assert once.dates[name].intervals == again.dates[name].intervals
        assert once.dates[name].density.sum() == pytest.approx(1, abs=1e-12)


@settings(deadline=None, max_examples=60)
@given(st.lists(SOME, min_size=1, max_size=5), st.integers(0, 20), st.floats(0.0, 0.5))
def test_a_rule_already_implied_changes_nothing(items, years_wider, lift):
    strong = items[0]
    first, last = strong.windows[0].first, strong.windows[0].last
    weaker = Evidence(
        "implied",
        "",
        strong.speaks_of,
        (
            Window(
                first - years_wider,
                last and last + years_wider,
                strong.windows[0].soft_before,
                strong.windows[0].soft_after,
            ),
        ),
        strong.floor + lift * (1 - strong.floor),
        strong.family,
        "wording",
        "convention",
        "W",
        "invented",
        "invented",
    )
    before = date_evidence(items, default_prior())
    after = date_evidence([*items, weaker], default_prior())
    if len(strong.speaks_of) == 1:
        for name in REPORTED:
            np.testing.assert_allclose(before.dates[name].density, after.dates[name].density, atol=1e-12)


@settings(deadline=None, max_examples=60)
@given(st.lists(SOME, max_size=4), st.integers(1820, 1990), st.sampled_from(["decorated", "potted", "form_designed"]))
def test_a_hard_date_only_narrows(items, year, on):
    hard = evidence(year, None, on=on, floor=0.0, family="known")
    before = date_evidence(items, default_prior())
    after = date_evidence([*items, hard], default_prior())
    density = after.dates[on].density
    assert density[after.dates[on].years < year].sum() == 0
    assert after.dates[on].window[0] == year
    for name in REPORTED:
        for side in (0, 1):
            assert before.dates[name].window[side] is None or after.dates[name].window[side] is not None


def test_hard_bounds_that_contradict_are_a_conflict_and_not_an_answer():
    finding = date_evidence(
        [evidence(1950, None, floor=0.0, reading="late"), evidence(None, 1900, floor=0.0, reading="early")],
        default_prior(),
    )
    assert set(finding.conflicts[0].between) == {"early", "late"}
    assert finding.dates["decorated"].density.sum() == pytest.approx(1)


def test_widens_the_grid_to_what_was_read():
    read = replace(evidence(1650, 2020), kind="known")
    assert year_grid([read])[[0, -1]].tolist() == [1650, 2020]
    assert year_grid([evidence(1650, 2020)])[[0, -1]].tolist() == [1780, 2010]


def test_families_are_kept_apart_by_the_date_they_bear_on():
    assert len(families([evidence(1900, None, family="a"), evidence(1900, None, family="a", on="potted")])) == 2


def case(year_likelihoods):
    years = np.arange(1900, 1971)
    density = np.prod([f(years) for f in year_likelihoods], axis=0)
    return years, density / density.sum()


CASES = {
    "A": [
        lambda y: (y >= 1932) & (y <= 1955),
        lambda y: (y >= 1938) & (y <= 1960),
        lambda y: (y >= 1941) & (y <= 1950),
    ],
    "B": [
        lambda y: Window(1934, 1945, 5, 9).shape(y),
        lambda y: (y >= 1930) & (y <= 1948),
        lambda y: 1 / (1 + np.exp(-(y - 1936) / 2)),
    ],
    "C": [
        lambda y: (y >= 1920) & (y <= 1965),
        lambda y: np.where(y < 1946, 4.0, 1.0),
        lambda y: np.exp(-0.5 * ((y - 1944) / 6) ** 2),
        lambda y: np.where(y <= 1952, 1.0, 0.1),
    ],
}
EXPECTED = {  # computed apart and confirmed by a sampler: emcee, 10,000 effective draws
    "A": (1945.5, 2.8722813232690143, 1945, [(1941, 1950)]),
    "B": (1941.650320239464, 4.048631287194644, 1942, [(1935, 1948)]),
    "C": (1941.1554395555518, 4.645114581681117, 1942, [(1932, 1951)]),
}


@pytest.mark.parametrize("name", CASES)
def test_cases_confirmed_by_a_sampler(name):
    years, density = case(CASES[name])
    mean, sd, median, hpd = EXPECTED[name]
    assert density @ years == pytest.approx(mean, abs=1e-9)
    assert np.sqrt(density @ (years - mean) ** 2) == pytest.approx(sd, abs=1e-9)
    assert median_year(years, density) == median
    assert highest_density_set(years, density, 0.95) == hpd
    posterior = date_posterior([[]], density, years)
    np.testing.assert_allclose(posterior.density["decorated"][:, 0], density, atol=1e-15)


def test_old_stock_is_possible_but_rare():
    """A piece potted early and decorated late: common practice, no source."""

    def coded(potted, decorated):
        return date_evidence(
            [evidence(potted, potted, on="potted", floor=1e-4), evidence(decorated, decorated, floor=1e-4)],
            default_prior(),
        )

    finding = coded(1910, 1925)
    assert finding.dates["potted"].median == 1910
    assert finding.dates["decorated"].median == 1925
    assert not finding.conflicts
    assert coded(1925, 1910).conflicts


def test_a_design_registered_years_before_the_piece_was_potted_is_no_conflict():
    """Common practice, no source."""
    registered = evidence(1890, 1890, on=("form_designed", "pattern_designed"), floor=0.0, reading="Rd")
    finding = date_evidence([registered, evidence(1905, 1910)], default_prior())
    assert not finding.conflicts
    assert finding.dates["decorated"].window == (1890, None)
