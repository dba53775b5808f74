"""Readings that fight, and what would explain it most cheaply.

The measure is log p(a) + log p(b) - log p(a and b) [jensen1991]_: how much less probable two readings are together
than if neither knew of the other. It needs no common scale: each likelihood's own constant cancels.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from footring.marks.evidence import Evidence
from footring.terms.tables import read_table

Family = tuple[Evidence, ...]
LogEvidence = Callable[[Sequence[Sequence[Evidence]]], list[float]]
Medians = Callable[[Sequence[Sequence[Evidence]]], list[int]]

FIGHT_NAT = math.log(8.0)
"""Two readings eight times rarer together than apart are reported."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Two readings that fight.

    Parameters
    ----------
    between : tuple of str
        The readings, as typed.
    bits : float
        log2 of how many times rarer they are together than apart; at most 60.
    explanation : str
        The cheapest of the usual explanations.
    """

    between: tuple[str, str]
    bits: float
    explanation: str


def families(evidence: Sequence[Evidence]) -> list[Family]:
    """Evidence grouped into what repeats itself, in a fixed order."""
    grouped: dict[tuple[str, tuple[str, ...]], list[Evidence]] = {}
    for item in evidence:
        grouped.setdefault((item.family, item.speaks_of), []).append(item)
    return [tuple(grouped[key]) for key in sorted(grouped)]


def find_conflicts(groups: Sequence[Family], log_evidence: LogEvidence, medians: Medians) -> list[Conflict]:
    """Every pair of families that fights, worst first.

    Parameters
    ----------
    groups : sequence of families
        From `families`.
    log_evidence, medians : callable
        Log probability of the evidence, and median year of the decorating, for each of several sets of evidence.
    """
    if len(groups) < 2:
        return []
    pairs = [(a, b) for a in range(len(groups)) for b in range(a)]
    alone = log_evidence(groups)
    together = log_evidence([groups[a] + groups[b] for a, b in pairs])
    fights = [
        (alone[a] + alone[b] - joint, a, b)
        for (a, b), joint in zip(pairs, together, strict=True)
        if alone[a] + alone[b] - joint > FIGHT_NAT
    ]
    return [
        Conflict(
            (_leading(groups[b]), _leading(groups[a])),
            round(min(60.0, nat / math.log(2.0)), 2),
            _cheapest(groups, a, b, log_evidence, medians),
        )
        for nat, a, b in sorted(fights, key=lambda fight: (-fight[0], fight[1], fight[2]))
    ]


def _leading(family: Family) -> str:
    return min(family, key=lambda item: (item.floor, item.reading)).reading


def _cheapest(groups: Sequence[Family], a: int, b: int, log_evidence: LogEvidence, medians: Medians) -> str:
    rest = [[item for k, group in enumerate(groups) if k != out for item in group] for out in (a, b)]
    without, (alone_a, alone_b) = log_evidence(rest), log_evidence([groups[a], groups[b]])
    years = medians([groups[a], groups[b]])
    offers = []
    for group, log_rest, log_alone, later in (
        (groups[a], without[0], alone_a, years[0] > years[1]),
        (groups[b], without[1], alone_b, years[1] > years[0]),
    ):
        side = "later" if later else "earlier"
        offers += [
            (math.log(share) + log_rest + log_alone, f"{_leading(group)}: {says}")
            for share, says in _explanations(_kind(group), side)
        ]
    return max(offers)[1]


def _kind(group: Family) -> str:
    """What the usual explanations go by; whatever a label says, the label may be from elsewhere."""
    return "label" if group[0].speaks_of == ("sold",) else group[0].kind


def _explanations(kind: str, side: str) -> list[tuple[float, str]]:
    return [
        (float(row["share"]), row["says"])
        for row in read_table("footring.reasoning", "explanations.csv")
        if row["kind"] == kind and row["side"] in ("any", side)
    ]
