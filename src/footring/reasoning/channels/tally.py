"""Readings of pieces whose attribution is settled, counted."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import log
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.channels.colour import AXES, parse_colour
from footring.reasoning.channels.heard import SHARE, STEP, Rows, Seen, heard
from footring.reasoning.channels.named import word_key
from footring.reasoning.channels.names import Vocabulary
from footring.reasoning.channels.sizes import parse_measure
from footring.reasoning.channels.tally_marks import tally_marks
from footring.reasoning.channels.unsettled import tally_unsettled
from footring.terms.errors import BadInput

if TYPE_CHECKING:
    from footring.reasoning.channels.build import Channels

Key = tuple[str, ...]
Tally = Counter[Key]
"""Counts in steps of 1 / `STEP`, so that their sums are exact in any order."""
FINE = 10**7
"""Relative deviations are summed in these steps."""
_FAR_OFF = 0.12
"""Share of the size beyond which a measurement is called wrong; common practice, no source."""
_OFF_COLOUR = 25.0
_USUAL = 0.02


def tally_readings(channels: Channels, pieces: NDArray[np.bool_] | None = None) -> Tally:
    """Count the readings of all pieces, or of some.

    Parameters
    ----------
    channels : Channels
        Of the reference, with default rates.
    pieces : bool array, shape (pieces,), or None
        Which pieces.

    Returns
    -------
    Counter
        Additive: the tally of all pieces is that of some and that of the others together.
    """
    rows = heard(channels.reference, pieces)
    tally: Tally = Counter()
    for reading in _IN_WORDS:
        _words(tally, channels, reading, rows)
    _features(tally, channels, rows)
    for reading in ("across", "height", "capacity"):
        _measures(tally, channels, reading, rows)
    _colours(tally, channels, rows)
    tally_marks(tally, channels, rows)
    tally_unsettled(tally, channels, rows)
    return tally


_IN_WORDS = (
    "maker", "line", "form", "body", "glaze", "decoration", "trim", "customer", "effect", "technique", "placement",
    "country", "trade_size",
)  # fmt: skip


def _words(tally: Tally, channels: Channels, reading: str, rows: Rows) -> None:
    vocabulary = channels.vocabulary(reading)
    ids = rows.ids(reading)
    for seen in rows.of(reading):
        if reading == "glaze" and _is_colour(seen.value):
            continue
        _presence(tally, reading, seen, vocabulary)
        if not seen.absent:
            _word(tally, reading, seen, vocabulary, ids)
    for typed, truth in rows.corrected(reading):
        things = np.unique(vocabulary.named.called(word_key(truth))[0]).tolist()
        if len(things) == 1 and not vocabulary.kinds_of(things[0], word_key(typed)):
            tally["misread as", reading, ids[things[0]], word_key(typed)] += STEP


def _is_colour(value: str) -> bool:
    try:
        return parse_colour(value) is not None
    except BadInput:
        return True


def _presence(tally: Tally, reading: str, seen: Seen, vocabulary: Vocabulary) -> None:
    tally["looked", reading] += seen.weight
    tally["nothing found", reading] += seen.weight * seen.absent
    if seen.truth < 0 or seen.sure < 1.0:
        return
    nothing = vocabulary.named.nothing
    kind = "nothing" if nothing is not None and nothing[seen.truth] else "there"
    tally[kind, reading] += seen.weight
    tally[f"{kind}, read absent", reading] += seen.weight * seen.absent
    if kind == "nothing" and not seen.absent:
        tally["nothing, named", reading] += seen.weight * bool(vocabulary.kinds_of(seen.truth, word_key(seen.value)))


def _word(tally: Tally, reading: str, seen: Seen, vocabulary: Vocabulary, ids: list[str]) -> None:
    key = word_key(seen.value)
    tally["word", reading, key] += seen.weight
    if key not in vocabulary.named.words:
        tally["not held", reading, key] += seen.weight
    nothing = vocabulary.named.nothing
    if seen.truth < 0 or vocabulary.bare[seen.truth] or (nothing is not None and nothing[seen.truth]):
        return
    weight = _believed(seen, vocabulary)
    tally["told", reading] += weight
    kinds = vocabulary.kinds_of(seen.truth, key)
    if kinds or vocabulary.is_misspelt(seen.truth, key):
        ways = dict.fromkeys((*vocabulary.kinds(seen.truth), "misspelt"), 0.0) | (kinds or {"misspelt": 1.0})
        tally["called", reading, _pattern(ways)] += weight
    elif key in vocabulary.named.words:
        tally["misread", reading] += weight
        tally["misread as", reading, ids[seen.truth], key] += weight
        tally["among", reading, _pattern(vocabulary.misread_as(seen.truth, key))] += weight
    else:
        tally["unknown", reading] += weight
        tally["misread as", reading, ids[seen.truth], key] += weight


def _pattern(chances: Mapping[str, float]) -> str:
    """What a word may have come by, and how likely it then was."""
    return "|".join(f"{name}={p:.3g}" for name, p in sorted(chances.items()))


def _believed(seen: Seen, vocabulary: Vocabulary) -> int:
    """What a doubtful reading counts for: how likely it is the channel's and not the doubt's."""
    if seen.sure >= 1.0:
        return seen.weight
    own = seen.sure * float(vocabulary.p(seen.value)[seen.truth])
    other = (1.0 - seen.sure) * vocabulary.base(seen.value, 1.0 - vocabulary.unknown)
    return _part(seen.weight, own / (own + other)) if own > 0 else 0


def _part(weight: int, share: float) -> int:
    """A share of a weight, the same however the weight is summed."""
    return weight // SHARE * round(share * SHARE)


def _features(tally: Tally, channels: Channels, rows: Rows) -> None:
    for seen in rows.of("feature"):
        look_at, colon, what = seen.value.partition(":")
        vocabulary = channels.features(word_key(look_at))
        if seen.absent or not colon or seen.truth < 0 or vocabulary.bare[seen.truth]:
            continue
        key, weight = word_key(what), _believed(seen._replace(value=what), vocabulary)
        tally["told", "feature"] += weight
        if vocabulary.kinds_of(seen.truth, key) or vocabulary.is_misspelt(seen.truth, key):
            continue
        tally["misread" if key in vocabulary.named.words else "unknown", "feature"] += weight


@dataclass(frozen=True, slots=True)
class _Sized:
    value: float
    weight: int
    truth: int


def _measured(reading: str, rows: Rows) -> Iterator[_Sized]:
    for seen in rows.of(reading):
        if seen.absent:
            continue
        try:
            value = parse_measure(reading, seen.value)[0]
        except BadInput:
            continue
        yield _Sized(value, seen.weight, seen.truth)


def _measures(tally: Tally, channels: Channels, reading: str, rows: Rows) -> None:
    recorded, ids = channels.measures[reading].recorded, rows.ids(reading)
    named = channels.measures[reading].named_inches
    for found in _measured(reading, rows):
        _moments(tally, ("size met", reading), log(found.value), found.weight)
        if found.truth < 0:
            continue
        size = recorded[found.truth]
        if np.isnan(size):
            _moments(tally, ("measured", reading, ids[found.truth]), found.value, found.weight)
            continue
        off = found.value / size - 1.0
        tally["measured", reading] += found.weight
        if abs(off) > _FAR_OFF:
            tally["measured wrong", reading] += found.weight
            continue
        _moments(tally, ("measured", reading, ids[found.truth]), off, found.weight)
        _moments(tally, ("tails", reading), (off / _USUAL) ** 2, found.weight)
        if reading == "across" and named[found.truth] > 0:
            _moments(tally, ("offset", "trade_size"), log(found.value / (25.4 * named[found.truth])), found.weight)


def _colours(tally: Tally, channels: Channels, rows: Rows) -> None:
    labs, ids = channels.colours.labs, rows.ids("glaze")
    for seen in rows.of("glaze"):
        try:
            colour = None if seen.absent else parse_colour(seen.value)
        except BadInput:
            continue
        if colour is None:
            continue
        for axis, value in zip(AXES, colour.lab, strict=True):
            _moments(tally, ("colour met", axis), value, seen.weight)
        if seen.truth < 0:
            continue
        off = np.array(colour.lab) - labs[seen.truth]
        plain = not np.isnan(off).any()
        tally["colour", "told"] += seen.weight * plain
        if np.sqrt(off @ off) > _OFF_COLOUR:
            tally["colour", "elsewhere"] += seen.weight
            continue
        for axis, value, apart in zip(AXES, colour.lab, off.tolist(), strict=True):
            _moments(tally, ("measured", "glaze " + axis, ids[seen.truth]), value, seen.weight)
            if plain:
                _moments(tally, ("colour off", colour.given, axis), apart, seen.weight)


def _moments(tally: Tally, key: Key, value: float, weight: int) -> None:
    """Number, sum and sum of squares, exact in any order."""
    tally[*key, "n"] += weight
    tally[*key, "sum"] += weight * round(value * FINE)
    tally[*key, "squares"] += weight * round(value * value * FINE)
