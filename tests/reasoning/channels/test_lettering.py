"""The lettering channel against a slow twin, and summed over all readings."""

import itertools
import math
import re
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.signal import lfilter

from footring.reasoning.channels.char_model import CharModel
from footring.reasoning.channels.lettering import LETTERS, Lettering, Noise, _lost, characters
from footring.reasoning.channels.rates import Rates

NOISE = Noise(0.1, 0.1, 0.4, 0.04, 0.12, 0.5)
TEXTS = ["AB", "BAB", "0AO", "", "B0B"]
LETTERS_HERE = "AB0O"
SMALL = Lettering(TEXTS, NOISE, 2.0, letters=LETTERS_HERE, others=0)


def twin(text, read, noise=NOISE, model=SMALL.model):
    """p(read | text), one path at a time, each state in words."""
    base = dict(zip(model.characters, model.single, strict=True))
    at = {c: i for i, c in enumerate(model.characters)}
    alike = {"0": "O", "O": "0"}

    def read_as(c, stands):
        others = sum(p for other, p in base.items() if other != stands)
        even = base[c] / others if c != stands else 0.0
        share = noise.alike if stands in alike else 0.0
        wrong = share * (alike.get(stands) == c) + (1 - share) * even
        return (1 - noise.substitution) * (c == stands) + noise.substitution * wrong

    def foreign_as(i):
        """What belongs to something else: by the character read before it."""
        return model.pair[at[read[i - 1]], at[read[i]]] if i else base[read[i]]

    @cache
    def free(i, j):
        """Nothing foreign has been read here yet."""
        foreign = noise.insertion * foreign_as(i) * inside(i + 1, j) if i < len(read) else 0.0
        return foreign + (1 - noise.insertion) * onward(i, j)

    @cache
    def inside(i, j):
        more = noise.insertion_run * foreign_as(i) * inside(i + 1, j) if i < len(read) else 0.0
        return more + (1 - noise.insertion_run) * onward(i, j)

    @cache
    def onward(i, j):
        if j == len(text):
            return float(i == len(read))
        seen = (1 - noise.loss_open) * read_as(read[i], text[j]) * free(i + 1, j + 1) if i < len(read) else 0.0
        return seen + noise.loss_open * losing(i, j + 1)

    @cache
    def losing(i, j):
        if j == len(text):
            return free(i, j)
        return noise.loss_run * losing(i, j + 1) + (1 - noise.loss_run) * free(i, j)

    return free(0, 0)


def strings(longest):
    for n in range(1, longest + 1):
        yield from map("".join, itertools.product(LETTERS_HERE, repeat=n))


@given(st.text(LETTERS_HERE, min_size=1, max_size=9))
def test_as_the_slow_twin(read):
    assert np.allclose(np.exp(SMALL.log_p(read)), [twin(text, read) for text in TEXTS], rtol=1e-10)


def test_sums_to_one_over_all_readings():
    every = [np.exp(SMALL.log_p(read)) for read in strings(6)]
    nothing = [twin(text, "") for text in TEXTS]
    assert np.allclose(np.sum(every, axis=0) + nothing, 1.0, atol=0.002)


def test_foreign_words_are_as_likely_on_a_known_mark_as_on_another():
    """What stands on no mark costs a known one the opening and going on of a foreign run, and nothing beside."""
    own, more = REAL.log_p("ORMSLEY 1870")[3], REAL.log_p("ORMSLEY 1870 MADE IN ENGLAND")[3]
    noise, strange = Noise.of(Rates(), "mark"), REAL.model.following(REAL.codes("0 MADE IN ENGLAND"))[1:]
    run = math.log(noise.insertion) + (len(strange) - 1) * math.log(noise.insertion_run)
    ended = math.log(1 - noise.insertion_run) - math.log(1 - noise.insertion)
    assert more - own == pytest.approx(run + ended + np.log(strange).sum(), abs=0.1)


def test_a_text_of_its_own_sums_to_one():
    model = CharModel(["AB", "BBA"], "AB", 2.0, others=0)
    total = sum(math.exp(model.log_p("".join(s))) for n in range(1, 15) for s in itertools.product("AB", repeat=n))
    assert total == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("pattern", ["A?", "?", "A...B", "?B...", "A...?"])
def test_what_could_not_be_read_is_summed_out(pattern):
    matching = re.compile(pattern.replace("...", "[AB0O]*").replace("?", "[AB0O]"))
    full = [read for read in strings(6) if matching.fullmatch(read)]
    rows = np.sum([np.exp(SMALL.log_p(read)) for read in full], axis=0)
    new = sum(math.exp(SMALL.log_new(read)) for read in full)
    assert np.allclose(np.exp(SMALL.log_p(pattern)), rows, atol=0.006)
    assert math.exp(SMALL.log_new(pattern)) == pytest.approx(new, abs=0.04)


def test_a_gap_alone_says_nothing():
    assert np.allclose(SMALL.log_p("..."), 0.0, atol=1e-9)
    assert SMALL.log_new("...") == pytest.approx(0.0, abs=1e-9)


REAL = Lettering(
    ["QUILLOW & TARN / OSSEL FORD", "QUILLOW & TARN / MADE IN ENGLAND", "WHERRY", "ORMSLEY / 1870"],
    Noise.of(Rates(), "mark"),
    25.0,
)


@settings(deadline=None)
@given(st.integers(0, 3), st.data())
def test_case_punctuation_and_line_breaks_change_nothing(which, data):
    text = ["Quillow and Tarn Ossel Ford", "Quillow & Tarn, made in England", "wherry", "Ormsley 1870"][which]
    cuts = data.draw(st.lists(st.integers(0, len(text)), max_size=4))
    other = text
    for cut in sorted(cuts, reverse=True):
        if not text[max(cut - 3, 0) : cut + 3].lower().count("and"):
            other = other[:cut] + data.draw(st.sampled_from([" ", " / ", ",", "-", "'"])) + other[cut:]
    assert np.array_equal(REAL.log_p(text), REAL.log_p(other.upper()))


def test_lookalikes_are_nearer():
    assert REAL.log_p("ORMSLEY I870")[3] > REAL.log_p("ORMSLEY W870")[3]


def test_the_right_one_of_many_is_found_and_far_texts_do_not_underflow():
    rng = np.random.default_rng(5)
    texts = ["".join(rng.choice(list(LETTERS), n)) for n in rng.integers(3, 380, 60)]
    known = Lettering(texts, Noise.of(Rates(), "mark"), 30.0)
    for i in (0, 17, 59):
        found = known.log_p(texts[i])
        assert found.argmax() == i and np.isfinite(found).all()


def test_one_text_alone_is_as_among_many():
    for i, text in enumerate(TEXTS):
        alone = Lettering([text], NOISE, 2.0, letters=LETTERS_HERE, others=0)
        alone.model, alone._read_as = SMALL.model, SMALL._read_as
        assert alone.log_p("AB0")[0] == pytest.approx(SMALL.log_p("AB0")[i], abs=1e-12)


def test_a_long_row_is_as_a_short_one():
    """Above and below the length from which the recursion is not a matrix any more."""
    text = "AB0O" * 40
    long = Lettering([text], NOISE, 2.0, letters=LETTERS_HERE, others=0)
    noise = NOISE
    assert float(long.log_p("AB0O" * 3)[0]) == pytest.approx(
        math.log(twin(text, "AB0O" * 3, noise, long.model)), rel=1e-9
    )


def test_characters():
    assert characters("Quillow and Tarn...\nÖssel? – 4") == "QUILLOW&TARN.OSSEL?4"
    assert characters("AND co") == "&CO"
    assert characters("sand") == "SAND"


@pytest.mark.parametrize("length", [1, 127, 128, 129, 400])
def test_what_was_lost_along_a_text_of_any_length_is_the_recursion(length):
    """Against scipy.signal.lfilter, a recursion from left to right."""
    emitted, foreign = np.random.default_rng(1).random((2, 3, length))
    start = NOISE.loss_open * ((1 - NOISE.insertion) * emitted + (1 - NOISE.insertion_run) * foreign)
    again = NOISE.loss_run + NOISE.loss_open * (1 - NOISE.insertion) * (1 - NOISE.loss_run)
    expected = np.zeros_like(start)
    expected[:, 1:] = lfilter([1.0], [1.0, -again], start[:, :-1], axis=1)
    np.testing.assert_allclose(_lost(emitted, foreign, NOISE), expected, rtol=1e-12)
