"""What must be known of a workbook before anything opens it: a look through its XML, never building it in memory."""

from __future__ import annotations

import re
import zipfile
from posixpath import join, normpath
from xml.parsers import expat

from footring.packs.faults import PackFault
from footring.packs.limits import Limits
from footring.packs.text import Unreadable

_FORMULA = "write the value itself: copy the column, and paste values only"
_PLACE = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_REL = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_LONGEST_RUN = 2**20
"""Rows a sheet can have; a repeat beyond that is no honest one."""


def look_through(archive: zipfile.ZipFile, kind: str, path: str, limits: Limits) -> list[PackFault]:
    """Formulas and error values of every sheet.

    Raises
    ------
    Unreadable
        A part is no XML or declares entities, the workbook is encrypted, or a sheet spans more cells than allowed.
    """
    try:
        parts = [name for name in archive.namelist() if name.endswith((".xml", ".rels"))]
        if kind == "xlsx":
            sheets = _xlsx_sheets(archive, path)
            for name in parts:
                if name not in sheets:
                    _Parts(path, limits).read(archive, name)
            return [
                fault
                for part, sheet in sheets.items()
                for fault in _sheet(_XlsxSheet, archive, part, path, sheet, limits)
            ]
        encrypted = _Parts(path, limits, watch="encryption-data")
        for name in sorted(parts, key=lambda name: not name.startswith("META-INF/")):
            if name != "content.xml":
                encrypted.read(archive, name)
        if encrypted.seen:
            say = "save it again without a password"
            raise Unreadable(PackFault("encrypted", path, expected="a workbook without a password", suggestion=say))
        return _sheet(_OdsContent, archive, "content.xml", path, "", limits)
    except (expat.ExpatError, KeyError) as error:
        say = "open it in a spreadsheet program and save it again"
        raise Unreadable(PackFault("a workbook that cannot be read", path, given=str(error), suggestion=say)) from None


class _Parts:
    """Reads one XML part through: it must be XML, and must declare no entities."""

    def __init__(self, path: str, limits: Limits, watch: str = "") -> None:
        self.path, self.limits, self._watch = path, limits, watch
        self.seen: list[dict[str, str]] = []

    def read(self, archive: zipfile.ZipFile, name: str) -> None:
        parser = expat.ParserCreate()
        parser.StartDoctypeDeclHandler = self._no_doctype
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        with archive.open(name) as part:
            parser.ParseFile(part)

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        local = tag.rpartition(":")[2]
        if local == self._watch:
            self.seen.append(attributes)
        self.start(local, attributes)

    def _end(self, tag: str) -> None:
        self.end(tag.rpartition(":")[2])

    def _no_doctype(self, *_: object) -> None:
        want = "a workbook as spreadsheet programs write it"
        raise Unreadable(
            PackFault("declared entities", self.path, expected=want, suggestion="it may be meant to fill the memory")
        )

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """An element begins."""

    def end(self, tag: str) -> None:
        """An element ends."""


class _Sheet(_Parts):
    """Reads one sheet through, cell by cell."""

    def __init__(self, path: str, sheet: str, limits: Limits) -> None:
        super().__init__(path, limits)
        self.sheet, self.faults = sheet, list[PackFault]()
        self.rows = self.columns = 0

    def cell(self, row: int, column: int, used: bool) -> None:
        """A cell, numbered from 1, and whether it counts for the rectangle the sheet spans."""
        if used:
            self.rows, self.columns = max(self.rows, row), max(self.columns, column)
        if self.rows * self.columns > self.limits.sheet_cells:
            given = f"{self.rows:,} rows of {self.columns:,} columns"
            most = f"at most {self.limits.sheet_cells:,} cells"
            say = "delete what stands far out, or it is meant to fill the memory"
            raise Unreadable(PackFault("a sheet too large", self.file, given=given, expected=most, suggestion=say))

    @property
    def file(self) -> str:
        """Workbook and sheet, for messages."""
        return f"{self.path}, sheet {self.sheet}"

    def fault(self, kind: str, row: int, column: int, say: str) -> None:
        """Keep a fault of a cell."""
        self.faults.append(PackFault(kind, self.file, row, column, suggestion=say))


class _XlsxSheet(_Sheet):
    _row = _column = 0

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag == "row":
            self._row, self._column = int(attributes.get("r", self._row + 1)), 0
        elif tag == "c":
            place = _PLACE.fullmatch(attributes.get("r", ""))
            self._column = _number_of(place[1]) if place else self._column + 1
            self._row = int(place[2]) if place else self._row
            self.cell(self._row, self._column, used=True)
            if attributes.get("t") == "e":
                self.fault("an error value", self._row, self._column, "write the value itself")
        elif tag == "f":
            self.fault("a formula", self._row, self._column, _FORMULA)


def _number_of(letters: str) -> int:
    number = 0
    for letter in letters:
        number = 26 * number + ord(letter) - 64
    return number


class _OdsContent(_Sheet):
    _row = _column = 0
    _row_run = 1

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        plain = {name.rpartition(":")[2]: value for name, value in attributes.items()}
        if tag == "table":
            self.sheet, self._row, self._row_run, self.rows, self.columns = plain.get("name", ""), 0, 1, 0, 0
        elif tag == "table-row":
            self._row, self._column, self._row_run = self._row + 1, 0, self._run(plain, "number-rows-repeated")
        elif tag in ("table-cell", "covered-table-cell"):
            self._cell(plain)

    def end(self, tag: str) -> None:
        if tag == "table-row":
            self._row += self._row_run - 1

    def _cell(self, plain: dict[str, str]) -> None:
        run = self._run(plain, "number-columns-repeated")
        used = "value-type" in plain or "formula" in plain
        if "formula" in plain:
            self.fault("a formula", self._row, self._column + 1, _FORMULA)
        self._column += run
        self.cell(self._row + self._row_run - 1, self._column, used)

    def _run(self, plain: dict[str, str], name: str) -> int:
        run = plain.get(name, "1")
        if not (run.isascii() and run.isdigit() and len(run) < 9 and int(run) <= _LONGEST_RUN):
            most = f"at most {_LONGEST_RUN:,} times"
            raise Unreadable(PackFault("a sheet too large", self.file, given=f"{name} {run[:20]}", expected=most))
        return int(run)


def _sheet(
    reader: type[_Sheet], archive: zipfile.ZipFile, part: str, path: str, sheet: str, limits: Limits
) -> list[PackFault]:
    reading = reader(path, sheet, limits)
    reading.read(archive, part)
    return reading.faults


def _xlsx_sheets(archive: zipfile.ZipFile, path: str) -> dict[str, str]:
    """Part name -> sheet name."""
    listed, related = _Parts(path, Limits(), "sheet"), _Parts(path, Limits(), "Relationship")
    listed.read(archive, "xl/workbook.xml")
    related.read(archive, "xl/_rels/workbook.xml.rels")
    targets = {found.get("Id"): found.get("Target", "") for found in related.seen}
    parts = {}
    for found in listed.seen:
        relation = next((value for key, value in found.items() if key.endswith(":id")), "")
        target = targets.get(relation, "")
        part = normpath(target.lstrip("/") if target.startswith("/") else join("xl", target))
        if part in archive.namelist():
            parts[part] = found.get("name", "")
    return parts
