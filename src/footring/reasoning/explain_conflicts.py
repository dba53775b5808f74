"""Readings of a piece that fight, those that confirm one another, and what would explain the fights most cheaply.

The measure is log p(a) + log p(b) - log p(a and b) [jensen1991]_, as for dates.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import log

from footring.marks.readings import Reading
from footring.reasoning.conflicts import FIGHT_NAT, Conflict
from footring.reasoning.examination import Examination
from footring.reasoning.exchange import Exchange
from footring.reasoning.explain_evidence import told_as
from footring.reasoning.leader import Leader
from footring.reasoning.thing_names import thing_name
from footring.terms.tables import read_table

Unit = tuple[Reading, ...]
_MARK, _FIGURE = ("mark", "mark_kind", "mark_colour", "mark_place"), ("numeral", "numeral_kind", "numeral_place")
_SILENT = ("channel", "piece_id")
MOST_BITS = 60.0


@dataclass(frozen=True, slots=True)
class Pairs:
    """How readings stand to each other.

    Parameters
    ----------
    units : sequence of tuple of Reading
        What was read together: a mark with its kind and colour, anything else alone; in a fixed order.
    fight : mapping of (i, j) to float
        How many times rarer two units are together than apart, as a natural logarithm; below 0 they confirm each
        other.
    """

    units: Sequence[Unit]
    fight: Mapping[tuple[int, int], float]

    def confirms(self) -> dict[str, tuple[str, ...]]:
        """Of each reading, those it is eight times likelier together with than apart."""
        found: dict[str, list[str]] = defaultdict(list)
        for (i, j), nat in self.fight.items():
            if nat < -FIGHT_NAT:
                for a, b in ((i, j), (j, i)):
                    for reading in self.units[a]:
                        found[told_as(reading)].append(told_as(self.units[b][0]))
        return {reading: tuple(sorted(others)) for reading, others in found.items()}


def pairs(readings: Sequence[Reading], apart: Exchange) -> Pairs:
    """Every pair of what was read together.

    Parameters
    ----------
    readings : sequence of Reading
    apart : Exchange
        One whose base is no reading at all.
    """
    units = units_of(readings)
    alone = [apart.of(unit).whole for unit in units]
    fight = {
        (i, j): alone[i] + alone[j] - apart.of((*units[i], *units[j])).whole
        for i, j in combinations(range(len(units)), 2)
    }
    return Pairs(units, fight)


def units_of(readings: Sequence[Reading]) -> list[Unit]:
    """Readings by what was read together, each once."""
    found: dict[tuple[object, ...], list[Reading]] = defaultdict(list)
    for reading in sorted(dict.fromkeys(readings), key=_place):
        if reading.name not in _SILENT:
            head = next((of[0] for of in (_MARK, _FIGURE) if reading.name in of), None)
            found[(head, reading.index) if head else _place(reading)].append(reading)
    return [tuple(unit) for unit in found.values()]


def _place(reading: Reading) -> tuple[object, ...]:
    return (reading.name, reading.index, reading.value, reading.absent, reading.p, reading.part or "")


def explain_conflicts(
    examination: Examination, leader: Leader, found: Pairs, together: Exchange, apart: Exchange
) -> tuple[Conflict, ...]:
    """What fights, the worst first; a reading that fights with several is told once.

    Parameters
    ----------
    examination : Examination
    leader : Leader
    found : Pairs
    together, apart : Exchange
        With all readings as a base, and with none.
    """
    fights = {pair: nat for pair, nat in found.fight.items() if nat > FIGHT_NAT}
    told: list[Conflict] = []
    while fights:
        odd = max(range(len(found.units)), key=lambda u: (sum(n for pair, n in fights.items() if u in pair), -u))
        mine = {pair: nat for pair, nat in fights.items() if odd in pair}
        others = [i if j == odd else j for (i, j), _ in sorted(mine.items(), key=lambda item: -item[1])]
        says = _cheapest([found.units[u] for u in (odd, *others)], examination.readings, together, apart)
        between = (told_as(found.units[odd][0]), " and ".join(told_as(found.units[u][0]) for u in others))
        told.append(Conflict(between, round(min(max(mine.values()) / log(2.0), MOST_BITS), 2), says))
        fights = {pair: nat for pair, nat in fights.items() if odd not in pair}
    return (*sorted(told, key=lambda c: -c.bits), *clashes(examination, leader))


def _cheapest(units: Sequence[Unit], readings: Sequence[Reading], together: Exchange, apart: Exchange) -> str:
    """Of the usual explanations that one of the units is not to be taken at its word, the one that costs least."""
    offers = []
    for unit in units:
        rest = [reading for reading in readings if reading not in unit]
        cost = together.of(rest).whole + apart.of(unit).whole
        offers += [
            (log(float(row["share"])) + cost, f"{told_as(unit[0])}: {row['says']}")
            for row in read_table("footring.reasoning", "piece_explanations.csv")
            if row["reading"] == unit[0].name
        ]
    return max(offers)[1] if offers else "nothing usual explains it"


def clashes(examination: Examination, leader: Leader) -> tuple[Conflict, ...]:
    """Whether what documents say of the leading answer's years leaves nothing after its designs."""
    model = examination.model
    if leader.form < 0 or leader.treatment < 0:
        return ()
    decoration = int(model.known.treatments[leader.treatment, 3])
    window = model.classes.windows[leader.own_window]
    told = []
    for table, row in (("forms", leader.form), ("decorations", decoration)):
        designed = model.reference.tables[table].text("designed").value(row) if row >= 0 else None
        if designed and float((window * model.eras.edge(str(designed))).sum()) < 1e-6:
            name = thing_name(model.reference, table, row)
            between = ("the years recorded for it", f"the design of {name}, {designed}")
            told.append(Conflict(between, MOST_BITS, _of_window()))
    return tuple(told)


def _of_window() -> str:
    table = read_table("footring.reasoning", "piece_explanations.csv")
    return next(row["says"] for row in table if row["reading"] == "window")
