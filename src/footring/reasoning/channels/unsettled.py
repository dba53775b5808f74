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
from footring.reasoning.channels.names import coverage
from footring.reasoning.channels.naming import SPEAKS_OF
from footring.reasoning.channels.rates import default_rate, strength
from footring.terms.errors import BadInput

if TYPE_CHECKING:
    from footring.reasoning.channels.build import Channels

Tally = Counter[tuple[str, ...]]
Counts = dict[str, dict[str, float]]
Pattern = tuple[tuple[str, str], ...]
"""Each reading, and whether nothing was there, or its word is "known", was typed of others ("again"), or is "new"."""
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
            if absent or (typed and not typed.startswith("#") and "(" not in typed):
                key = word_key(typed)
                token = "0" if absent else "+" if key in known else "-" + key
                words.setdefault(int(pieces[row]), set()).add(name + token)
    for row in _among(rows.standing("mark"), open_[pieces]):
        typed, absent = rows.typed(row)
        if not absent and typed:
            piece = int(pieces[row])
            marks[piece] = marks.get(piece, 0.0) + _held(channels, typed)
    for piece in sorted({*words, *marks}):
        told = "\n".join(sorted(words.get(piece, ())))
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


def outside_rates(
    tally: Tally, unknown: Mapping[str, float], absence: Mapping[str, float]
) -> dict[str, dict[str, float]]:
    """Share of the reference's words typed of pieces from outside, and of outside pieces among the unsettled.

    Parameters
    ----------
    tally : Counter
        With what `tally_unsettled` counted.
    unknown : mapping of reading to float
        Share of words that the reference does not have, for pieces of its own.
    absence : mapping of reading to float
        How often nothing is found, whatever the piece.

    Notes
    -----
    Two kinds of piece, from the reference and from outside, told apart by EM; the shares of the one are known from
    settled pieces, those of the other start at their defaults and are held by them.
    """
    counts = {key[1:]: n / STEP for key, n in tally.items() if key[0] == "not held"}
    pieces = [
        (_pattern(key[1], counts), float(key[2]), n / STEP)
        for key, n in sorted(tally.items())
        if key[0] == "unsettled" and n > 0
    ]
    if not pieces:
        return {}
    covered = {name: coverage(n for (of, _), n in sorted(counts.items()) if of == name) for name in _WORDS}
    inside = {name: _chances(absence[name], unknown[name], covered[name]) for name in _WORDS}
    outside = {name: _chances(absence[name], *_strange(name)) for name in _WORDS}
    share = default_rate("unsettled", "outside") or 0.0
    for _ in range(_ROUNDS):
        belongs = [_outside(pattern, mark, share, inside, outside) for pattern, mark, _ in pieces]
        outside, share = _shares(pieces, belongs, absence)
    learned = {
        name: _rates(outside[name]) for name in sorted({name for pattern, _, _ in pieces for name, _ in pattern})
    }
    return {**learned, "unsettled": {"outside": share}}


def _strange(name: str) -> tuple[float, float]:
    """Shares, to begin with, of words not held for pieces from outside, and of those typed before among these."""
    return 1.0 - (default_rate(name, "outside_known") or 0.0), default_rate("name", "again") or 0.0


def _chances(absence: float, unknown: float, again: float) -> dict[str, float]:
    """Chances of finding nothing, a word of the reference, another typed of other pieces too, and a new one."""
    least = 1e-3
    absence, again = (min(max(p, least), 1.0 - least) for p in (absence, again))
    there = 1.0 - absence
    strange = there * unknown
    return {"none": absence, "known": there - strange, "again": strange * again, "new": strange * (1.0 - again)}


def _rates(chances: Mapping[str, float]) -> dict[str, float]:
    strange = chances["again"] + chances["new"]
    known = chances["known"] / (chances["known"] + strange)
    return {"outside_known": known, "again": chances["again"] / strange, "outside_absence": chances["none"]}


def _pattern(told: str, counts: Mapping[tuple[str, ...], float]) -> Pattern:
    return tuple(_kind(each, counts) for each in told.split("\n") if each)


def _kind(told: str, counts: Mapping[tuple[str, ...], float]) -> tuple[str, str]:
    if told[-1] in "+0" and "-" not in told:
        return told[:-1], "known" if told.endswith("+") else "none"
    name, _, word = told.partition("-")
    return name, "again" if counts.get((name, word), 0.0) > 1.5 else "new"


def _outside(
    pattern: Pattern,
    mark: float,
    share: float,
    inside: Mapping[str, Mapping[str, float]],
    outside: Mapping[str, Mapping[str, float]],
) -> float:
    """Chance that a piece is from outside."""
    odds = log(share) - log(1.0 - share) - mark
    odds += sum(log(outside[name][kind]) - log(inside[name][kind]) for name, kind in pattern)
    return 1.0 / (1.0 + exp(-max(-50.0, min(50.0, odds))))


def _shares(
    pieces: list[tuple[Pattern, float, float]], belongs: list[float], absence: Mapping[str, float]
) -> tuple[dict[str, dict[str, float]], float]:
    told: Counts = {name: dict.fromkeys(("none", "known", "again", "new"), 0.0) for name in _WORDS}
    for (pattern, _, n), p in zip(pieces, belongs, strict=True):
        for name, kind in pattern:
            told[name][kind] += n * p
    outside = {name: _learned(name, found, absence[name]) for name, found in told.items()}
    weights = [n for _, _, n in pieces]
    whole = sum(n * p for n, p in zip(weights, belongs, strict=True))
    return outside, _beta("unsettled", "outside", whole, sum(weights))


def _learned(name: str, found: Mapping[str, float], absence: float) -> dict[str, float]:
    strange = found["again"] + found["new"]
    known = _beta(name, "outside_known", found["known"], found["known"] + strange)
    weight = strength(name, "outside_known")
    none = (found["none"] + weight * absence) / (sum(found.values()) + weight)
    return _chances(none, 1.0 - known, _beta("name", "again", found["again"], strange))


def _beta(reading: str, rate: str, events: float, trials: float) -> float:
    weight, default = strength(reading, rate), default_rate(reading, rate) or 0.0
    return min(max((events + weight * default) / (trials + weight), 1e-3), 1.0 - 1e-3)
