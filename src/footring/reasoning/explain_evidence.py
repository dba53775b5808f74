"""What each reading does for the leading answer against all others, alone and with the rest in place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

from footring.marks.readings import Reading
from footring.reasoning.examination import Examination
from footring.reasoning.exchange import Exchange, Told, expected
from footring.reasoning.leader import Leader
from footring.reasoning.rests_on import rests_on
from footring.reasoning.weights import LIMIT_DB, weight_words

_OF_OTHERS = ("channel", "piece_id", "mark_place", "numeral_kind", "numeral_place")
"""Readings that say nothing of their own."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """One reading, and what it does for the leading answer.

    Parameters
    ----------
    reading : str
        As typed, `name=value`.
    alone_db, last_db : float
        Decibans [good1950]_ for the leading answer against all others: against what is expected of any piece, and
        with all other readings in place; cut at 60. Over the readings they need not add up.
    words : str
        What `last_db` comes to.
    rests_on : tuple of str
        Rows of the reference, counts, and rules with their source.
    confirms : tuple of str
        Readings that it is eight times likelier together with than apart.
    """

    reading: str
    alone_db: float
    last_db: float
    words: str
    rests_on: tuple[str, ...] = ()
    confirms: tuple[str, ...] = ()


def told_as(reading: Reading) -> str:
    """A reading as it is typed.

    Examples
    --------
    >>> told_as(Reading("glaze", "Sedge", 0.7, part="lid")), told_as(Reading("number", "", absent=True))
    ('lid.glaze=Sedge ~0.7', 'number=none')
    """
    part = f"{reading.part}." if reading.part else ""
    index = f".{reading.index}" if reading.index > 1 else ""
    doubt = f" ~{reading.p:g}" if reading.p < 1.0 else ""
    return f"{part}{reading.name}{index}={'none' if reading.absent else reading.value}{doubt}"


def explain_evidence(
    examination: Examination, leader: Leader, apart: Exchange | None = None, together: Exchange | None = None
) -> tuple[Evidence, ...]:
    """What speaks for and against the leading answer, the weightiest first.

    Parameters
    ----------
    examination : Examination
    leader : Leader
        From `leading`.
    apart, together : Exchange, optional
        With no reading and with all of them as a base, where they are at hand.

    Returns
    -------
    tuple of Evidence
        One for each reading that says something of its own.
    """
    readings = examination.readings
    apart = apart or Exchange(expected(examination.model, examination.forms), leader)
    together = together or Exchange(examination, leader)
    all_of_it, nothing = together.of(readings), apart.of(())
    found = [
        _evidence(
            examination,
            leader,
            reading,
            (decibans(apart.of((reading,)), nothing), decibans(all_of_it, together.of(_without(readings, reading)))),
        )
        for reading in _told_once(readings)
    ]
    return tuple(sorted(found, key=lambda one: (-abs(one.last_db), -abs(one.alone_db), one.reading)))


def _evidence(examination: Examination, leader: Leader, reading: Reading, db: tuple[float, float]) -> Evidence:
    alone, last = db
    return Evidence(told_as(reading), alone, last, weight_words(last), rests_on(examination, leader, reading))


def _told_once(readings: Sequence[Reading]) -> list[Reading]:
    return [reading for reading in dict.fromkeys(readings) if reading.name not in _OF_OTHERS]


def _without(readings: Sequence[Reading], left_out: Reading) -> list[Reading]:
    return [reading for reading in readings if reading != left_out]


def decibans(after: Told, before: Told) -> float:
    """Weight of evidence for the leading answer, cut at 60 either way."""
    return max(-LIMIT_DB, min(LIMIT_DB, 10.0 * (after.odds - before.odds) / log(10.0)))
