"""A spreadsheet that somebody kept for themselves -> its heading and rows as text; forgiving where a pack is not."""

from __future__ import annotations

import csv
import io
import struct
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from footring.packs.cells import cell_text
from footring.packs.faults import PackFault, PackFaults
from footring.packs.files import open_zip
from footring.packs.limits import DEFAULT_LIMITS, Limits
from footring.packs.text import CONTROL, Unreadable
from footring.packs.workbook import kind_of_workbook, open_sheets

_SEPARATORS = (",", ";", "\t", "|")
_MARKED = {b"\xef\xbb\xbf": "utf-8-sig", b"\xff\xfe": "utf-16", b"\xfe\xff": "utf-16"}
_DAMAGED = (zipfile.BadZipFile, zlib.error, struct.error, EOFError, NotImplementedError, RuntimeError, ValueError)
_LINES_SNIFFED, _SNIFFED = 20, 50_000


@dataclass(frozen=True, slots=True)
class PlainSheet:
    """A sheet as text.

    Parameters
    ----------
    name : str
        Of the sheet; of the file where it has none.
    heading : tuple of str
        What stands over each column; empty where nothing does.
    rows : list of tuple of str
        Each as long as the heading; rows in which nothing stands are left out.
    lines : list of int
        Where each row stands: number of the row in a workbook, number of the line in a text file, from 1.
    note : str
        What the reader had to guess, in a sentence; empty where nothing.
    """

    name: str
    heading: tuple[str, ...]
    rows: list[tuple[str, ...]]
    lines: list[int]
    note: str = ""


def read_plain_sheets(path: Path, *, called: str = "", limits: Limits = DEFAULT_LIMITS) -> list[PlainSheet]:
    r"""Every sheet of a CSV, XLSX or ODS file in which something stands.

    Commas, semicolons, tabs and bars may stand between the cells of a text file. A text that is not UTF-8 is read as
    Windows-1252, and the sheet says so. Dates become ISO dates, numbers the shortest text that is the same number; of
    a formula the value is taken that was saved with it.

    Parameters
    ----------
    path : Path
    called : str
        What the file is called in messages, where that is not its name on the disk.
    limits : Limits
        Sizes past which it is refused.

    Returns
    -------
    list of PlainSheet
        At least one.

    Raises
    ------
    PackFaults
        It cannot be read, or nothing stands in it.
    MissingPart
        A workbook, and the part that reads it is not installed.

    Notes
    -----
    When *not* to use it: for a pack, whose cells have one meaning each; `load_pack` guesses nothing.

    Examples
    --------
    >>> import tempfile
    >>> path = Path(tempfile.mkdtemp()) / "plates.csv"
    >>> _ = path.write_text("Form;Across\nplate;8 in\n", encoding="utf-8")
    >>> [(sheet.heading, sheet.rows) for sheet in read_plain_sheets(path)]
    [(('Form', 'Across'), [('plate', '8 in')])]
    """
    name = called or path.name
    try:
        found = list(_of_workbook(path, name, limits)) if zipfile.is_zipfile(path) else [_of_text(path, name, limits)]
    except Unreadable as stop:
        raise PackFaults(name, [stop.fault]) from None
    except _DAMAGED as error:
        fault = PackFault("a damaged file", name, given=str(error), suggestion="save it again, or copy it again")
        raise PackFaults(name, [fault]) from None
    if not (found := [sheet for sheet in found if sheet.rows]):
        want = "a heading and rows under it"
        raise PackFaults(name, [PackFault("an empty sheet", name, expected=want, suggestion="look at what was saved")])
    return found


def _of_text(path: Path, name: str, limits: Limits) -> PlainSheet:
    raw = _bytes(path, name, limits)
    encoding = next((of for mark, of in _MARKED.items() if raw.startswith(mark)), "utf-8")
    try:
        text, note = raw.decode(encoding), ""
    except UnicodeDecodeError:
        text = raw.decode("cp1252", "replace")
        note = "The file is not UTF-8 and was read as Windows-1252: look at accented letters and fractions."
    if found := CONTROL.search(text):
        line = text.count("\n", 0, found.start()) + 1
        say = "save it as CSV UTF-8, or as a workbook"
        raise Unreadable(PackFault("no text", name, line, given=f"U+{ord(found.group()):04X}", suggestion=say))
    return _sheet(name, _numbered(text, name), name, limits, note)


def _bytes(path: Path, name: str, limits: Limits) -> bytes:
    if path.stat().st_size > limits.workbook_bytes:
        raise Unreadable(PackFault("too large", name, expected=f"at most {limits.workbook_bytes:,} bytes"))
    return path.read_bytes()


def _numbered(text: str, name: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_separator(text))
    before = 0
    try:
        for row in reader:
            yield before + 1, row
            before = reader.line_num
    except csv.Error as error:
        say = "look for a quotation mark left open"
        raise Unreadable(PackFault("not a table", name, before + 1, given=str(error), suggestion=say)) from None


def _separator(text: str) -> str:
    """The sign that the first lines are cut into most cells by."""
    lines = text[:_SNIFFED].splitlines()[:_LINES_SNIFFED]
    return max(_SEPARATORS, key=lambda sign: sum(len(row) for row in csv.reader(lines, delimiter=sign)))


def _of_workbook(path: Path, name: str, limits: Limits) -> Iterator[PlainSheet]:
    with path.open("rb") as file, open_zip(file, limits) as archive:
        kind = kind_of_workbook(archive, name)
        if kind is None:
            want = "CSV, XLSX or ODS"
            raise Unreadable(PackFault("a zip that is no workbook", name, expected=want, suggestion="unpack it first"))
        for sheet, rows in open_sheets(archive, file, kind, name, limits):
            texts = ((n, [_text(cell) for cell in row]) for n, row in enumerate(rows, 1))
            yield _sheet(sheet, texts, f"{name}, sheet {sheet}", limits)


def _text(cell: Any) -> str:
    if isinstance(cell, str):
        return CONTROL.sub(" ", cell)
    if isinstance(cell, datetime):
        return (cell.date() if cell.time() == time(0) else cell).isoformat()
    if isinstance(cell, date):
        return cell.isoformat()
    return cell_text(float(cell)) if isinstance(cell, int | float) and not isinstance(cell, bool) else str(cell)


def _sheet(name: str, rows: Iterator[tuple[int, list[str]]], place: str, limits: Limits, note: str = "") -> PlainSheet:
    kept = [(line, cells) for line, row in rows if any(cells := [cell.strip() for cell in row])]
    if not kept:
        return PlainSheet(name, (), [], [], note)
    wide = max(len(cells) for _, cells in kept)
    if wide > limits.columns:
        raise Unreadable(PackFault("too many columns", place, given=f"{wide}", expected=f"at most {limits.columns}"))
    if longest := next((line for line, cells in kept if max(map(len, cells)) > limits.cell_chars), None):
        raise Unreadable(PackFault("a cell too long", place, longest, expected=f"at most {limits.cell_chars:,} signs"))
    whole = [(*cells, *[""] * (wide - len(cells))) for _, cells in kept]
    return PlainSheet(name, whole[0], whole[1:], [line for line, _ in kept[1:]], note)
