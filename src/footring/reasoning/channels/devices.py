"""How likely the words are in which somebody describes a mark."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.channels.named import word_key
from footring.reasoning.channels.word_base import WordBase

Floats = NDArray[np.float64]
_WORD = re.compile(r"[^\W_]+")
_LEAST = 1e-9


def words_of(device: str | None) -> tuple[str, ...]:
    """The words of a description, each once.

    Examples
    --------
    >>> words_of("Crown over anchor, over shield")
    ('crown', 'over', 'anchor', 'shield')
    """
    return tuple(dict.fromkeys(_WORD.findall(word_key(device or ""))))


class Devices:
    """Log p(words of a description | each mark of the reference).

    Parameters
    ----------
    devices : sequence of tuple of str
        Words of the description of each mark, each once; none where it is not described.
    base : WordBase
        How likely a word is of any mark.
    noise : float
        Share of the words said that the reference does not use of the mark.

    Notes
    -----
    So many words, each one of the mark's own, all alike, or one that may be said of any (`WordBase`). A word is said
    once: the second is drawn from those left, and so on. One said again tells nothing more of which mark it is.

    Examples
    --------
    >>> from footring.reasoning.channels.char_model import CharModel
    >>> devices = [("crown", "swan"), ("crown", "anchor"), ()]
    >>> base = WordBase(devices, [0, 1, 2], CharModel(["crown", "swan", "anchor"], "abcdefghijklmnopqrstuvwxyz", 6.0))
    >>> rows, new = Devices(devices, base, 0.3).log_p(("swan",))
    >>> bool(rows[0] > rows[1]), bool(rows[2] == new)
    (True, True)
    """

    def __init__(self, devices: Sequence[tuple[str, ...]], base: WordBase, noise: float) -> None:
        self._words, self._base, self._noise = devices, base, noise
        self._described = np.array([bool(words) for words in devices], bool)

    def log_p(self, words: Sequence[str]) -> tuple[Floats, float]:
        """Given each mark, and given one that the reference does not hold."""
        count = len(self._words)
        log_p, left = np.zeros(count + 1), np.ones(count + 1)
        for word in words:
            p = self._p(word)
            log_p += np.log(p) - np.log(np.maximum(left, _LEAST))
            left -= p
        return log_p[:-1], float(log_p[-1])

    def _p(self, word: str) -> Floats:
        """p(the first word is this) by mark, at the end by one not held."""
        base = max(float(np.exp(self._base.log_p(word))), 1e-300)
        own = np.array([(word in words) / max(len(words), 1) for words in self._words])
        return np.append(np.where(self._described, self._noise * base + (1.0 - self._noise) * own, base), base)
