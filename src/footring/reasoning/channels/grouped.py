"""Readings that belong together: a mark with its kind, colour and place; a figure with its kind and place."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from footring.marks.readings import NAMES, Reading

_OF_MARK = ("mark_kind", "mark_colour", "mark_place")
_OF_NUMERAL = ("numeral_kind", "numeral_place")
_BELONGS = {**dict.fromkeys(_OF_MARK, "mark"), **dict.fromkeys(_OF_NUMERAL, "numeral")}
_ORDER = {name: i for i, name in enumerate(NAMES)}


@dataclass(frozen=True, slots=True)
class Group:
    """A reading, and those that say how and where what it read stands."""

    reading: Reading
    with_it: tuple[Reading, ...] = ()

    @property
    def is_mark(self) -> bool:
        """Whether it is of a mark."""
        return self.reading.name == "mark" or self.reading.name in _OF_MARK

    def of(self, name: str) -> Reading | None:
        """Its reading of this name."""
        return next((r for r in (self.reading, *self.with_it) if r.name == name), None)


def grouped(readings: Iterable[Reading]) -> list[Group]:
    """Groups in an order of their own, those that say the same once, at their surest.

    A kind of mark read without its lettering is a group of its own; what belongs to a figure that was not read is
    left out.

    Examples
    --------
    >>> read = [Reading("mark", "ORMSLEY"), Reading("mark_kind", "printed"), Reading("line", "Ormsley")] * 2
    >>> [(group.reading.value, len(group.with_it)) for group in grouped(read)]
    [('ORMSLEY', 1), ('Ormsley', 0)]
    """
    belonging: dict[tuple[str, bool, int], list[Reading]] = {}
    heads: list[Reading] = []
    for reading in readings:
        if of := _BELONGS.get(reading.name):
            belonging.setdefault((of, reading.part == "lid", reading.index), []).append(reading)
        else:
            heads.append(reading)
    found = [_group(head, belonging) for head in heads] + _headless(heads, belonging)
    return _each_once(found)


def _group(head: Reading, belonging: dict[tuple[str, bool, int], list[Reading]]) -> Group:
    if not belonging:
        return Group(head)
    own = belonging.get((head.name, head.part == "lid", head.index), [])
    surest = {r.name: r for r in sorted(own, key=lambda r: (r.p, r.value))}
    return Group(head, tuple(surest[name] for name in sorted(surest)))


def _headless(heads: list[Reading], belonging: dict[tuple[str, bool, int], list[Reading]]) -> list[Group]:
    if not belonging:
        return []
    marks = {(r.part == "lid", r.index) for r in heads if r.name == "mark"}
    out = []
    for (of, lid, index), own in belonging.items():
        kinds = [r for r in own if r.name == "mark_kind" and not r.absent]
        if of == "mark" and (lid, index) not in marks and kinds:
            rest = {r.name: r for r in sorted(own, key=lambda r: (r.p, r.value))}
            kind = rest.pop("mark_kind")
            out.append(Group(kind, tuple(rest[name] for name in sorted(rest))))
    return out


def _each_once(groups: list[Group]) -> list[Group]:
    surest: dict[object, Group] = {}
    for group in groups:
        key = tuple(_content(r) for r in (group.reading, *group.with_it))
        known = surest.get(key)
        if known is None or _surety(group) > _surety(known):
            surest[key] = group
    return sorted(surest.values(), key=_place)


def _content(reading: Reading) -> tuple[str, str, bool, bool]:
    return reading.name, " ".join(reading.value.casefold().split()), reading.absent, reading.part == "lid"


def _surety(group: Group) -> tuple[object, ...]:
    every = (group.reading, *group.with_it)
    return tuple(r.p for r in every), tuple(-r.index for r in every), tuple(r.value for r in every)


def _place(group: Group) -> tuple[object, ...]:
    r = group.reading
    return (r.part or "", _ORDER[r.name], r.absent, r.value, r.index, -r.p)
