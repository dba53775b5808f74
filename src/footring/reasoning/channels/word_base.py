"""How likely a word is in the description of a mark, whosever mark it is."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence

import numpy as np

from footring.reasoning.channels.char_model import CharModel


class WordBase:
    """Words of descriptions, counted by maker; sums to 1 over all words.

    Parameters
    ----------
    words : sequence of sequence of str
        Of the description of each mark.
    makers : sequence of int
        Whose mark each is; below 0 not known, and another's each time.
    spelling : CharModel
        How likely a word is that no description has.

    Notes
    -----
    A crown or a shield is said of many factories' marks, so that one more says little of whose it is. Each word counts
    once for each maker of whose marks it is said; what is taken off every count, n1 / (n1 + 2 n2) for n1 words said of
    one maker and n2 of two, goes to words not said before (absolute discounting, Ney 1994; half a word is added to n1,
    and as much again to what is not n1). Where there is one maker alone that is nearly all, and spelling decides.
    *Not* for the letters of a mark: those are read off it, and no describer's choice.

    Examples
    --------
    >>> spelling = CharModel(["crown", "anchor", "shield"], "abcdefghijklmnopqrstuvwxyz", 6.0)
    >>> base = WordBase([["crown"], ["crown", "anchor"], ["crown", "shield"]], [0, 1, 2], spelling)
    >>> bool(base.log_p("crown") > -1.0 > base.log_p("anchor"))
    True
    """

    def __init__(self, words: Sequence[Sequence[str]], makers: Sequence[int], spelling: CharModel) -> None:
        said: dict[int, set[str]] = defaultdict(set)
        for row, (of_mark, maker) in enumerate(zip(words, makers, strict=True)):
            said[maker if maker >= 0 else -1 - row].update(of_mark)
        self._counts = Counter(word for of_maker in said.values() for word in of_maker)
        self._total = sum(self._counts.values())
        once, twice = (sum(n == times for n in self._counts.values()) for times in (1, 2))
        self._taken = (once + 0.5) / (once + 2 * twice + 1.0)
        self._spelling = spelling

    def log_p(self, word: str) -> float:
        """Natural logarithm of p(word)."""
        spelled = self._spelling.log_p(word)
        if not self._total:
            return spelled
        own = max(self._counts[word] - self._taken, 0.0)
        rest = self._taken * len(self._counts) / self._total
        return float(np.logaddexp(np.log(max(own / self._total, 1e-300)), np.log(rest) + spelled))
