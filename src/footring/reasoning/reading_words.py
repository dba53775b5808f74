"""What was read, said in words."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import cache

from footring.marks.readings import Reading
from footring.terms.tables import read_table

_WITH = {
    **dict.fromkeys(("mark_kind", "mark_colour", "mark_place"), "mark"),
    **dict.fromkeys(("numeral_kind", "numeral_place"), "numeral"),
}
"""Readings that are said together with another one."""


@cache
def reading_rows() -> Mapping[str, Mapping[str, str]]:
    """How each reading is told, what is looked for, and by which words it is typed; by its name."""
    return {row["reading"]: row for row in read_table("footring.reasoning", "reading_words.csv")}


def in_words(readings: Iterable[Reading]) -> tuple[tuple[str, tuple[Reading, ...]], ...]:
    """Readings in words, those that are one look together: a figure with how it was put there.

    Parameters
    ----------
    readings : iterable of Reading

    Returns
    -------
    tuple of (str, tuple of Reading)
        In the order of the first of each.

    Examples
    --------
    >>> read = [Reading("numeral", "417"), Reading("numeral_kind", "printed"), Reading("mark", "", absent=True)]
    >>> [words for words, _ in in_words(read)]
    ['the figure 417, printed', 'looked for a mark and found none']
    """
    looks: dict[tuple[str | None, str, int], list[Reading]] = {}
    for reading in readings:
        name = _WITH.get(reading.name, reading.name)
        looks.setdefault((reading.part, name, reading.index), []).append(reading)
    return tuple((_look(of), tuple(of)) for of in looks.values())


def _look(readings: Sequence[Reading]) -> str:
    head, *others = sorted(readings, key=lambda r: r.name in _WITH)
    return ", ".join([_said(head), *(_with(other) for other in others)])


def _with(reading: Reading) -> str:
    return reading.value if reading.name in ("mark_kind", "numeral_kind") else _said(reading)


def _said(reading: Reading) -> str:
    row = reading_rows()[reading.name]
    part = f"{reading.part}: " if reading.part else ""
    doubt = ", doubtful" if reading.p < 1.0 else ""
    if reading.absent:
        thing = row["thing"] or f"a {reading.name.replace('_', ' ')}"
        return f"{part}looked for {thing} and found none{doubt}"
    return f"{part}{row['told'].format(reading.value)}{doubt}"
