"""Words: each channel sums to 1, over the words of the reference and those it does not have."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.reasoning.channels.char_model import CharModel
from footring.reasoning.channels.misspelt import misspellings
from footring.reasoning.channels.named import SLIPS, Named, shortened, word_key
from footring.reasoning.channels.names import Vocabulary
from footring.reasoning.channels.rates import Rates

NAMES = [
    (0, "ba", "main"), (0, "ab", "collectors"), (0, "b", "kind"), (1, "a", "main"), (1, "b", "kind"), (2, "ba", "main"),
    (3, "c a", "main"), (3, "ac", "misnomer"),
]  # fmt: skip
GROUPS = {"line": np.array([0, 0, 1, 1, 0]), "kind": np.array([0, 0, -1, 2, -1])}
NEAR = {"twin": (np.array([0, 2, 3]), np.array([2, 0, 0]), np.array([1.0, 1.0, 3.0]))}
IDS = [f"f.{i}" for i in range(5)]
COUNTED = Rates(
    misread={"form": {"f.0": {"a": 3.0, "c a": 1.0, "zz": 3.0}, "f.3": {"b": 2.0}}},
    words={"form": {"a": 5.0, "ba": 9.0, "ac": 1.0, "zz": 4.0}},
)


def whole(vocabulary, named):
    """p of all words: those that name something or are a slip away, plus what the character model leaves for others."""
    near = near_words(named)
    rows = sum(vocabulary.p(word) for word in near)
    left = 1.0 - sum(np.exp(named.model.log_p(word)) for word in near)
    return rows, left


def near_words(named):
    """Names and what one slip makes of them, as they are compared."""
    return {word_key(typed) for word in named.words for typed in slips(word)} - {""} | set(named.words) | {"zz"}


def slips(word):
    found = {word[:i] + word[i + 1 :] for i in range(len(word))} - {""}
    found |= {word[:i] + c + word[i:] for i in range(len(word) + 1) for c in SLIPS}
    found |= {word[:i] + c + word[i + 1 :] for i in range(len(word)) for c in SLIPS}
    return found | {word[:i] + word[i + 1] + word[i] + word[i + 2 :] for i in range(len(word) - 1)}


@pytest.mark.parametrize("rates", [Rates(), COUNTED], ids=["default", "counted"])
@pytest.mark.parametrize("groups", [{}, GROUPS], ids=["alone", "in companies"])
def test_sums_to_one(rates, groups):
    named = Named(5, NAMES, groups, NEAR if groups else {})
    vocabulary = Vocabulary(named, "form", rates, IDS)
    rows, left = whole(vocabulary, named)
    # Of a word never seen each row gets the same share of what the character model gives it.
    new = np.exp(named.model.log_p("qqqq"))
    # A slip that leaves a space at an end is read as the word without it: half a hundredth of "c a" is lost.
    assert np.allclose(rows + vocabulary.p("qqqq") / new * left, 1.0, atol=[1e-6, 1e-6, 1e-6, 6e-3, 1e-6])
    for share in (0.0, 0.4, 1.0):
        total = sum(vocabulary.base(w, share) for w in near_words(named))
        assert total + vocabulary.base("qqqq", share) / new * left == pytest.approx(1.0, abs=1e-6)


def test_the_character_model_sums_to_one():
    model = CharModel(["ab", "cab"], "abc", 2.0, others=0)
    every = ("".join(s) for n in range(1, 11) for s in itertools.product("abc", repeat=n))
    assert sum(np.exp(model.log_p(word)) for word in every) == pytest.approx(1.0, abs=2e-3)


def slow_p(named, word, thing, rates):
    """p(word | thing) term by term, from the description of it."""
    share = {
        kind: rates.of("name", "share_" + kind) for kind in ("main", "collectors", "misnomer", "kind", "shortened")
    }
    names = {}
    for i, name, kind in NAMES:
        if (word_key(name), kind) not in names.setdefault(i, []):
            names[i].append((word_key(name), kind))
        names[i] += [(s, "shortened") for s in shortened(word_key(name)) if kind == "main"]

    def own(i, w):
        kinds = {kind for _, kind in names.get(i, [])}
        total = sum(share[kind] for kind in kinds)
        parts = {kind: [n for n, k in names[i] if k == kind] for kind in kinds}
        return sum(share[k] * parts[k].count(w) / len(parts[k]) for k in kinds) / total if kinds else 0.0

    slip = rates.of("name", "share_misspelt")
    slip /= slip + sum(
        rates.of("name", "share_" + k) for k in "main factory shop author collectors misnomer kind shortened".split()
    )
    right = (1 - slip) * own(thing, word) + slip * sum(
        p * own(thing, name) for name, p in misspellings(word, named.words, SLIPS)
    )

    def taken(w):
        """Chance of a word when the thing is taken for another, its own words not yet left out."""
        among = {"all": (rates.of("name", "among_all"), sum(own(i, w) for i in range(4)) / 4)}
        for name, group in GROUPS.items():
            others = [i for i in range(4) if i != thing and group[i] == group[thing] >= 0]
            if others:
                among[name] = rates.of("name", "among_" + name), sum(own(i, w) for i in others) / len(others)
        pairs = [(b, k) for a, b, k in zip(*NEAR["twin"], strict=True) if a == thing]
        if pairs:
            shared = sum(k * own(b, w) for b, k in pairs) / sum(k for _, k in pairs)
            among["twin"] = rates.of("name", "among_twin"), shared
        return sum(weight * p for weight, p in among.values()) / sum(weight for weight, _ in among.values())

    others = [w for w in named.words if own(thing, w) == 0]
    wrong = taken(word) / sum(map(taken, others)) if word in others else 0.0
    m, u = rates.of("form", "misread"), rates.of("form", "unknown")
    return (1 - m - u) * right + m * wrong + u * np.exp(named.model.log_p(word))


@pytest.mark.parametrize("word", ["ba", "b", "a", "c a", "c", "ac", "bba", "zzz"])
def test_as_the_slow_twin(word):
    named = Named(5, NAMES, GROUPS, NEAR)
    found = Vocabulary(named, "form", Rates(), IDS).p(word)
    assert np.allclose(found[:4], [slow_p(named, word, i, Rates()) for i in range(4)], rtol=1e-10)


def test_what_was_counted_moves_a_thing_s_own_misreadings_only():
    named = Named(5, NAMES, GROUPS, NEAR)
    before, after = (Vocabulary(named, "form", r, IDS) for r in (Rates(), Rates(misread=COUNTED.misread)))
    assert after.p("c a")[0] > 1.1 * before.p("c a")[0]
    assert np.allclose(after.p("c a")[[1, 2]], before.p("c a")[[1, 2]])


def test_names_and_their_ways():
    named = Named(5, NAMES, GROUPS, NEAR)
    vocabulary = Vocabulary(named, "form", Rates(), IDS)
    assert set(vocabulary.kinds_of(3, "c")) == {"shortened"}
    assert vocabulary.kinds_of(2, "b") == {}
    assert vocabulary.is_misspelt(0, "bba") and not vocabulary.is_misspelt(3, "bba")
    assert vocabulary.bare.tolist() == [False] * 4 + [True]


@settings(max_examples=30, deadline=None)
@given(st.permutations(range(len(NAMES))))
def test_the_order_of_names_changes_nothing(order):
    named, other = Named(5, NAMES, GROUPS, NEAR), Named(5, [NAMES[i] for i in order], GROUPS, NEAR)
    for word in ("ba", "b", "c", "zz"):
        one, two = (Vocabulary(n, "form", COUNTED, IDS).p(word) for n in (named, other))
        assert np.allclose(one, two, rtol=1e-12)


def test_no_names_at_all():
    vocabulary = Vocabulary(Named(2, []), "body", Rates(), ["b.0", "b.1"])
    assert np.isfinite(np.log(vocabulary.p("earthenware"))).all()
    assert len(Vocabulary(Named(0, []), "body", Rates(), []).p("earthenware")) == 0
