"""What the columns of somebody's own spreadsheet hold, from what stands over and in them."""

from __future__ import annotations

import re
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from footring.packs.plain_sheet import PlainSheet
from footring.terms.dates import parse_edtf
from footring.terms.errors import BadInput
from footring.terms.tables import read_table
from footring.terms.units import parse_length

LENGTHS = ("across", "height")
UNITS = ("mm", "cm", "in")
DAY_FIRST, MONTH_FIRST = "day first", "month first"
LOOKED_AT = 200
"""Cells of a column that are looked at."""
MOSTLY = 0.5
"""Share of them that must be of a kind for the column to be taken for it."""
_WORDS = re.compile(r"[^\w.#]+")
_UNIT = re.compile(r"[ ._(\[]+(mm|cm|in|ins|inch|inches)[)\].]*$")
_PART = re.compile(r"(lid|base)[ .]")
_READING = re.compile(r"(?:(?:lid|base)[.])?([a-z_]+)(?:[.][1-9])?")
_ISO_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_FIGURES_DATE = re.compile(r"([0-9]{1,2})[./-]([0-9]{1,2})[./-][0-9]{4}")


@dataclass(frozen=True, slots=True)
class Column:
    """What a column holds.

    Parameters
    ----------
    means : str
        "id", "name", "place", "met", the name of a reading, or empty: left out.
    unit : str
        Of lengths written without one: "mm", "cm", "in"; of days met, whether day or month stands first; or empty.
    """

    means: str = ""
    unit: str = ""


def columns_of(
    sheet: PlainSheet, readings: Sequence[str], known: Mapping[str, Container[str]] | None = None
) -> list[Column]:
    """A guess for each column of a sheet, for a person to look over.

    Parameters
    ----------
    sheet : PlainSheet
    readings : sequence of str
        Names of readings.
    known : mapping of str to container of str, optional
        Names of things, in lower case, by the reading that gives them: {"glaze": {"moss", ...}}.

    Returns
    -------
    list of Column
        As long as the heading. Each meaning stands once; the heading goes before what stands in the cells.

    Examples
    --------
    >>> sheet = PlainSheet("plates", ("Shape", "Dia. (in)", "?"), [("plate", "8", "Moss")], [2])
    >>> names = {"glaze": frozenset(["moss"])}
    >>> [(one.means, one.unit) for one in columns_of(sheet, ["form", "across", "glaze"], names)]
    [('form', ''), ('across', 'in'), ('glaze', '')]
    """
    found = [_of_heading(heading, readings) for heading in sheet.heading]
    taken = set[str]()
    for i, one in enumerate(found):
        found[i] = Column() if one.means in taken else one
        taken.add(one.means)
    for i, one in enumerate(found):
        cells = [row[i] for row in sheet.rows[:LOOKED_AT] if row[i]]
        if not one.means and cells and (means := _of_cells(cells, known or {})) not in taken:
            found[i] = one = Column(means)
            taken.add(means)
        if one.means == "met":
            found[i] = Column("met", _order(cells))
    return found


def _of_heading(heading: str, readings: Sequence[str]) -> Column:
    plain = heading.casefold().strip()
    if (own := _READING.fullmatch(plain)) and own[1] in readings:
        return Column(plain)
    unit = _UNIT.search(plain)
    plain = plain[: unit.start()] if unit else plain
    part = _PART.match(plain)
    words = _WORDS.sub(" ", plain[part.end() :] if part else plain).replace("_", " ").strip(" .")
    means = words.replace(" ", "_") if words.replace(" ", "_") in readings else _meanings().get(words, "")
    if means not in (*readings, "id", "name", "place", "met") or (part and means not in readings):
        return Column()
    return Column(f"{part[1]}.{means}" if part else means, _plain_unit(unit[1]) if unit and means in LENGTHS else "")


def _plain_unit(written: str) -> str:
    return "in" if written.startswith("in") else written


@cache
def _meanings() -> dict[str, str]:
    return {row["heading"]: row["means"] for row in read_table("footring.packs", "headings.csv")}


def _of_cells(cells: Sequence[str], known: Mapping[str, Container[str]]) -> str:
    """The reading whose known names most cells are; else lengths or days, where most are."""
    shares = {name: sum(cell.casefold() in names for cell in cells) / len(cells) for name, names in known.items()}
    best = max(shares, key=lambda name: shares[name], default="")
    if best and shares[best] >= MOSTLY:
        return best
    tests = {"across": _is_length, "met": _is_day}
    return next((name for name, is_one in tests.items() if sum(map(is_one, cells)) / len(cells) >= MOSTLY), "")


def _is_length(cell: str) -> bool:
    try:
        return bool(parse_length(cell))
    except BadInput:
        return False


def _is_day(cell: str) -> bool:
    if _FIGURES_DATE.fullmatch(cell):
        return True
    try:
        return bool(_ISO_DAY.match(cell) and parse_edtf(cell[:10]))
    except BadInput:
        return False


def _order(cells: Sequence[str]) -> str:
    """Which stands first in 12/5/2019: the day, unless a figure too large for a month stands second."""
    second = [int(found[2]) for cell in cells if (found := _FIGURES_DATE.fullmatch(cell))]
    return MONTH_FIRST if any(figure > 12 for figure in second) else DAY_FIRST
