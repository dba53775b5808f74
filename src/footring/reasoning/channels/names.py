"""What it means to have typed a word that names a thing of the reference, or one that does not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.channels.companies import Called, Companies
from footring.reasoning.channels.misspelt import misspellings, near_names
from footring.reasoning.channels.named import KINDS, SLIPS, Named, word_key
from footring.reasoning.channels.rates import Rates

_LEAST = 1e-250
_FEW = 2000
Floats = NDArray[np.float64]
Places = NDArray[np.intp]


class Vocabulary:
    """p(word typed | each thing), with the rates of one kind of reading.

    Parameters
    ----------
    named : Named
        The things.
    reading : str
        What kind of reading.
    rates : Rates
        How it goes wrong.
    ids : sequence of str
        The id of each thing, by which misreadings were counted.

    Notes
    -----
    A word is a name of the thing, each kind of name with its share, now and then shortened or with one letter wrong;
    or (misread) a name of another thing, out of all words as often as they are typed, or of its own company; or a word
    the reference does not have: as often as counted, else from a character model. What was counted of one thing adds
    to its own misreadings and its own words. All together sum to 1 over all words.
    """

    def __init__(self, named: Named, reading: str, rates: Rates, ids: Sequence[str]) -> None:
        self.named, self.reading, self.rates = named, reading, rates
        self.misread, self.unknown = rates.of(reading, "misread"), rates.of(reading, "unknown")
        misspelt = share_of(rates, reading, "misspelt")
        shares = np.array([share_of(rates, reading, kind) for kind in KINDS])
        self._misspelt = misspelt / (shares.sum() + misspelt)
        self._called = called_by(named, shares)
        self.bare = np.asarray(~named.has.any(axis=1))
        typed = {word_key(word): n for word, n in rates.words.get(reading, {}).items()}
        self._even, self._often = self._frequencies(typed)
        self._strange = {word: n for word, n in typed.items() if word not in named.words}
        self._strange_words = sum(self._strange.values())
        self._again = coverage(self._strange.values())
        weights = {name: among(rates, reading, name) for name in ("all", *named.groups, *named.near)}
        self.companies = Companies(named, self._called, weights, (self._even + self._often) / 2)
        self._counted(ids)

    def _frequencies(self, typed: Mapping[str, float]) -> tuple[Floats, Floats]:
        """How often each word of the reference is typed if all things are alike, and as counted."""
        things = max(int((~self.bare).sum()), 1)
        even = np.bincount(self._called.word, self._called.share, len(self.named.words)) / things
        counted = np.zeros(len(even))
        for word, n in typed.items():
            if word in self.named.words:
                counted[self.named.words[word]] += n
        weight = self.rates.of("name", "words")
        return even, (counted + weight * even) / (counted.sum() + weight)

    def _counted(self, ids: Sequence[str]) -> None:
        """Words counted of each thing that are no names of it, and what is left to likeness and to other words.

        Apart for words of the reference (row 0) and for those it does not have (row 1).
        """
        counted = self.rates.misread.get(self.reading, {})
        place = {name: i for i, name in enumerate(ids)} if counted else {}
        totals = np.zeros((2, self.named.count))
        self._seen: dict[str, list[tuple[int, float]]] = {}
        for name, words in counted.items():
            for word, n in words.items() if name in place else ():
                key = word_key(word)
                totals[int(key not in self.named.words), place[name]] += n
                self._seen.setdefault(key, []).append((place[name], n))
        keep = self.rates.of("name", "learned"), self.rates.of("name", "learned_words")
        misread = np.where(self.companies.alone, 0.0, self.misread)
        shares = np.array([misread, self.misread + self.unknown - misread])
        self._per_count = shares / (np.array(keep)[:, None] + totals)
        self._by_likeness, self._by_others = keep[0] * self._per_count[0], keep[1] * self._per_count[1]

    def frequency(self, key: str) -> float:
        """How often a word of the reference is typed: counted, and as likely for each thing until then."""
        return float(self._often[self.named.words[key]]) if key in self.named.words else 0.0

    def _evenly(self, key: str) -> float:
        """How often a word is typed if each thing is as likely."""
        return float(self._even[self.named.words[key]]) if key in self.named.words else 0.0

    def base(self, word: str, known: float) -> float:
        """p(word) where it tells nothing: `known` of it among the words of the reference."""
        key = word_key(word)
        known = known if self.named.words else 0.0
        new = _mixed(again_of(self.rates, self.reading), self._typed_before(key), self._new(key))
        return _mixed(known, self.frequency(key), new)

    def elsewhere(self, word: str, known: float) -> float:
        """The same for a thing not held: half as often as the words are typed, half as if all things were alike."""
        key = word_key(word)
        return (
            self.base(word, known)
            + (known if self.named.words else 0.0) * (self._evenly(key) - self.frequency(key)) / 2
        )

    def _new(self, key: str) -> float:
        return max(float(np.exp(self.named.model.log_p(key))), _LEAST)

    def _not_held(self, key: str) -> float:
        """How often a word is typed among those that the reference does not have."""
        return _mixed(self._again, self._typed_before(key), self._new(key))

    def _typed_before(self, key: str) -> float:
        """How often a word is typed among those that were typed before without naming anything."""
        return self._strange.get(key, 0.0) / self._strange_words if self._strange_words else self._new(key)

    def p(self, word: str) -> Floats:
        """p(word | each thing), shape (count,)."""
        key = word_key(word)
        found: Floats = self._by_others * self._not_held(key)
        things, own = self._own(key)
        if key in self.named.words:
            found += self._by_likeness * self.companies.p(self.named.words[key])
        for thing, n in self._seen.get(key, ()):
            found[thing] += n * self._per_count[int(key not in self.named.words), thing]
        right = 1.0 - self.misread - self.unknown
        found[things] += right * (1.0 - self._misspelt) * own
        for name, chance in self._near_words(key):
            near, near_own = self._own(name)
            found[near] += right * self._misspelt * chance * near_own
        if self.bare.any():
            found[self.bare] = self.elsewhere(word, self.rates.of(self.reading, "new_known"))
        return found

    def misread_as(self, thing: int, key: str) -> dict[str, float]:
        """The chance of a word in each company that one thing has, when it is taken for another."""
        return self.companies.of_one(thing, self.named.words[key])

    def kinds_of(self, thing: int, key: str) -> dict[str, float]:
        """By which kinds of its own names a thing may have been called this, and its part of each."""
        things, ways, parts = self.named.called(key)
        own = things == thing
        return {KINDS[way]: float(part) for way, part in zip(ways[own], parts[own], strict=True)}

    def kinds(self, thing: int) -> list[str]:
        """In which ways a thing is named."""
        return [kind for kind, has in zip(KINDS, self.named.has[thing], strict=True) if has]

    def is_misspelt(self, thing: int, key: str) -> bool:
        """Whether a word is one of the thing's names with one letter wrong."""
        return any(thing in self.named.called(name)[0] for name, _ in self._near_words(key))

    def _own(self, key: str) -> tuple[Places, Floats]:
        """The things a word names, and with what share each is called this."""
        if key in self.named.words:
            return self._called.by(self.named.words[key])
        return np.empty(0, np.intp), np.empty(0)

    def _near_words(self, key: str) -> Iterable[tuple[str, float]]:
        few = len(self.named.words) <= _FEW
        return near_names(key, self.named.by_length, SLIPS) if few else misspellings(key, self.named.words, SLIPS)


def called_by(named: Named, shares: Floats) -> Called:
    """Which thing is called by which word, the ways of naming it weighed by their shares."""
    word, thing, ways, parts = named.entries
    total = (named.has @ shares)[thing]
    pairs, which = np.unique(word * max(named.count, 1) + thing, return_inverse=True)
    share = np.bincount(which, shares[ways] * parts / total, len(pairs)).astype(np.float64)
    word, thing = np.divmod(pairs, max(named.count, 1))
    return Called(word, thing, share, np.searchsorted(word, np.arange(len(named.words) + 1)))


def coverage(counts: Iterable[float]) -> float:
    """Share of words not held that will be one of those counted: all but those counted once (Good 1953).

    Examples
    --------
    >>> coverage([5.0, 3.0, 1.0, 1.0])
    0.7272727272727273
    """
    given = list(counts)
    total = sum(given)
    return (total - sum(n for n in given if n <= 1.0)) / (total + 1.0)


def again_of(rates: Rates, reading: str) -> float:
    """Share of the words for things not held that were typed before, for one kind of reading if that is learned."""
    found = rates.learned.get(reading, {}).get("again")
    return rates.of("name", "again") if found is None else found


def _mixed(share: float, one: float, other: float) -> float:
    return share * one + (1.0 - share) * other


def share_of(rates: Rates, reading: str, kind: str) -> float:
    """The weight of one way of naming, for one kind of reading if that has been learned."""
    found = rates.learned.get(reading, {}).get("share_" + kind)
    return rates.of("name", "share_" + kind) if found is None else found


def among(rates: Rates, reading: str, company: str) -> float:
    """The weight of one company of misreadings, for one kind of reading if that has been learned."""
    found = rates.learned.get(reading, {}).get("among_" + company)
    return rates.of("name", "among_" + company) if found is None else found
