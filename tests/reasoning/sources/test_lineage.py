"""Who draws on whom, and what that leaves of their voices."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from footring.reasoning.sources.lineage import Lineage

NAMES = "abcdef"
DRAWN = st.dictionaries(st.sampled_from(NAMES), st.sets(st.sampled_from(NAMES), max_size=3))
SOME = st.sets(st.sampled_from(NAMES), min_size=1)


def reached(source, drawn):
    """Warshall's closure, one round at a time."""
    found = {source}
    for _ in NAMES:
        found |= {other for one in found for other in drawn.get(one, ())}
    return found


@given(DRAWN, SOME)
def test_each_family_has_one_voice(drawn, some):
    lineage = Lineage(drawn)
    shares = lineage.shares(some)
    families = lineage.families(some)
    assert shares.keys() == some
    assert sorted(source for family in families for source in family) == sorted(some)
    assert all(np.isclose(sum(shares[source] for source in family), 1) for family in families)


@given(DRAWN, SOME)
def test_families_are_those_that_share_something_they_draw_on(drawn, some):
    whose = {source: k for k, family in enumerate(Lineage(drawn).families(some)) for source in family}
    for one in some:
        for other in some:
            if reached(one, drawn) & reached(other, drawn):
                assert whose[one] == whose[other]
    assert all(reached(source, drawn) == set(Lineage(drawn).behind(source)) for source in some)


@given(DRAWN, SOME, st.permutations(NAMES))
def test_names_do_not_matter(drawn, some, names):
    new = dict(zip(NAMES, names, strict=True))
    other = Lineage({new[a]: {new[b] for b in of} for a, of in drawn.items()}).shares({new[a] for a in some})
    assert {new[a]: share for a, share in Lineage(drawn).shares(some).items()} == other


def test_two_that_draw_on_each_other_share_and_one_that_draws_on_both_has_nothing():
    shares = Lineage({"a": ["b"], "b": ["a"], "c": ["a"]}).shares({"a", "b", "c"})
    assert shares == {"a": 0.5, "b": 0.5, "c": 0.0}
