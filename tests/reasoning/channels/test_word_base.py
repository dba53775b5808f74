"""Words in which marks are described: summed over all that may be said, against slow twins, and what they are for."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.marks.readings import Reading
from footring.reasoning.channels.build import compile_channels
from footring.reasoning.channels.char_model import CharModel
from footring.reasoning.channels.devices import Devices
from footring.reasoning.channels.word_base import WordBase
from footring.reference import compile_reference
from footring.rows.reference_things import Line, Maker, Mark

SPELLING = CharModel(["ab", "b"], "ab", 2.0, others=0)
WORDS = ["".join(letters) for n in range(1, 15) for letters in itertools.product("ab", repeat=n)]
descriptions = st.lists(
    st.tuples(st.lists(st.sampled_from(["a", "b", "ab", "ba", "bab"]), max_size=4), st.integers(-1, 3)), max_size=6
)


def twin(described, word):
    """Each maker's words looked through one by one; a mark of nobody's is somebody's of its own."""
    makers = {maker if maker >= 0 else ("nobody", i) for i, (_, maker) in enumerate(described)}
    said = {
        of: {w for i, (words, m) in enumerate(described) for w in words if of in (m, ("nobody", i))} for of in makers
    }
    every = set().union(*said.values()) if said else set()
    if not every:
        return math.exp(SPELLING.log_p(word))
    counts = {w: sum(w in words for words in said.values()) for w in every}
    once, twice = (list(counts.values()).count(n) for n in (1, 2))
    taken = (once + 0.5) / (once + 2 * twice + 1)
    left = sum(n - taken for n in counts.values())
    spelled = (sum(counts.values()) - left) * math.exp(SPELLING.log_p(word))
    return (max(counts.get(word, 0) - taken, 0) + spelled) / sum(counts.values())


@given(descriptions, st.sampled_from(["a", "b", "ab", "abba", "bab"]))
def test_as_the_slow_twin(described, word):
    base = WordBase([words for words, _ in described], [maker for _, maker in described], SPELLING)
    assert math.exp(base.log_p(word)) == pytest.approx(twin(described, word), rel=1e-9)


@pytest.mark.parametrize("makers", [[0, 0, 0], [0, 1, 2], [-1, -1, 0]])
def test_sums_to_one(makers):
    base = WordBase([["a", "ab"], ["a", "bb"], ["ab", "a"]], makers, SPELLING)
    assert sum(math.exp(base.log_p(word)) for word in WORDS) == pytest.approx(1.0, abs=1e-3)


@pytest.fixture(scope="module")
def channels():
    names = ["quillow", "thrale", "marrow", "pell"]
    devices = ["crown over swan", "crown over anchor", "crown and shield", "crown and shield and star"]
    return compile_channels(
        compile_reference(
            {
                "makers": [Maker(name, name=name) for name in names],
                "lines": [Line(f"l.{name}", maker=name, name=name) for name in names],
                "marks": [Mark(f"k.{name}", maker=name, device=device, technique="printed")
                          for name, device in zip(names, devices, strict=True)],
            }
        )
    )  # fmt: skip


def read(channels, text):
    [[(_, (factor, *_))]] = channels.factors([Reading("mark", text)])
    return factor


def test_a_word_said_of_many_makers_tells_little_and_of_one_tells_who(channels):
    crown, swan = read(channels, "printed: crown"), read(channels, "printed: swan")
    assert np.ptp(crown.log) < 0.5 and int(swan.log.argmax()) == 0 and np.ptp(swan.log) > 1.0
    assert swan.log.max() - swan.outside > crown.log.max() - crown.outside + 1.0


def test_a_word_said_again_tells_no_more(channels):
    once, twice = read(channels, "printed: crown over swan"), read(channels, "printed: crown over swan over crown")
    assert np.array_equal(once.log, twice.log) and once.outside == twice.outside


OWN = [("a", "ab"), ("a", "b"), ("bb",), ()]
BASE = WordBase(OWN, [0, 1, 1, 2], SPELLING)
DESCRIBED = Devices(OWN, BASE, 0.3)


def drawn(own, words):
    """Words one after the other, from what is left each time."""
    p, left = 1.0, 1.0
    for word in words:
        base = math.exp(BASE.log_p(word))
        here = 0.3 * base + 0.7 * (word in own) / len(own) if own else base
        p, left = p * here / left, left - here
    return p


@given(st.lists(st.sampled_from(["a", "b", "ab", "ba", "bb", "bab"]), unique=True, max_size=5))
def test_descriptions_as_the_slow_twin(words):
    rows, new = DESCRIBED.log_p(words)
    assert np.allclose(np.exp([*rows, new]), [drawn(of, words) for of in [*OWN, ()]], rtol=1e-9)


@pytest.mark.parametrize("first", ["a", "bb", "ba"])
def test_second_words_sum_to_one(first):
    """Over every other word of ten letters and fewer; longer ones have the rest."""
    others = [word for word in WORDS if len(word) < 11 and word != first]
    both = np.exp([np.append(*DESCRIBED.log_p([first, word])) for word in others])
    assert np.allclose(both.sum(axis=0) / np.exp(np.append(*DESCRIBED.log_p([first]))), 1.0, atol=0.01)
