"""One slip in a name: against every slip tried, and summed over all that it can become."""

from collections import Counter

import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.reasoning.channels.misspelt import misspellings, near_names

ALPHABET = "abc"


def every_slip(name):
    """What one slip makes of a name, each as often as it happens."""
    n, made = len(name), Counter()
    for i in range(n):
        for other in ALPHABET:
            made[name[:i] + other + name[i + 1 :]] += 0.25 / (n * len(ALPHABET))
        made[name[:i] + name[i + 1 :] if n > 1 else name] += 0.25 / n
    for i in range(n + 1):
        for other in ALPHABET:
            made[name[:i] + other + name[i:]] += 0.25 / ((n + 1) * len(ALPHABET))
    for i in range(n - 1):
        made[name[:i] + name[i + 1] + name[i] + name[i + 2 :]] += 0.25 / (n - 1)
    if n == 1:
        made[name] += 0.25
    return made


@given(st.text(ALPHABET, min_size=1, max_size=6))
def test_sums_to_one(name):
    made = every_slip(name)
    assert sum(made.values()) == pytest.approx(1.0)
    for typed, p in made.items():
        assert misspellings(typed, {name}, ALPHABET) == [(name, pytest.approx(p))]


def test_far_words_are_no_misspellings():
    assert misspellings("wherry", {"ormsley"}, ALPHABET) == []


@given(st.sets(st.text("abcx", min_size=1, max_size=6), max_size=8), st.text("abcx", min_size=1, max_size=6))
def test_few_names_looked_at_one_by_one_give_the_same(names, typed):
    by_length = {}
    for name in names:
        by_length.setdefault(len(name), []).append(name)
    few, many = near_names(typed, by_length, ALPHABET), misspellings(typed, names, ALPHABET)
    if "x" not in typed + "".join(names):  # letters outside the alphabet are not looked for by trying them
        assert [name for name, _ in few] == [name for name, _ in many]
        assert [p for _, p in few] == pytest.approx([p for _, p in many])
    for name, p in few:
        assert every_slip(name)[typed] == pytest.approx(p)
