"""What it means to have typed a word that names a thing of the reference, or one that does not."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.channels.misspelt import misspellings
from footring.reasoning.channels.named import KINDS, SLIPS, Named, word_key
from footring.reasoning.channels.rates import Rates

_LEAST = 1e-250
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
        self._shares = np.array([share_of(rates, reading, kind) for kind in KINDS])
        self._misspelt = misspelt / (self._shares.sum() + misspelt)
        self._total = named.has @ self._shares
        self.bare = self._total == 0.0
        self._words = {word_key(word): n for word, n in rates.words.get(reading, {}).items()}
        self._known_words = sum(n for word, n in self._words.items() if word in named.words)
        self._strange = {word: n for word, n in self._words.items() if word not in named.words}
        self._strange_words = sum(self._strange.values())
        self._again = coverage(self._strange.values())
        self._counted(ids)
        self._companies()
        self._named_by: dict[str, tuple[Places, Floats]] = {}
        self._named_things = max(int((~self.bare).sum()), 1)

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
        keep = self.rates.of("name", "learned")
        self._per_count = np.array([[self.misread], [self.unknown]]) / (keep + totals)
        self._by_likeness, self._by_others = keep * self._per_count

    def _companies(self) -> None:
        """The weight of each company of each thing; one without other members has none."""
        named = self.named
        weights = {"all": np.full(named.count, among(self.rates, self.reading, "all"))}
        sizes = {name: _sizes(group[~self.bare], group) for name, group in named.groups.items()}
        for name, group in named.groups.items():
            weights[name] = among(self.rates, self.reading, name) * ((group >= 0) & (sizes[name] - ~self.bare > 0))
        self._near = {name: _Pairs(named.count, *pairs, ~self.bare) for name, pairs in named.near.items()}
        for name, pairs in self._near.items():
            weights[name] = among(self.rates, self.reading, name) * pairs.any
        total = sum(weights.values())
        self.company = {name: weight / total for name, weight in weights.items()}
        self._each = {name: self.company[name] / np.maximum(sizes[name] - ~self.bare, 1) for name in named.groups}

        weight = self._by_likeness
        self._of_all = weight * self.company["all"]
        self._of_group = {name: weight * self._each[name] for name in named.groups}
        self._of_pairs = {name: weight * self.company[name] for name in named.near}
        self._groups = {name: int(group.max(initial=-1)) + 2 for name, group in named.groups.items()}

    def frequency(self, key: str) -> float:
        """How often a word of the reference is typed: counted, and as likely for each thing until then."""
        if key not in self.named.words:
            return 0.0
        prior = self._evenly(key)
        weight = self.rates.of("name", "words")
        return float((self._words.get(key, 0.0) + weight * prior) / (self._known_words + weight))

    def _evenly(self, key: str) -> float:
        """How often a word is typed if each thing is as likely."""
        return float(self._own(key)[1].sum() / self._named_things)

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
        found: Floats = self._of_all * self.frequency(key)
        found += self._by_others * self._not_held(key)
        things, own = self._own(key)
        if len(things):
            self._add_companies(found, things, own)
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
        things, own = self._own(key)
        every = {"all": self.frequency(key)}
        for name, group in self.named.groups.items():
            if share := float(self.company[name][thing]):
                same = (group[things] == group[thing]) & (things != thing)
                every[name] = float(self._each[name][thing] * own[same].sum()) / share
        for name, pairs in self._near.items():
            if self.company[name][thing] > 0:
                every[name] = pairs.of_one(thing, things, own)
        return every

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
        if key not in self._named_by:
            things, ways, parts = self.named.called(key)
            each, which = np.unique(things, return_inverse=True)
            self._named_by[key] = each, np.bincount(which, self._shares[ways] * parts, len(each)) / self._total[each]
        return self._named_by[key]

    def _near_words(self, key: str) -> Iterable[tuple[str, float]]:
        return misspellings(key, self.named.words, SLIPS)

    def _add_companies(self, found: Floats, things: Places, own: Floats) -> None:
        for name, group in self.named.groups.items():
            inside = group[things] >= 0
            sums = np.bincount(group[things][inside], own[inside], self._groups[name])
            found += self._of_group[name] * sums[group]
            found[things] -= self._of_group[name][things] * own * inside
        for name, pairs in self._near.items():
            pairs.add(found, self._of_pairs[name], things, own)


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


def _sizes(members: Places, groups: Places) -> NDArray[np.int64]:
    """How many of the members each thing's group has."""
    counts = np.bincount(members[members >= 0], minlength=int(groups.max(initial=-1)) + 2)
    return counts[groups].astype(np.int64)


class _Pairs:
    """Which things are taken for which others, each with its share; only others that have a name."""

    def __init__(self, count: int, things: Places, others: Places, weights: Floats, named: NDArray[np.bool_]) -> None:
        kept = named[others] & (things != others)
        things, others, weights = things[kept], others[kept], weights[kept]
        total = np.bincount(things, weights, count)
        order = np.argsort(others, kind="stable")
        self.any = total > 0
        self._things, self._shares = things[order], (weights / total[things])[order]
        self._starts = np.searchsorted(others[order], np.arange(count + 1))

    def add(self, found: Floats, weight: Floats, things: Places, own: Floats) -> None:
        for thing, share in zip(things.tolist(), own.tolist(), strict=True):
            taken = slice(self._starts[thing], self._starts[thing + 1])
            at = self._things[taken]
            np.add.at(found, at, weight[at] * self._shares[taken] * share)

    def of_one(self, thing: int, others: Places, own: Floats) -> float:
        total = 0.0
        for other, share in zip(others.tolist(), own.tolist(), strict=True):
            taken = slice(self._starts[other], self._starts[other + 1])
            total += share * float(self._shares[taken][self._things[taken] == thing].sum())
        return total
