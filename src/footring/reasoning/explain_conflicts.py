"""Readings that fight beyond what misreading explains, and the cheapest story that would make peace."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import log

from footring.marks.readings import Reading
from footring.reasoning.examination import Examination, examine_part
from footring.reasoning.explain_evidence import told_as
from footring.terms.tables import read_table

CONFIRM_NAT = log(8.0)
"""Two readings eight times likelier together than apart confirm each other."""
FIGHT_NAT = log(50.0)
"""Two readings fifty times rarer together than apart fight: rarer than the usual misreading explains."""


@dataclass(frozen=True, slots=True)
class PieceConflict:
    """Two readings that fight.

    Parameters
    ----------
    between : tuple of str
        The readings, as typed.
    bits : float
        log2 of how many times rarer they are together than apart [jensen1991]_; at most 60.
    explanation : str
        The cheapest of the usual explanations.
    """

    between: tuple[str, ...]
    bits: float
    explanation: str


def conflicts(examination: Examination, pairs: Mapping[tuple[int, int], float]) -> tuple[PieceConflict, ...]:
    """Every pair of readings that fights, the worst first.

    Parameters
    ----------
    pairs : mapping of (i, j) to float
        From `explain_evidence.together`.
    """
    groups = groups_of(examination.readings)
    fights = sorted((nat, i, j) for (i, j), nat in pairs.items() if nat < -FIGHT_NAT)
    return tuple(
        PieceConflict(
            (told_as(groups[i][0]), told_as(groups[j][0])),
            round(min(60.0, -nat / log(2.0)), 2),
            _cheapest(examination, i, j),
        )
        for nat, i, j in fights
    )


def _cheapest(examination: Examination, i: int, j: int) -> str:
    """For each of the two, what it costs to explain it away and how well the rest then agree."""
    groups = groups_of(examination.readings)
    offers = []
    for out in (i, j):
        rest = [reading for k, group in enumerate(groups) if k != out for reading in group]
        alone = examine_part(examination.model, list(groups[out]), examination.forms).log_evidence
        left = examine_part(examination.model, rest, examination.forms).log_evidence
        for share, says in _stories(groups[out][0].name):
            offers.append((log(share) + alone + left, f"{told_as(groups[out][0])}: {says}"))
    return max(offers)[1]


def _stories(name: str) -> Iterator[tuple[float, str]]:
    for row in read_table("footring.reasoning", "piece_explanations.csv"):
        if row["reading"] in (name, "any"):
            yield float(row["share"]), row["says"]


def groups_of(readings: Sequence[Reading]) -> list[tuple[Reading, ...]]:
    """Readings that are one look: a mark with its kind, colour and place; a numeral with its kind and place."""
    found: dict[tuple[str, int], list[Reading]] = {}
    for reading in sorted(set(readings), key=lambda r: (r.name, r.index, r.value)):
        root = reading.name.split("_")[0] if reading.name.startswith(("mark_", "numeral_")) else reading.name
        found.setdefault((root, reading.index), []).append(reading)
    return [tuple(sorted(of, key=lambda r: r.name)) for of in found.values()]


def together(examination: Examination) -> dict[tuple[int, int], float]:
    """Log p(a, b) - log p(a) - log p(b) of every two groups of readings [jensen1991]_; their own scales cancel."""
    groups = groups_of(examination.readings)

    def log_p(*of: tuple[Reading, ...]) -> float:
        return examine_part(examination.model, [r for group in of for r in group], examination.forms).log_evidence

    alone = [log_p(group) for group in groups]
    return {(i, j): log_p(groups[i], groups[j]) - alone[i] - alone[j] for j in range(len(groups)) for i in range(j)}


def confirming(examination: Examination, pairs: Mapping[tuple[int, int], float]) -> dict[str, tuple[str, ...]]:
    """For each reading, as typed, those that it confirms."""
    groups = groups_of(examination.readings)
    found: dict[str, list[str]] = {}
    for (i, j), nat in sorted(pairs.items()):
        if nat > CONFIRM_NAT:
            one, other = told_as(groups[i][0]), told_as(groups[j][0])
            found.setdefault(one, []).append(other)
            found.setdefault(other, []).append(one)
    return {reading: tuple(others) for reading, others in found.items()}
