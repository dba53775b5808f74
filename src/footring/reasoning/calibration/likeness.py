"""The known text most like another (Dice 1945)."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping

_UNREAD = re.compile(r"\.\.\.|[?/]")
LEAST = 0.3


def nearest_text(text: str, known: Mapping[str, str]) -> str | None:
    """Key of the text that shares most pairs of letters (Dice 1945); None where all share little.

    Parameters
    ----------
    text : str
        As read; what could not be read is left out.
    known : mapping of key to str
        The texts to choose from; of equals the first.

    Examples
    --------
    >>> nearest_text("QUILL?W & TARN", {"a": "QUILLOW & TARN / OSSEL FORD", "b": "ORMSLEY"})
    'a'
    """
    pairs = _pairs(text)
    scored = [(_dice(pairs, _pairs(other)), -k, key) for k, (key, other) in enumerate(known.items())]
    best = max(scored, default=(0.0, 0, ""))
    return best[2] if best[0] >= LEAST else None


def _pairs(text: str) -> Counter[str]:
    pieces = [" ".join(piece.casefold().split()) for piece in _UNREAD.split(text)]
    return Counter(piece[k : k + 2] for piece in pieces for k in range(len(piece) - 1))


def _dice(one: Counter[str], other: Counter[str]) -> float:
    both = one.total() + other.total()
    return 2.0 * (one & other).total() / both if both else 0.0
