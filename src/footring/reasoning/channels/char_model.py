"""How likely a string of characters is where nothing known accounts for it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

UNREAD, GAP = -1, -2
"""Codes of one unreadable character, and of a gap, in a coded text."""
LONGEST = 300
_OTHERS = 2000.0
"""How many characters may stand outside the alphabet."""
_PLAIN, _KERNEL = 0.5, 0.5


class CharModel:
    """A character bigram model with its own distribution of lengths; sums to 1 over all strings.

    Parameters
    ----------
    texts : iterable of str
        What the strings are like.
    alphabet : str
        Characters that any string may have beside those of the texts.
    typical : float
        A length that strings have when no text is given, and in their tail.
    others : float
        How many characters there are beside the alphabet; 0 when the alphabet is all there is.

    Notes
    -----
    Pairs of characters back off to single ones, and those to all being alike: pseudo-counts of 4 and of 20. Lengths:
    half a geometric distribution, half a two-sided geometric one around each text's length, its mass below one
    character given back in proportion.

    Examples
    --------
    >>> model = CharModel(["Ormsley", "Wherry"], "abcdefghijklmnopqrstuvwxyz ", 8)
    >>> model.log_p("wherley") > model.log_p("xqzvkkj")
    True
    """

    def __init__(self, texts: Iterable[str], alphabet: str, typical: float, others: float = _OTHERS) -> None:
        given = sorted(set(texts))
        self.characters = "".join(sorted({*alphabet, *"".join(given)}))
        self._code = {c: i for i, c in enumerate(self.characters)}
        self.size = len(self.characters) + (others > 0)
        self._others = max(others, 1.0)
        self.single, self.pair = self._fitted(given)
        self._emit = np.ones(self.size)
        if others > 0:
            self._emit[-1] = 1.0 / others
        self.log_length = _lengths([len(text) for text in given], typical)
        self._log_first = np.log(self.single * self._emit)
        self._log_pair = np.log(self.pair * self._emit)

    def _fitted(self, texts: Sequence[str]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        singles, pairs = np.zeros(self.size), np.zeros((self.size, self.size))
        for text in texts:
            codes = self.codes(text)
            np.add.at(singles, codes, 1.0)
            np.add.at(pairs, (codes[:-1], codes[1:]), 1.0)
        even = np.full(self.size, 1.0 / self.size)
        single = (singles + 20.0 * even) / (singles.sum() + 20.0)
        return single, (pairs + 4.0 * single) / (pairs.sum(axis=1, keepdims=True) + 4.0)

    def codes(self, text: str) -> NDArray[np.int64]:
        """A code for each character; the last one stands for all that the alphabet does not have."""
        return np.array([self._code.get(c, self.size - 1) for c in text], np.int64)

    def character(self, codes: NDArray[np.int64]) -> NDArray[np.float64]:
        """Chance of each character alone, 1 for an unreadable one."""
        found: NDArray[np.float64] = np.append(self.single * self._emit, 1.0)[np.where(codes < 0, self.size, codes)]
        return found

    def following(self, codes: NDArray[np.int64]) -> NDArray[np.float64]:
        """Chance of each character after the one before it; alone where that is not known, 1 for an unreadable one."""
        found = self.character(codes)
        both = np.flatnonzero((codes[1:] >= 0) & (codes[:-1] >= 0)) + 1
        found[both] = np.exp(self._log_pair[codes[both - 1], codes[both]])
        return found

    def log_p(self, text: str) -> float:
        """Natural logarithm of p(text); every character stands for itself."""
        codes = self.codes(text)
        if len(codes) == 0:
            return -np.inf
        chain = self._log_first[codes[0]] + self._log_pair[codes[:-1], codes[1:]].sum()
        return float(chain + self.log_length(len(codes)))

    def log_p_coded(self, codes: NDArray[np.int64]) -> float:
        """The same with `UNREAD` and `GAP` summed out: a gap may stand for no character, or for any number."""
        if len(codes) and codes.min() >= 0:
            chain = self._log_first[codes[0]] + self._log_pair[codes[:-1], codes[1:]].sum()
            return float(chain + self.log_length(len(codes)))
        return self._summed(codes) if GAP in codes else self._chained(codes) + float(self.log_length(len(codes)))

    def _chained(self, codes: NDArray[np.int64]) -> float:
        """Log p of characters of which some are unreadable, given how many there are."""
        total = 0.0
        reached = self._masked(self.single, codes[0])
        for code in codes[1:]:
            scale = reached.sum()
            total += np.log(scale)
            reached = self._masked(reached @ self.pair / scale, code)
        return float(total + np.log(reached.sum()))

    def _masked(self, p: NDArray[np.float64], code: int) -> NDArray[np.float64]:
        if code == UNREAD:
            return p
        only = np.zeros(self.size)
        only[code] = p[code] * self._emit[code]
        return only

    def _summed(self, codes: NDArray[np.int64]) -> float:
        most = max(LONGEST, 2 * len(codes))
        reached = np.zeros((most + 1, self.size + 1))
        reached[0, -1] = 1.0
        step = np.vstack([self.pair, self.single])
        scale = 0.0
        for code in codes:
            if code == GAP:
                for length in range(most):
                    reached[length + 1, :-1] += reached[length] @ step
                continue
            emitted = reached[:-1] @ step
            if code >= 0:
                emitted[:, np.arange(self.size) != code] = 0.0
                emitted *= self._emit[code]
            reached = np.zeros_like(reached)
            reached[1:, :-1] = emitted
            top = reached.max()
            reached /= top
            scale += np.log(top)
        lengths = np.exp([self.log_length(n) for n in range(1, most + 1)])
        return float(np.log(reached[1:, :-1].sum(axis=1) @ lengths) + scale)


class _lengths:  # noqa: N801
    """Logarithm of p(length) for lengths from 1."""

    def __init__(self, seen: Sequence[int], typical: float) -> None:
        self._stay = 1.0 - 1.0 / max(typical, 1.5)
        table = np.arange(1, LONGEST + 1)
        plain = (1 - self._stay) * self._stay ** (table - 1.0)
        share = _PLAIN if seen else 1.0
        heights = share * plain
        for length in set(seen):
            near = 0.4 ** np.abs(table - length)
            heights += (1 - share) * seen.count(length) / len(seen) * near / near.sum()
        self._tail = np.log(share * (1 - self._stay))
        self._table = np.log(heights)

    def __call__(self, length: int) -> float:
        if length <= 0:
            return -np.inf
        if length <= LONGEST:
            return float(self._table[length - 1])
        return float(self._tail + (length - 1) * np.log(self._stay))
