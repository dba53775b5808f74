"""Why: what speaks for the leading answer and against it, what is unusual, what fights, what to look at next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from footring.marks.readings import Reading
from footring.reasoning.explain_evidence import Evidence, told_as
from footring.reasoning.finding import Finding
from footring.reasoning.label_parts import fight
from footring.reasoning.label_text import LIKELIER
from footring.reasoning.look_closer import look_closer, looked_at
from footring.reasoning.next_reading import NextReading
from footring.reasoning.reading_words import in_words
from footring.reasoning.weights import weight_words

TOLD_NEXT = 3
LEAST_DB = 0.8
"""Weight below which a reading says next to nothing."""


@dataclass(frozen=True)
class Speaks:
    """One reading and what it does."""

    words: str
    alone: str
    last: str
    against: bool
    evidence: Evidence


@dataclass(frozen=True)
class Look:
    """One thing to look at next."""

    what: str
    minutes: str
    how: str
    more: tuple[str, ...]
    bits: float


@dataclass(frozen=True)
class Why:
    """All that explains a finding."""

    answer: str
    speaks: tuple[Speaks, ...]
    nothing: tuple[str, ...]
    unusual: tuple[str, ...]
    fights: tuple[str, ...]
    next: tuple[Look, ...]
    weighed: tuple[Speaks, ...]


def why(finding: Finding) -> Why:
    """Explain a finding in words."""
    words = {told_as(reading): said for said, look in in_words(finding.readings) for reading in look}
    told = [_speaks(one, words) for one in finding.evidence]
    return Why(
        _answer(finding),
        tuple(one for one in told if _weighs(one.evidence)),
        _idle(told),
        tuple(one.what for one in finding.unusual),
        tuple(_in_plain_words(fight(one), finding.readings) for one in finding.conflicts),
        tuple(_look(one) for one in finding.next[:TOLD_NEXT]),
        tuple(told),
    )


def _idle(told: Sequence[Speaks]) -> tuple[str, ...]:
    """Looks none of whose readings tells anything, each once."""
    weighty = {one.words for one in told if _weighs(one.evidence)}
    return tuple(dict.fromkeys(one.words for one in told if one.words not in weighty))


def _weighs(one: Evidence) -> bool:
    return max(abs(one.alone_db), abs(one.last_db)) >= LEAST_DB


def _speaks(one: Evidence, words: dict[str, str]) -> Speaks:
    against = (one.last_db if abs(one.last_db) >= LEAST_DB else one.alone_db) < 0
    return Speaks(words.get(one.reading, one.reading), weight_words(one.alone_db), one.words, against, one)


def _answer(finding: Finding) -> str:
    """What all of it is for or against."""
    if finding.outside > LIKELIER or not finding.marginals:
        return "a piece from outside your reference"
    best = [finding.marginals[name][0][0] for name in ("form", "line", "decoration") if finding.marginals.get(name)]
    return ", ".join(value for value in best if value not in ("new", "unknown", "none"))


def _in_plain_words(text: str, readings: Sequence[Reading]) -> str:
    """Readings as typed on a command line, said in words."""
    for said, look in in_words(readings):
        text = text.replace(told_as(look[0]), said)
    return text[:1].upper() + text[1:]


def _look(one: NextReading) -> Look:
    return Look(looked_at(one.reading), _time(one.minutes), one.how, look_closer(one.reading), one.bits)


def _time(minutes: float) -> str:
    if minutes >= 0.9:
        return "a minute" if minutes < 1.5 else f"{minutes:.0f} minutes"
    return "half a minute" if minutes >= 0.4 else "a few seconds"
