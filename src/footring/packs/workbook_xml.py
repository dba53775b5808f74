"""What must be known of a workbook before anything opens it: a look through its XML, never building it in memory."""

from __future__ import annotations

import re
import zipfile
from contextlib import suppress
from posixpath import join, normpath
from xml.parsers import expat

from footring.packs.faults import PackFault, quoted
from footring.packs.files import open_entry
from footring.packs.limits import Limits
from footring.packs.text import Unreadable

_ODS_CELLS = ("table-cell", "covered-table-cell")
_ODS_VALUES = {"value-type", "value", "string-value", "date-value", "time-value", "boolean-value", "formula"}
_COUNTS = {"count", "uniqueCount"}
_FORMULA = "write the value itself: copy the column, and paste values only"
_PLACE = re.compile(r"([A-Z]{1,3})([1-9][0-9]{0,6})")
_ROW = re.compile(r"[1-9][0-9]{0,6}")
_LONGEST_POINTER = 12
_LONGEST_RUN = 2**20
"""Rows a sheet can have; a number beyond that is no honest one."""


def look_through(archive: zipfile.ZipFile, kind: str, path: str, limits: Limits) -> list[PackFault]:
    """Formulas and error values of every sheet.

    Raises
    ------
    Unreadable
        A part is no XML or declares entities, the workbook is encrypted, or a sheet spans more cells than allowed.
    """
    parts = sorted(name for name in archive.namelist() if name.lower().endswith((".xml", ".rels")))
    try:
        return (_look_xlsx if kind == "xlsx" else _look_ods)(archive, parts, path, limits)
    except (expat.ExpatError, KeyError) as error:
        raise Unreadable(_unfit(path, str(error))) from None


def _unfit(path: str, given: str) -> PackFault:
    say = "open it in a spreadsheet program and save it again"
    return PackFault("a workbook that cannot be read", path, given=given, suggestion=say)


def _look_xlsx(archive: zipfile.ZipFile, parts: list[str], path: str, limits: Limits) -> list[PackFault]:
    """Every part is looked through as if it were a sheet: what opens it next may find its sheets in another way."""
    sheets = _xlsx_sheets(archive, path, limits)
    shared = _SharedTexts(path, limits)
    for part in parts:
        shared.read(archive, part)
    found: list[PackFault] = []
    for part in dict.fromkeys([*sheets, *parts]):
        reading = _XlsxSheet(path, sheets.get(part, part), limits, shared.lengths)
        reading.read(archive, part)
        found += reading.faults
    return found


def _look_ods(archive: zipfile.ZipFile, parts: list[str], path: str, limits: Limits) -> list[PackFault]:
    manifest = _Parts(path, limits, watch="encryption-data")
    if "META-INF/manifest.xml" in parts:
        manifest.read(archive, "META-INF/manifest.xml")
    if manifest.seen:
        say = "save it again without a password"
        raise Unreadable(PackFault("encrypted", path, expected="a workbook without a password", suggestion=say))
    found: list[PackFault] = []
    for part in parts:
        reading = _OdsContent(path, part, limits)
        reading.read(archive, part)
        found += reading.faults if part == "content.xml" else []
    return found


class _Parts:
    """Reads one XML part through: it must be XML, and must declare no entities."""

    def __init__(self, path: str, limits: Limits, watch: str = "") -> None:
        self.path, self.limits, self._watch, self._bytes = path, limits, watch, 0
        self.seen: list[dict[str, str]] = []

    def read(self, archive: zipfile.ZipFile, name: str) -> None:
        parser = expat.ParserCreate("utf-8")
        parser.buffer_text = True
        parser.CharacterDataHandler = self.text
        parser.XmlDeclHandler = self._declared
        parser.StartDoctypeDeclHandler = self._no_doctype
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        entry = archive.getinfo(name)
        self._bytes = entry.file_size
        with open_entry(archive, entry) as part:
            parser.ParseFile(part)

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        local = tag.rpartition(":")[2]
        for count in _COUNTS & attributes.keys():
            self._check_count(count, attributes[count])
        if local == self._watch:
            self._see(attributes)
        self.start(local, attributes)

    def _end(self, tag: str) -> None:
        self.end(tag.rpartition(":")[2])

    def _see(self, attributes: dict[str, str]) -> None:
        self.seen.append(attributes)
        if len(self.seen) > self.limits.files:
            raise Unreadable(_unfit(self.path, f"more than {self.limits.files} times <{self._watch}>"))

    def _declared(self, _version: str, encoding: str | None, _standalone: int) -> None:
        """Another encoding might be read by what opens it next as something else than was looked through here."""
        if encoding is not None and encoding.lower() not in ("utf-8", "us-ascii"):
            raise Unreadable(_unfit(self.path, f"a part in the encoding {quoted(encoding)}"))

    def _check_count(self, name: str, text: str) -> None:
        """A part cannot hold more things than bytes; whatever opens it might reserve memory for what it says."""
        if not (text.isascii() and text.isdigit() and len(text) < 12 and int(text) <= self._bytes):
            want = "no more things than are there"
            raise Unreadable(PackFault("a count that lies", self.path, given=f"{name} {quoted(text)}", expected=want))

    def _no_doctype(self, *_: object) -> None:
        want = "a workbook as spreadsheet programs write it"
        raise Unreadable(
            PackFault("declared entities", self.path, expected=want, suggestion="it may be meant to fill the memory")
        )

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """An element begins."""

    def text(self, data: str) -> None:
        """Text stands in the element."""

    def end(self, tag: str) -> None:
        """An element ends."""


class _Another(Exception):
    """The part is of another sort than was looked for."""


class _SharedTexts(_Parts):
    """Lengths of the texts that cells of an XLSX workbook point to; where parts differ, the longest."""

    def __init__(self, path: str, limits: Limits) -> None:
        super().__init__(path, limits)
        self.lengths: list[int] = []
        self._at, self._length, self._root, self._inside = -1, 0, "", False

    def read(self, archive: zipfile.ZipFile, name: str) -> None:
        self._at, self._root, self._inside = -1, "", False
        with suppress(_Another):
            super().read(archive, name)

    def start(self, tag: str, _: dict[str, str]) -> None:
        self._root = self._root or tag
        if self._root != "sst":
            raise _Another
        if tag == "si":
            if self._inside:
                raise Unreadable(_unfit(self.path, "a shared text inside a shared text"))
            self._at, self._length, self._inside = self._at + 1, 0, True

    def text(self, data: str) -> None:
        self._length += len(data)

    def end(self, tag: str) -> None:
        if tag != "si":
            return
        self._inside = False
        if self._at == len(self.lengths):
            self.lengths.append(self._length)
        else:
            self.lengths[self._at] = max(self.lengths[self._at], self._length)


class _Sheet(_Parts):
    """Reads one sheet through, cell by cell."""

    def __init__(self, path: str, sheet: str, limits: Limits) -> None:
        super().__init__(path, limits)
        self.sheet, self.faults = sheet, list[PackFault]()
        self.rows = self.columns = self.chars = 0

    def add_chars(self, count: int) -> None:
        """Count characters as often as whatever opens the sheet will hold them in memory."""
        self.chars += count
        if self.chars > self.limits.sheet_chars:
            most = f"at most {self.limits.sheet_chars:,} characters in all its cells"
            say = "look for a long text that is repeated, or it is meant to fill the memory"
            raise Unreadable(PackFault("too much text in a sheet", self.file, expected=most, suggestion=say))

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
    _inside = _points = False
    _root = _pointer = ""

    def __init__(self, path: str, sheet: str, limits: Limits, shared: list[int]) -> None:
        super().__init__(path, sheet, limits)
        self._shared = shared

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        self._root = self._root or tag
        if tag == "si" and self._root != "sst":
            raise Unreadable(_unfit(self.path, f"shared texts inside <{self._root}>"))
        if tag == "sheetData":
            self._inside = True
        elif self._inside:
            self._sheet_part(tag, attributes)

    def _sheet_part(self, tag: str, attributes: dict[str, str]) -> None:
        if tag == "row":
            self._row, self._column = self._row_number(attributes.get("r", str(self._row + 1))), 0
        elif tag == "c":
            self._move(attributes.get("r"))
            self.cell(self._row, self._column, used=True)
            self._points = attributes.get("t") == "s"
            if attributes.get("t") == "e":
                self.fault("an error value", self._row, self._column, "write the value itself")
        elif tag == "f":
            self.fault("a formula", self._row, self._column, _FORMULA)
        self._pointer = ""

    def text(self, data: str) -> None:
        if self._points and len(self._pointer) < _LONGEST_POINTER:
            self._pointer += data

    def end(self, tag: str) -> None:
        if self._points and tag == "v":
            self.add_chars(self._length_of(self._pointer))

    def _length_of(self, pointer: str) -> int:
        if not (pointer.isascii() and pointer.isdigit() and len(pointer) < _LONGEST_POINTER):
            given = f"a cell that points to the shared text {quoted(pointer)}"
            raise Unreadable(_unfit(self.file, given))
        return self._shared[int(pointer)] if int(pointer) < len(self._shared) else 0

    def _move(self, place: str | None) -> None:
        found = _PLACE.fullmatch(place) if place is not None else None
        if place is None:
            self._column += 1
        elif found is None:
            raise self._strange(place)
        else:
            self._row, self._column = self._row_number(found[2]), _number_of(found[1])

    def _row_number(self, text: str) -> int:
        if _ROW.fullmatch(text) is None or int(text) > _LONGEST_RUN:
            raise self._strange(text)
        return int(text)

    def _strange(self, place: str) -> Unreadable:
        """A place no sheet has: whatever opens the workbook next might reserve memory up to there."""
        want = "a place a sheet has, such as B2"
        return Unreadable(PackFault("a cell at a strange place", self.file, given=quoted(place), expected=want))


def _number_of(letters: str) -> int:
    number = 0
    for letter in letters:
        number = 26 * number + ord(letter) - 64
    return number


class _OdsContent(_Sheet):
    _row = _column = _row_chars = _cell_chars = 0
    _row_run = _cell_run = 1
    _in_cell = False

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        plain = {name.rpartition(":")[2]: value for name, value in attributes.items()}
        if tag == "table":
            self.sheet, self._row, self._row_run, self.rows, self.columns = plain.get("name", ""), 0, 1, 0, 0
        elif tag == "table-row":
            self._row, self._column, self._row_run = self._row + 1, 0, self._run(plain, "number-rows-repeated")
            self._row_chars = 0
        elif tag in _ODS_CELLS:
            self._cell(plain)
        elif self._in_cell:
            self._cell_chars += self._run(plain, "c") if tag == "s" else 1

    def text(self, data: str) -> None:
        if self._in_cell:
            self._cell_chars += len(data)

    def end(self, tag: str) -> None:
        if tag == "table-row":
            self.add_chars(self._row_chars * self._row_run)
            self._row += self._row_run - 1
        elif tag in _ODS_CELLS:
            self._row_chars += self._cell_chars * self._cell_run
            self._in_cell = False

    def _cell(self, plain: dict[str, str]) -> None:
        if self._in_cell:
            raise Unreadable(_unfit(self.file, "a cell inside a cell"))
        run = self._run(plain, "number-columns-repeated")
        used = not _ODS_VALUES.isdisjoint(plain)
        if "formula" in plain:
            self.fault("a formula", self._row, self._column + 1, _FORMULA)
        self._column += run
        self._cell_run, self._in_cell = run, True
        self._cell_chars = sum(map(len, plain.values())) if used else 0
        self.cell(self._row + self._row_run - 1, self._column, used)

    def _run(self, plain: dict[str, str], name: str) -> int:
        run = plain.get(name, "1")
        if not (run.isascii() and run.isdigit() and len(run) < 9 and int(run) <= _LONGEST_RUN):
            most = f"at most {_LONGEST_RUN:,} times"
            raise Unreadable(PackFault("a sheet too large", self.file, given=f"{name} {run[:20]}", expected=most))
        return int(run)


def _xlsx_sheets(archive: zipfile.ZipFile, path: str, limits: Limits) -> dict[str, str]:
    """Part name -> sheet name."""
    listed, related = _Parts(path, limits, "sheet"), _Parts(path, limits, "Relationship")
    listed.read(archive, "xl/workbook.xml")
    related.read(archive, "xl/_rels/workbook.xml.rels")
    targets = {found.get("Id"): found.get("Target", "") for found in related.seen}
    parts = {}
    for found in listed.seen:
        relation = next((value for key, value in found.items() if key.endswith(":id")), "")
        target = targets.get(relation, "")
        part = normpath(target.lstrip("/") if target.startswith("/") else join("xl", target))
        if part not in archive.namelist():
            raise Unreadable(
                _unfit(path, f"sheet {quoted(found.get('name', ''))} at {quoted(target)}, which is not there")
            )
        parts[part] = found.get("name", "")
    return parts
