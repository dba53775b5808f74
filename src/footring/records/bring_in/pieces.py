"""The rows of somebody's own spreadsheet become pieces with their readings; what cannot be read is told by its cell."""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from footring.marks.readings import Reading, figure_technique, read_reading
from footring.marks.transcription import technique_named
from footring.packs.headings import DAY_FIRST, LENGTHS, MONTH_FIRST, Column
from footring.packs.plain_sheet import PlainSheet
from footring.rows import Row
from footring.rows import collection as rows
from footring.terms.dates import parse_edtf
from footring.terms.errors import BadInput
from footring.terms.phrases import parse_when
from footring.terms.units import parse_capacity, parse_length

Fixes = Mapping[str, str]
"""What was typed instead of a cell, by `line:column`, both from 1 as in the sheet."""
_FIGURES_DATE = re.compile(r"([0-9]{1,2})[./-]([0-9]{1,2})[./-]([0-9]{4})")
_MONTH = re.compile(r"([0-9]{1,2})[./]([0-9]{4})")
_BARE = re.compile(r"[0-9]+(?:[.,][0-9]+)?|[0-9 ]*[0-9]/[0-9]+|[0-9 ]*[¼-¾⅐-⅞]")
_SPREADSHEET_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}(T.*)?")
_PLAIN_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,99}")


@dataclass(frozen=True, slots=True)
class CellFault:
    """Why a row is left out.

    Parameters
    ----------
    line, column : int
        Where, from 1; the column is 0 where the fault is the row's.
    heading, given, says : str
        What stands over the column, what stood in the cell, and what is wrong with it, in a sentence.
    """

    line: int
    column: int
    heading: str
    given: str
    says: str

    @property
    def place(self) -> str:
        """The name its mending goes by."""
        return f"{self.line}:{self.column}"


@dataclass(frozen=True, slots=True)
class Met:
    """One row of a sheet, read.

    Parameters
    ----------
    id : str
        Of the piece: the same whenever the same row is read.
    name, place, met : str or None
    readings : tuple of Reading
    """

    id: str
    line: int
    name: str | None
    place: str | None
    met: str | None
    readings: tuple[Reading, ...]


@dataclass(slots=True)
class ReadSheet:
    """What a sheet gives: pieces, and the faults of the rows that are left out."""

    pieces: list[Met] = field(default_factory=list)
    faults: list[CellFault] = field(default_factory=list)


def read_pieces(sheet: PlainSheet, columns: Sequence[Column], fixes: Fixes | None = None) -> ReadSheet:
    """Every row of a sheet as a piece; a row with a cell that cannot be read is left out, and each such cell told.

    A piece's id is made from the row's own id where a column holds one; else from what stands in the row as it was
    sent, so that the same row sent twice is one piece, and a row that stands twice is two.

    Parameters
    ----------
    columns : sequence of Column
        As long as the heading.
    fixes : mapping of str to str, optional
        What is to be read instead of a cell.
    """
    found, seen, fixes = ReadSheet(), Counter[str](), fixes or {}
    used = [(i, column) for i, column in enumerate(columns) if column.means]
    of_id = next((i for i, column in used if column.means == "id"), None)
    for line, row in zip(sheet.lines, sheet.rows, strict=True):
        own = fixes.get(f"{line}:{of_id + 1}", row[of_id]).strip() if of_id is not None else ""
        said = own or hashlib.sha256("\0".join((*sheet.heading, *row)).encode()).hexdigest()[:20]
        seen[said] += 1
        faults = len(found.faults)
        values = dict(_values(sheet, line, row, used, fixes, found.faults))
        if own and seen[said] > 1:
            told = f"stands in another row too: give each piece its own, or leave out the column {sheet.heading[of_id]}"
            found.faults.append(CellFault(line, of_id + 1, sheet.heading[of_id], own, told))
        elif not any(values.values()) and len(found.faults) == faults:
            found.faults.append(CellFault(line, 0, "", "", "nothing stands in it that is read"))
        if len(found.faults) == faults:
            found.pieces.append(_met(_id(said, own, seen[said]), line, values))
    return found


def _values(
    sheet: PlainSheet, line: int, row: Sequence[str], used: Sequence[tuple[int, Column]], fixes: Fixes,
    faults: list[CellFault],
) -> Iterator[tuple[str, str | Reading | None]]:  # fmt: skip
    for i, column in used:
        cell = fixes.get(f"{line}:{i + 1}", row[i]).strip() if fixes else row[i]
        if cell and column.means != "id":
            value, fault = value_of(column, cell)
            yield column.means, value
            if fault:
                faults.append(CellFault(line, i + 1, sheet.heading[i], cell, fault))


def _met(id_: str, line: int, values: dict[str, str | Reading | None]) -> Met:
    readings = tuple(value for value in values.values() if isinstance(value, Reading))
    name, place, met = (value if isinstance(value := values.get(of), str) else None for of in ("name", "place", "met"))
    return Met(id_, line, name, place, met, readings)


def _id(said: str, own: str, time: int) -> str:
    if not own:
        return f"home.row.{said}" + (f".{time}" if time > 1 else "")
    if _PLAIN_ID.fullmatch(own):
        return own if own.startswith("home.") else f"home.{own}"
    return f"home.{re.sub('[^A-Za-z0-9]+', '-', own)[:60]}.{hashlib.sha256(own.encode()).hexdigest()[:8]}"


@lru_cache(maxsize=200_000)
def value_of(column: Column, cell: str) -> tuple[str | Reading | None, str]:
    """What a cell says, and why it cannot be read; the second is empty where it can."""
    try:
        if column.means in ("name", "place"):
            return cell, ""
        if column.means == "met":
            return _day(cell, column.unit), ""
        return _reading(column, cell), ""
    except BadInput as error:
        return None, str(error)


def _reading(column: Column, cell: str) -> Reading | None:
    bare = column.means.split(".")
    name = next(part for part in bare if part not in ("lid", "base"))
    reading = read_reading(column.means, f"{cell} {column.unit}" if _lacks_unit(name, column, cell) else cell)
    if reading is not None and not reading.absent:
        _CHECKS.get(name, lambda _: None)(reading)
    return reading


def _lacks_unit(name: str, column: Column, cell: str) -> bool:
    return bool(name in LENGTHS and column.unit and _BARE.fullmatch(cell))


def _length(reading: Reading) -> None:
    parse_length(reading.value)


def _capacity(reading: Reading) -> None:
    parse_capacity(reading.value)


def _made(reading: Reading) -> None:
    parse_when(reading.value)


def _mark_kind(reading: Reading) -> None:
    technique_named(reading.value)


def _number(reading: Reading) -> None:
    if _SPREADSHEET_DAY.fullmatch(reading.value):
        raise BadInput(
            f"number {reading.value!r}: a date; the spreadsheet program may have made it of something like 3/41: "
            "type what stands on the piece"
        )


_CHECKS = {
    "across": _length,
    "height": _length,
    "capacity": _capacity,
    "made": _made,
    "mark_kind": _mark_kind,
    "numeral_kind": figure_technique,
    "number": _number,
    "numeral": _number,
}


def _day(cell: str, order: str) -> str:
    """The day of a meeting, in EDTF."""
    if figures := _FIGURES_DATE.fullmatch(cell):
        day, month = (figures[1], figures[2]) if order != MONTH_FIRST else (figures[2], figures[1])
        try:
            return str(parse_edtf(f"{figures[3]}-{int(month):02d}-{int(day):02d}"))
        except BadInput as error:
            raise BadInput(
                f"date {cell!r}: no such day with the {order or DAY_FIRST}; say which stands first"
            ) from error
    if month := _MONTH.fullmatch(cell):
        cell = f"{month[2]}-{int(month[1]):02d}"
    return str(parse_when(cell.partition("T")[0] if _SPREADSHEET_DAY.fullmatch(cell) else cell))


def rows_of(pieces: Sequence[Met], places: Mapping[str, str]) -> Iterator[Row]:
    """The rows of some pieces; ids of their own parts and readings follow from the piece's.

    Parameters
    ----------
    places : mapping of str to str
        Id of each place by its name in lower case.
    """
    for of in pieces:
        yield rows.Piece(of.id, name=of.name, place=places[of.place.casefold()] if of.place else None)
        parts = dict.fromkeys(reading.part for reading in of.readings if reading.part)
        yield from (rows.Part(f"{of.id}.{part}", piece=of.id, name=part) for part in parts)
        if of.met:
            yield rows.Encounter(f"{of.id}.met", piece=of.id, met=of.met)
        for reading in of.readings:
            name = reading.name + (f".{reading.index}" if reading.index > 1 else "")
            part = f"{of.id}.{reading.part}" if reading.part else None
            yield rows.Reading(
                f"{part or of.id}.{name}", piece=of.id, part=part, name=name, absent=reading.absent,
                value=None if reading.absent else reading.value, sure=reading.p if reading.p < 1.0 else None,
            )  # fmt: skip


def place_id(name: str) -> str:
    """The id of a place that comes with a sheet, from its name."""
    return f"home.place.{hashlib.sha256(name.casefold().encode()).hexdigest()[:16]}"
