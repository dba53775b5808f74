"""Things, the words that name them, and which are taken for which."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from footring.marks.word_patterns import folded
from footring.reasoning.channels.char_model import CharModel

ALPHABET = "abcdefghijklmnopqrstuvwxyz0123456789 -'&./,\""
SLIPS = ALPHABET.replace(" ", "")
"""What one letter too many, or a wrong one, may be."""
LONGEST = 80
"""Characters of a name that are compared."""
KINDS = ("main", "factory", "shop", "author", "collectors", "misnomer", "kind", "shortened")
"""Ways of naming a thing: by its name in the reference, by other names of each kind, by what kind of thing it is."""
_SHORTENED = KINDS.index("shortened")
Floats = NDArray[np.float64]
Places = NDArray[np.intp]


@lru_cache(maxsize=65536)
def word_key(text: str) -> str:
    """A name as it is compared: small letters without accents, single spaces.

    Examples
    --------
    >>> word_key(" Covered  DISH ")
    'covered dish'
    """
    return " ".join(folded(text).lower().split())[:LONGEST]


@lru_cache(maxsize=65536)
def shortened(key: str) -> tuple[str, ...]:
    """Beginnings and ends of a name of several words, whole words each.

    Examples
    --------
    >>> shortened("round covered dish")
    ('covered dish', 'dish', 'round', 'round covered')
    """
    words = key.split()
    cuts = range(1, len(words))
    return tuple(sorted({*(" ".join(words[:n]) for n in cuts), *(" ".join(words[n:]) for n in cuts)}))


@dataclass(frozen=True, eq=False)
class Named:
    """Things with their names, and which are taken for which; what does not depend on any rate.

    Parameters
    ----------
    count : int
        How many things.
    names : sequence of (thing, name, kind)
        The kind is one of `KINDS`. Names of several words are shortened by themselves.
    groups : mapping of str to int array, shape (count,)
        Things of one company have one number, -1 where it is not known.
    near : mapping of str to (things, others, weights)
        Pairs: `things[i]` is taken for `others[i]`, in proportion to the weights.
    nothing : bool array, shape (count,), or None
        Things that stand for there being none ("plain").
    """

    count: int
    names: Sequence[tuple[int, str, str]]
    groups: Mapping[str, Places] = field(default_factory=dict)
    near: Mapping[str, tuple[Places, Places, Floats]] = field(default_factory=dict)
    nothing: NDArray[np.bool_] | None = None

    @property
    def words(self) -> Mapping[str, int]:
        """Every word that names something, with its number."""
        return self._compiled[0]

    @cached_property
    def by_length(self) -> dict[int, list[str]]:
        """The words by how many letters they have."""
        found: dict[int, list[str]] = {}
        for word in self.words:
            found.setdefault(len(word), []).append(word)
        return found

    @property
    def has(self) -> NDArray[np.bool_]:
        """Which things are named in which ways, shape (count, ways)."""
        return self._compiled[1]

    @property
    def entries(self) -> tuple[Places, Places, Places, Floats]:
        """Each word of each thing in each way: word, thing, way, and what part of the names of that way it is."""
        words, _, starts, things, ways, parts = self._compiled
        return np.repeat(np.arange(len(words)), np.diff(starts[:-1])), things, ways, parts

    def called(self, key: str) -> tuple[Places, Places, Floats]:
        """The things a word names: which, by which of `KINDS`, and what part of the names of that kind it is."""
        words, _, starts, things, kinds, parts = self._compiled
        word = words.get(key, len(words))
        these = slice(starts[word], starts[word + 1])
        return things[these], kinds[these], parts[these]

    @cached_property
    def model(self) -> CharModel:
        """Characters of words that nobody has put into the reference."""
        return CharModel(self.words, ALPHABET, 9.0)

    @cached_property
    def _compiled(self) -> tuple[dict[str, int], NDArray[np.bool_], Places, Places, Places, Floats]:
        """Words; ways of each thing; and by word: where it starts (an empty one at the end), things, ways, parts."""
        words: dict[str, int] = {}
        given = [
            (words.setdefault(word, len(words)), thing, way)
            for thing, name, kind in self.names
            if (key := word_key(name))
            for word, way in _ways(key, KINDS.index(kind))
        ]
        one = np.array(given, np.int64).reshape(-1, 3)
        flat = np.unique((one[:, 0] * self.count + one[:, 1]) * len(KINDS) + one[:, 2])
        pair, ways = np.divmod(flat, len(KINDS))
        which, things = np.divmod(pair, max(self.count, 1))
        of_way = things * len(KINDS) + ways
        sizes = np.bincount(of_way, minlength=self.count * len(KINDS))
        starts = np.searchsorted(which, np.arange(len(words) + 2))
        has = sizes.reshape(self.count, len(KINDS)) > 0
        return words, has, starts, things.astype(np.intp), ways.astype(np.intp), 1.0 / sizes[of_way]


@lru_cache(maxsize=65536)
def _ways(key: str, kind: int) -> tuple[tuple[str, int], ...]:
    """A name, and for the name in the reference what it is shortened to."""
    short = shortened(key) if kind == 0 else ()
    return ((key, kind), *((word, _SHORTENED) for word in short))
