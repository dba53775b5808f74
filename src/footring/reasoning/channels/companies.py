"""What a thing is taken for: things of its line, its kind, its colour..., and any other."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_array

from footring.reasoning.channels.named import Named

Floats = NDArray[np.float64]
Places = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Called:
    """Which thing is called by which word, each pair once, in the order of the words.

    `share` is p(word | thing) when it is named right; `starts` where each word begins, with an end.
    """

    word: Places
    thing: Places
    share: Floats
    starts: Places

    def by(self, word: int) -> tuple[Places, Floats]:
        """The things called so, and with what shares."""
        these = slice(self.starts[word], self.starts[word + 1])
        return self.thing[these], self.share[these]


class Companies:
    """p(word | a thing was taken for another), for each thing; sums to 1 over the words that are not its own.

    Parameters
    ----------
    named : Named
        The things.
    called : Called
        Their words.
    weights : mapping of company to float
        "all" and those of `named.groups` and `named.near`; a thing that has no other in a company does without it.
    anyhow : float array, shape (words,)
        How often each word is typed, when anything may be meant ("all").
    """

    def __init__(self, named: Named, called: Called, weights: Mapping[str, float], anyhow: Floats) -> None:
        self._groups, self._called, self._anyhow = named.groups, called, anyhow
        has = np.asarray(named.has.any(axis=1))
        others = {name: _others(group, has) for name, group in named.groups.items()}
        self._near = {name: _Pairs(named.count, *pairs, has) for name, pairs in named.near.items()}
        there = {name: (group >= 0) & (others[name] > 0) for name, group in named.groups.items()}
        there |= {"all": np.ones(named.count, bool), **{name: pairs.any for name, pairs in self._near.items()}}
        total = sum((weights[name] * is_there for name, is_there in there.items()), np.zeros(named.count))
        self.weight = {name: weights[name] * is_there / total for name, is_there in there.items()}
        self._each = {name: self.weight[name] / np.maximum(others[name], 1) for name in named.groups}
        self._sizes = {name: int(group.max(initial=-1)) + 2 for name, group in named.groups.items()}
        left = 1.0 - self._own_words(named.count)
        self.alone = left < 1e-9
        self._scale = np.where(self.alone, 0.0, 1.0 / np.where(self.alone, 1.0, left))
        self._all = self._scale * self.weight["all"]
        self._of_group = {name: self._scale * each for name, each in self._each.items()}
        self._of_pairs = {name: self._scale * self.weight[name] for name in self._near}

    def p(self, word: int) -> Floats:
        """p(word | each thing is taken for another); 0 for a thing that is called so."""
        things, own = self._called.by(word)
        found: Floats = self._all * self._anyhow[word]
        for name, group in self._groups.items():
            inside = group[things] >= 0
            found += self._of_group[name] * np.bincount(group[things][inside], own[inside], self._sizes[name])[group]
        for name, pairs in self._near.items():
            pairs.add(found, self._of_pairs[name], things, own)
        found[things] = 0.0
        return found

    def of_one(self, thing: int, word: int) -> dict[str, float]:
        """The chance of a word in each company that one thing has."""
        things, own = self._called.by(word)
        every = {"all": float(self._anyhow[word])}
        for name, group in self._groups.items():
            if share := float(self.weight[name][thing]):
                every[name] = float(self._each[name][thing] * own[group[things] == group[thing]].sum()) / share
        for name, pairs in self._near.items():
            if self.weight[name][thing] > 0:
                every[name] = pairs.of_one(thing, things, own)
        return every

    def _own_words(self, count: int) -> Floats:
        """Chance that a thing taken for another is still called by one of its own words."""
        word, thing, share = self._called.word, self._called.thing, self._called.share
        found: Floats = self.weight["all"] * np.bincount(thing, self._anyhow[word], count)
        for name, group in self._groups.items():
            inside = group[thing] >= 0
            keys = word[inside] * self._sizes[name] + group[thing][inside]
            _, which = np.unique(keys, return_inverse=True)
            others = np.bincount(which, share[inside])[which] - share[inside]
            found += self._each[name] * np.bincount(thing[inside], others, count)
        shape = (count, int(word.max(initial=-1)) + 1)
        called = csr_array((share, (thing, word)), shape)
        for name, pairs in self._near.items():
            found += self.weight[name] * pairs.overlap(called, count)
        return np.minimum(found, 1.0)


def _others(group: Places, has: NDArray[np.bool_]) -> NDArray[np.int64]:
    """How many others of its group each thing has, that have names."""
    members = group[has]
    counts = np.bincount(members[members >= 0], minlength=int(group.max(initial=-1)) + 2)
    return np.asarray(counts[group] - has, np.int64)


class _Pairs:
    """Which things are taken for which others, each with its share; only others that have a name."""

    def __init__(self, count: int, things: Places, others: Places, weights: Floats, named: NDArray[np.bool_]) -> None:
        kept = named[others] & (things != others)
        things, others, weights = things[kept], others[kept], weights[kept]
        total = np.bincount(things, weights, count)
        order = np.argsort(others, kind="stable")
        self.any = total > 0
        self._things, self._others, self._shares = things[order], others[order], (weights / total[things])[order]
        self._starts = np.searchsorted(self._others, np.arange(count + 1))

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

    def overlap(self, called: csr_array, count: int) -> Floats:
        """Chance that one of the others is called by a word of the thing itself."""
        if len(self._things) == 0:
            return np.zeros(count)
        shared = (called[self._things] > 0).multiply(called[self._others]).sum(axis=1)
        return np.bincount(self._things, self._shares * np.asarray(shared).ravel(), count).astype(np.float64)
