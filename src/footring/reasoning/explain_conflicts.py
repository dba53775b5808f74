"""Readings that fight beyond what misreading explains, and the cheapest story that would make peace."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import log

from footring.marks.readings import Reading
from footring.reasoning.conflicts import Conflict
from footring.reasoning.eras import NOTHING_LEFT
from footring.reasoning.examination import Examination
from footring.reasoning.exchange import Exchange
from footring.reasoning.explain_evidence import told_as
from footring.reasoning.leader import Leader
from footring.reasoning.thing_names import thing_name
from footring.terms.tables import read_table

Group = tuple[Reading, ...]

CONFIRM_NAT = log(8.0)
"""Two readings eight times likelier together than apart confirm each other."""
FIGHT_NAT = log(50.0)
"""Two readings fifty times rarer together than apart fight: rarer than the usual misreading explains."""


def conflicts(
    readings: Sequence[Reading], pairs: Mapping[tuple[int, int], float], apart: Exchange, whole: Exchange
) -> tuple[Conflict, ...]:
    """Every pair of readings that fights, the worst first; where none does, two camps that fight.

    Parameters
    ----------
    readings : sequence of Reading
    pairs : mapping of (i, j) to float
        From `together`.
    apart, whole : Exchange
        With none of the readings as a base, and with all of them.
    """
    groups = groups_of(readings)
    fights = sorted((nat, i, j) for (i, j), nat in pairs.items() if nat < -FIGHT_NAT)
    if not fights:
        return _camps(groups, pairs, apart)
    return tuple(
        Conflict(
            (told_as(groups[i][0]), told_as(groups[j][0])),
            _bits(nat),
            _cheapest(groups, (i, j), apart, whole),
        )
        for nat, i, j in fights
    )


def _camps(groups: Sequence[Group], pairs: Mapping[tuple[int, int], float], apart: Exchange) -> tuple[Conflict, ...]:
    """What sides with each of the two readings that agree least, where both sides fight as no misreading explains."""
    if len(groups) < 3 or min(pairs.values(), default=0.0) > -CONFIRM_NAT:
        return ()
    worst = min(pairs, key=lambda pair: (pairs[pair], pair))
    near = {(i, j): nat for pair, nat in pairs.items() for i, j in (pair, pair[::-1])}
    sides: tuple[list[int], list[int]] = ([worst[0]], [worst[1]])
    for other in range(len(groups)):
        if other not in worst:
            sides[near[other, worst[0]] < near[other, worst[1]]].append(other)
    one, two = ([reading for k in side for reading in groups[k]] for side in sides)
    nat = apart.of((*one, *two)).whole - apart.of(one).whole - apart.of(two).whole
    if nat > -FIGHT_NAT:
        return ()
    first, second = (" and ".join(told_as(groups[k][0]) for k in side) for side in sides)
    return (Conflict((first, second), _bits(nat), max(_stories("camps"))[1]),)


def _bits(nat: float) -> float:
    return round(min(60.0, -nat / log(2.0)), 2)


def _cheapest(groups: Sequence[Group], pair: tuple[int, int], apart: Exchange, whole: Exchange) -> str:
    """For each of the two, what it costs to explain it away and how well the rest then agree."""
    offers = []
    for out in pair:
        rest = [reading for k, group in enumerate(groups) if k != out for reading in group]
        cost = apart.of(groups[out]).whole + whole.of(rest).whole
        for share, says in _stories(groups[out][0].name):
            offers.append((log(share) + cost, f"{told_as(groups[out][0])}: {says}"))
    return max(offers)[1]


def _stories(name: str) -> Iterator[tuple[float, str]]:
    for row in read_table("footring.reasoning", "piece_explanations.csv"):
        if row["reading"] in (name, "any"):
            yield float(row["share"]), row["says"]


def groups_of(readings: Sequence[Reading]) -> list[Group]:
    """Readings that are one look: a mark with its kind, colour and place; a numeral with its kind and place."""
    found: dict[tuple[str, int], list[Reading]] = {}
    for reading in sorted(set(readings), key=lambda r: (r.name, r.index, r.value)):
        root = reading.name.split("_")[0] if reading.name.startswith(("mark_", "numeral_")) else reading.name
        found.setdefault((root, reading.index), []).append(reading)
    return [tuple(sorted(of, key=lambda r: r.name)) for of in found.values()]


def together(readings: Sequence[Reading], apart: Exchange) -> dict[tuple[int, int], float]:
    """Log p(a, b) - log p(a) - log p(b) of every two groups of readings [jensen1991]_; their own scales cancel."""
    groups = groups_of(readings)
    alone = [apart.of(group).whole for group in groups]
    return {
        (i, j): apart.of((*groups[i], *groups[j])).whole - alone[i] - alone[j]
        for j in range(len(groups))
        for i in range(j)
    }


def confirming(readings: Sequence[Reading], pairs: Mapping[tuple[int, int], float]) -> dict[str, tuple[str, ...]]:
    """For each reading, as typed, those that it confirms."""
    groups = groups_of(readings)
    found: dict[str, list[str]] = {}
    for (i, j), nat in sorted(pairs.items()):
        if nat > CONFIRM_NAT:
            one, other = told_as(groups[i][0]), told_as(groups[j][0])
            found.setdefault(one, []).append(other)
            found.setdefault(other, []).append(one)
    return {reading: tuple(others) for reading, others in found.items()}


def clashes(examination: Examination, lead: Leader) -> tuple[Conflict, ...]:
    """Whether what documents say of the leading answer's years leaves none after its designs."""
    model = examination.model
    if lead.form < 0 or lead.treatment < 0:
        return ()
    window, told = model.classes.windows[lead.own_window], []
    decoration = int(model.known.treatments[lead.treatment, 3])
    for table, row in (("forms", lead.form), ("decorations", decoration)):
        designed = model.reference.tables[table].text("designed").value(row) if row >= 0 else None
        if designed and float(window @ model.eras.edge(str(designed))) < NOTHING_LEFT:
            between = ("the years recorded for it", f"{thing_name(model.reference, table, row)}, designed {designed}")
            told.append(Conflict(between, 60.0, max(_stories("window"))[1]))
    return tuple(told)
