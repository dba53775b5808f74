"""What pieces that nobody has settled tell of how factories outside the reference are read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from math import exp, log
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from footring.marks.readings import Reading
from footring.reasoning.channels.heard import STEP, Rows
from footring.reasoning.channels.marks import marks_read
from footring.reasoning.channels.named import word_key
from footring.reasoning.channels.naming import SPEAKS_OF
from footring.reasoning.channels.rates import default_rate, strength
from footring.terms.errors import BadInput

if TYPE_CHECKING:
    from footring.reasoning.channels.build import Channels

Tally = Counter[tuple[str, ...]]
Pattern = tuple[tuple[str, bool], ...]
_WORDS = tuple(name for name in SPEAKS_OF if not name.startswith("mark_"))
_MOST = 12.0
_ROUNDS = 40


def tally_unsettled(tally: Tally, channels: Channels, rows: Rows) -> None:
    """Count the pieces without any attribution by which of their words the reference has; adds to `tally`.

    The mark, where one was read, enters as how much likelier it is among those of the reference than outside.
    """
    pieces = rows.reference.tables["readings"].links["piece"]
    open_ = _unsettled(rows)
    words: dict[int, set[str]] = {}
    marks: dict[int, float] = {}
    for name in _WORDS:
        known = channels.vocabulary(name).named.words
        for row in _among(rows.standing(name), open_[pieces]):
            typed, absent = rows.typed(row)
            if not absent and typed and not typed.startswith("#") and "(" not in typed:
                has = "+" if word_key(typed) in known else "-"
                words.setdefault(int(pieces[row]), set()).add(name + has)
    for row in _among(rows.standing("mark"), open_[pieces]):
        typed, absent = rows.typed(row)
        if not absent and typed:
            piece = int(pieces[row])
            marks[piece] = marks.get(piece, 0.0) + _held(channels, typed)
    for piece in sorted({*words, *marks}):
        told = "|".join(sorted(words.get(piece, ())))
        tally["unsettled", told, f"{round(max(-_MOST, min(_MOST, marks.get(piece, 0.0))))}"] += STEP


def _among(rows: NDArray[np.intp], wanted: NDArray[np.bool_]) -> list[int]:
    return [int(row) for row in rows[wanted[rows]]]


def _unsettled(rows: Rows) -> NDArray[np.bool_]:
    """Which pieces nobody has attributed, nor a part of them."""
    table = rows.reference.tables["attributions"]
    found = np.ones(len(rows.reference.tables["pieces"]), bool)
    found[table.links["piece"][table.current]] = False
    return found


def _held(channels: Channels, typed: str) -> float:
    """Log of how much likelier a mark is, averaged over those of the reference, than of another wording."""
    try:
        read = marks_read(Reading("mark", typed), None)
    except BadInput:
        return 0.0
    total = 0.0
    for mark in read:
        rows, new, _ = channels.known_marks.log_p(mark)
        if len(rows):
            total += float(np.logaddexp.reduce(rows) - log(len(rows)) - new)
    return total


def outside_rates(tally: Tally, unknown: Mapping[str, float]) -> dict[str, dict[str, float]]:
    """Share of the reference's words typed of pieces from outside, and of outside pieces among the unsettled.

    Parameters
    ----------
    tally : Counter
        With what `tally_unsettled` counted.
    unknown : mapping of reading to float
        Share of words that the reference does not have, for pieces of its own.

    Notes
    -----
    Two kinds of piece, from the reference and from outside, told apart by EM; the shares of the one are known from
    settled pieces, those of the other start at their defaults and are held by them.
    """
    pieces = [(_pattern(key[1]), float(key[2]), n / STEP) for key, n in sorted(tally.items()) if key[0] == "unsettled"]
    pieces = [piece for piece in pieces if piece[2] > 0]
    if not pieces:
        return {}
    shares = {name: default_rate(name, "outside_known") or 0.0 for name in _WORDS}
    outside = default_rate("unsettled", "outside") or 0.0
    for _ in range(_ROUNDS):
        belongs = [_outside(pattern, mark, outside, shares, unknown) for pattern, mark, _ in pieces]
        shares, outside = _shares(pieces, belongs)
    seen = {name for pattern, _, _ in pieces for name, _ in pattern}
    learned = {name: {"outside_known": shares[name]} for name in sorted(seen)}
    return {**learned, "unsettled": {"outside": outside}}


def _pattern(told: str) -> Pattern:
    return tuple((each[:-1], each[-1] == "+") for each in told.split("|") if each)


def _outside(
    pattern: Pattern, mark: float, outside: float, shares: Mapping[str, float], unknown: Mapping[str, float]
) -> float:
    """Chance that a piece is from outside."""
    odds = log(outside) - log(1.0 - outside) - mark
    for name, known in pattern:
        odds += log(shares[name] if known else 1.0 - shares[name])
        odds -= log(1.0 - unknown[name] if known else unknown[name])
    return 1.0 / (1.0 + exp(-max(-50.0, min(50.0, odds))))


def _shares(pieces: list[tuple[Pattern, float, float]], belongs: list[float]) -> tuple[dict[str, float], float]:
    known, told = dict.fromkeys(_WORDS, 0.0), dict.fromkeys(_WORDS, 0.0)
    for (pattern, _, n), p in zip(pieces, belongs, strict=True):
        for name, has in pattern:
            told[name] += n * p
            known[name] += n * p * has
    shares = {name: _beta(name, "outside_known", known[name], told[name]) for name in _WORDS}
    weights = [n for _, _, n in pieces]
    outside = sum(n * p for n, p in zip(weights, belongs, strict=True))
    return shares, _beta("unsettled", "outside", outside, sum(weights))


def _beta(reading: str, rate: str, events: float, trials: float) -> float:
    weight, default = strength(reading, rate), default_rate(reading, rate) or 0.0
    return min(max((events + weight * default) / (trials + weight), 1e-3), 1.0 - 1e-3)
