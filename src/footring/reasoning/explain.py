"""Why, what fights, what is unusual, and what to look at next."""

from __future__ import annotations

from dataclasses import dataclass, replace

from footring.reasoning.conflicts import Conflict
from footring.reasoning.examination import Examination
from footring.reasoning.exchange import Exchange, expected
from footring.reasoning.explain_conflicts import clashes, confirming, conflicts, together
from footring.reasoning.explain_evidence import Evidence, explain_evidence
from footring.reasoning.leader import leading
from footring.reasoning.next_reading import NextReading, next_readings
from footring.reasoning.unusual import Unusual, unusual

TOLD_NEXT = 8
LEAST_BITS = 0.005
MOST_PAIRED = 12
"""Readings beyond which pairs are not compared."""


@dataclass(frozen=True, slots=True)
class Explanation:
    """What explains a finding."""

    evidence: tuple[Evidence, ...]
    conflicts: tuple[Conflict, ...]
    unusual: tuple[Unusual, ...]
    next: tuple[NextReading, ...]


def explain(examination: Examination, about: str | None = None) -> Explanation:
    """Explain an examination.

    Parameters
    ----------
    examination : Examination
    about : str or None
        What the next reading is meant to tell; None for line, form, treatment and outside at once.

    Raises
    ------
    UnknownName
        If nothing can be told about that.
    """
    lead, readings = leading(examination), examination.readings
    apart, whole = Exchange(expected(examination.model, examination.forms), lead), Exchange(examination, lead)
    pairs = together(readings, apart) if len(readings) <= 2 * MOST_PAIRED else {}
    confirmed = confirming(readings, pairs)
    evidence = explain_evidence(examination, lead, apart, whole)
    nexts = [n for n in next_readings(examination, about) if n.bits >= LEAST_BITS]
    return Explanation(
        tuple(replace(one, confirms=confirmed.get(one.reading, ())) for one in evidence),
        (*conflicts(readings, pairs, apart, whole), *clashes(examination, lead)),
        unusual(examination, lead),
        tuple(nexts[:TOLD_NEXT]),
    )
