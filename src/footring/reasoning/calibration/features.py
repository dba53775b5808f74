"""Readings as columns, as somebody would lay them out for a standard classifier.

The comparison is to be fair: what a careful person would look up is looked up. Names become the thing they name,
lettering the known mark most like it, colours also the nearest known glaze, and a number also what the reference has
it stand for.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from footring.marks.readings import Reading
from footring.reasoning.calibration.arrays import Floats
from footring.reasoning.calibration.likeness import nearest_text
from footring.reasoning.channels.colour import parse_colour
from footring.reference import Reference
from footring.terms.errors import BadInput
from footring.terms.units import parse_capacity, parse_length

NAMED = {
    "maker": "makers", "line": "lines", "form": "forms", "body": "bodies", "glaze": "glazes",
    "decoration": "decorations", "trim": "trims", "customer": "customers", "label": "labels",
}  # fmt: skip
LAB = ("glaze L", "glaze a", "glaze b")
NOT_LOOKED_AT, ABSENT = "not looked at", "none"
Row = Mapping[str, str | float]


@dataclass(frozen=True, eq=False)
class Lookups:
    """What the reference tells of words, colours and numbers."""

    reference: Reference

    @cached_property
    def names(self) -> Mapping[str, Mapping[str, str]]:
        """Id of what a folded word names, by reading."""
        found: dict[str, dict[str, str]] = {name: {} for name in NAMED}
        tables = self.reference.tables
        aliases = tables["names"]
        for table, thing, name in zip(
            *(aliases.text(c).tolist() for c in ("thing_table", "thing", "name")), strict=True
        ):
            for reading, of in NAMED.items():
                if of == table:
                    found[reading].setdefault(folded(str(name)), str(thing))
        for reading, table in NAMED.items():
            rows = zip(tables[table].ids, tables[table].text("name").tolist(), strict=True)
            found[reading] |= {folded(str(name)): thing for thing, name in rows if name}
        return found

    @cached_property
    def marks(self) -> Mapping[str, str]:
        """Lettering of each mark, by id."""
        table = self.reference.tables["marks"]
        return {mark: str(text) for mark, text in zip(table.ids, table.text("lettering").tolist(), strict=True) if text}

    @cached_property
    def glazes(self) -> tuple[list[str], Floats]:
        """Ids of the glazes with a measured colour, and the colours, shape (glazes, 3)."""
        table = self.reference.tables["glazes"]
        lab = np.column_stack([table.numbers[c] for c in ("lab_lightness", "lab_a", "lab_b")]).astype(float)
        known = ~np.isnan(lab).any(axis=1)
        return [glaze for glaze, has in zip(table.ids, known, strict=True) if has], lab[known]

    @cached_property
    def numbers(self) -> Mapping[str, str]:
        """Decorations that a number stands for on any line, by folded code."""
        table = self.reference.tables["numbers"]
        found: dict[str, set[str]] = defaultdict(set)
        for code, decoration in zip(table.text("code").tolist(), table.text("decoration").tolist(), strict=True):
            found[folded(str(code))].add(str(decoration))
        return {code: " ".join(sorted(of)) for code, of in found.items()}

    def glaze_like(self, lab: Floats) -> str:
        """Glaze of the nearest mean colour."""
        ids, colours = self.glazes
        return ids[int(((colours - lab) ** 2).sum(axis=1).argmin())] if ids else ABSENT

    @cached_property
    def _likest(self) -> dict[str, str]:
        return {}

    def mark_like(self, text: str) -> str:
        """Mark whose lettering is most like it."""
        if text not in self._likest:
            self._likest[text] = nearest_text(text, self.marks) or "like none"
        return self._likest[text]


def folded(text: str) -> str:
    """As names are compared."""
    return " ".join(text.casefold().split())


def features(readings: Iterable[Reading], lookups: Lookups) -> Row:
    """One piece's columns: text is a category, a number a measurement; what was not looked at has none.

    Parameters
    ----------
    readings : iterable of Reading
        A later one of the same name and place has a column of its own.
    """
    found: dict[str, str | float] = {}
    for reading in readings:
        where = ".".join(filter(None, (reading.part, reading.name, str(reading.index) if reading.index > 1 else "")))
        found.update(_columns(reading, where, lookups))
    return found


def _columns(reading: Reading, where: str, lookups: Lookups) -> Row:
    name, text = reading.name, reading.value
    if reading.absent:
        return {where: ABSENT}
    if name in ("across", "height", "capacity"):
        return _measured(name, where, text)
    if name == "mark":
        return {where: lookups.mark_like(text)}
    if name == "feature":
        look_at, _, seen = text.partition(":")
        return {f"{where.partition('.')[0]} {folded(look_at)}": folded(seen)}
    if name == "glaze" and (colour := parse_colour(text)) is not None:
        return {where: lookups.glaze_like(np.array(colour.lab)), **dict(zip(LAB, colour.lab, strict=True))}
    if name in ("number", "numeral"):
        return {where: folded(text), f"{where} stands for": lookups.numbers.get(folded(text), "nothing known")}
    return {where: lookups.names.get(name, {}).get(folded(text), folded(text))}


def _measured(name: str, where: str, text: str) -> Row:
    try:
        return {where: parse_capacity(text).ml if name == "capacity" else parse_length(text).mm}
    except BadInput:
        return {}


def columns_of(rows: Sequence[Row]) -> tuple[list[str], list[str]]:
    """Names of the columns with categories, and of those with numbers, in their order."""
    words = {name for row in rows for name, value in row.items() if isinstance(value, str)}
    numbers = {name for row in rows for name, value in row.items() if not isinstance(value, str)}
    return sorted(words - numbers), sorted(numbers)


def number_column(rows: Sequence[Row], name: str) -> Floats:
    """One measurement of each piece, NaN where it was not taken."""
    return np.array([value if not isinstance(value := row.get(name), str | None) else np.nan for row in rows], float)


def word_column(rows: Sequence[Row], name: str) -> NDArray[np.object_]:
    """One category of each piece."""
    return np.array([row.get(name, NOT_LOOKED_AT) for row in rows], object)
