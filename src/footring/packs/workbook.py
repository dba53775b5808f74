"""An XLSX or ODS workbook, a sheet a table, read as the CSV it stands for."""

from __future__ import annotations

import zipfile
from collections.abc import Callable, Iterator
from datetime import date, datetime, time, timedelta
from typing import Any, BinaryIO

import numpy as np

from footring.packs.cells import BadCell, cell_text, held_text, is_formula
from footring.packs.csvrows import BLOCK_ROWS, Block
from footring.packs.faults import FaultList, PackFault, quoted
from footring.packs.files import check_entries, entries_of
from footring.packs.limits import Limits
from footring.packs.names import did_you_mean
from footring.packs.text import CONTROL, Unreadable
from footring.packs.workbook_xml import look_through
from footring.rows.schema import TABLES, Column, TableSpec
from footring.terms.errors import MissingPart

MIDNIGHT = time(0)
KEPT_DIGITS = 10**15
"""Spreadsheet programs keep fifteen figures of a number and make the rest up."""


def kind_of_workbook(archive: zipfile.ZipFile, path: str) -> str | None:
    """Which of "xlsx" and "ods" it is, or None for a zip of something else.

    Raises
    ------
    Unreadable
        Another sort of workbook.
    """
    names = set(archive.namelist())
    if "[Content_Types].xml" in names and "xl/workbook.xml" in names:
        return "xlsx"
    if "content.xml" in names and "mimetype" in names:
        return "ods"
    if "[Content_Types].xml" in names:
        want = "an XLSX or ODS workbook, or a folder or zip of CSV tables"
        raise Unreadable(PackFault("another kind of document", path, expected=want, suggestion="save it as XLSX"))
    return None


def read_sheets(
    archive: zipfile.ZipFile, file: BinaryIO, kind: str, path: str, limits: Limits, faults: FaultList
) -> Iterator[tuple[str, SheetRows]]:
    """Each sheet that is a table, checked before it is read; everything unfit goes to `faults`.

    Raises
    ------
    Unreadable
        The workbook as a whole is not fit to be opened.
    MissingPart
        The part that reads workbooks is not installed.
    """
    seen: set[str] = set()
    for name, rows in open_sheets(archive, file, kind, path, limits, faults):
        sheet = f"{path}, sheet {name}"
        if not any(cell != "" for row in rows for cell in row):
            continue
        if name in seen:
            faults.add(PackFault("the same table twice", sheet, suggestion="put its rows into one sheet"))
            continue
        seen.add(name)
        if name not in TABLES:
            want, hint = "a table of a pack", did_you_mean(name, TABLES)
            faults.add(PackFault("an unknown table", sheet, given=quoted(name), expected=want, suggestion=hint))
            continue
        try:
            yield name, SheetRows(sheet, rows, TABLES[name], limits)
        except Unreadable as stop:
            faults.add(stop.fault)


def open_sheets(
    archive: zipfile.ZipFile, file: BinaryIO, kind: str, path: str, limits: Limits, faults: FaultList | None = None
) -> Iterator[tuple[str, list[list[Any]]]]:
    """Each sheet's name and cells, once the workbook is known to be fit to be opened.

    Formulas and error values go to `faults`; without one, what was saved with them is taken.

    Raises
    ------
    Unreadable
        The workbook as a whole is not fit to be opened.
    MissingPart
        The part that reads workbooks is not installed.
    """
    _check_whole(archive, path, limits)
    for fault in look_through(archive, kind, path, limits):
        if faults is not None:
            faults.add(fault)
    yield from _sheets(file, path, limits)


def _check_whole(archive: zipfile.ZipFile, path: str, limits: Limits) -> None:
    infos = entries_of(archive)
    found = check_entries(infos, limits, nested=False)
    total = sum(info.file_size for info in infos)
    if total > limits.workbook_bytes:
        most = f"at most {limits.workbook_bytes:,} bytes"
        found.append(PackFault("too large unpacked", path, given=f"{total:,} bytes", expected=most))
    if found:
        raise Unreadable(found[0])


def _sheets(file: BinaryIO, path: str, limits: Limits) -> Iterator[tuple[str, list[list[Any]]]]:
    calamine = _calamine()
    file.seek(0)
    cells = 0
    try:
        book = calamine.CalamineWorkbook.from_filelike(file)
        for sheet in _listed(book, path, limits):
            if sheet.typ == calamine.SheetTypeEnum.WorkSheet:
                rows = book.get_sheet_by_name(sheet.name).to_python(skip_empty_area=False)
                cells += sum(map(len, rows))
                if cells > limits.sheet_cells:
                    raise _too_large(path, "cells in all sheets", limits.sheet_cells)
                yield sheet.name, rows
    except (calamine.CalamineError, OSError, ValueError, OverflowError, MemoryError) as error:
        raise _no_workbook(path, error) from None
    except BaseException as error:
        if type(error).__name__ == "PanicException":  # what python_calamine raises where it gave up: no Exception
            raise _no_workbook(path, error) from None
        raise


def _listed(book: Any, path: str, limits: Limits) -> list[Any]:
    sheets = list(book.sheets_metadata)
    if len(sheets) > limits.sheets:
        raise _too_large(path, "sheets", limits.sheets)
    return sheets


def _too_large(path: str, what: str, most: int) -> Unreadable:
    say = "split the workbook"
    return Unreadable(PackFault("a workbook too large", path, expected=f"at most {most:,} {what}", suggestion=say))


def _no_workbook(path: str, error: BaseException) -> Unreadable:
    say = "open it in a spreadsheet program and save it again, without a password"
    return Unreadable(PackFault("a workbook that cannot be read", path, given=str(error), suggestion=say))


def _calamine() -> Any:
    try:
        import python_calamine
    except ImportError:
        raise MissingPart(
            "reading XLSX and ODS workbooks needs the part `sheets`: say  pip install 'footring[sheets]'  "
            "or save each sheet as CSV UTF-8 into one folder"
        ) from None
    return python_calamine


class SheetRows:
    """A sheet's header and rows, each cell as the text a CSV would hold.

    Parameters
    ----------
    name : str
        For messages.
    rows : list of list
        Cells as calamine gives them, from the first row and column of the sheet.
    spec : TableSpec
        The table, to know what a date or a number may mean in each column.
    limits : Limits
        Longest cell, most columns.
    """

    def __init__(self, name: str, rows: list[list[Any]], spec: TableSpec, limits: Limits) -> None:
        self.name, self._rows, self._limits = name, rows[1:], limits
        self.header, self.left_out = _header(rows), set[str]()
        if not any(self.header):
            say = "write the names of the columns in the first row"
            raise Unreadable(PackFault("a sheet without column names", name, 1, suggestion=say))
        if len(self.header) > limits.columns:
            given, most = f"{len(self.header)} columns", f"at most {limits.columns}"
            raise Unreadable(PackFault("too many columns", name, 1, given=given, expected=most))
        columns = {column.name: column for column in spec.columns}
        self._texts = [_text_of(columns.get(name)) for name in self.header]

    def blocks(self, faults: FaultList) -> Iterator[Block]:
        """The rows as text, in blocks; empty ones are passed over."""
        for start in range(0, len(self._rows), BLOCK_ROWS):
            held = [
                (i, row)
                for i, row in enumerate(self._rows[start : start + BLOCK_ROWS], start + 2)
                if any(c != "" for c in row)
            ]
            lines = np.array([i for i, _ in held], np.int64)
            if held:
                columns = [self._column([row[k] for _, row in held], k, lines, faults) for k in range(len(self.header))]
                yield Block(lines, columns)

    def _column(self, cells: list[Any], number: int, lines: Any, faults: FaultList) -> tuple[str, ...]:
        texts: list[str] = []
        for cell, line in zip(cells, lines, strict=True):
            try:
                texts.append(self._texts[number](cell))
            except BadCell as why:
                texts.append("")
                faults.add(why.at(self.name, int(line), number + 1, self.header[number], cell))
        return tuple(texts)


def _header(rows: list[list[Any]]) -> list[str]:
    first = ["" if cell == "" else str(cell) for cell in rows[0]]
    used = max((k for row in rows for k, cell in enumerate(row) if cell != ""), default=-1)
    return first[: used + 1]


def _text_of(column: Column | None) -> Callable[[Any], str]:
    """The function that turns a cell of a column into the text a CSV would hold, or says why not."""

    def text(cell: Any) -> str:
        if isinstance(cell, str):
            return _plain(cell)
        if isinstance(cell, bool):
            return _truth(cell, column)
        if isinstance(cell, int | float):
            return _figure(cell, column)
        return _day(cell, column)

    return text


def _plain(cell: str) -> str:
    """A workbook says itself which of its cells are text, so a sign of a formula in one is only a sign."""
    if found := CONTROL.search(cell):
        raise BadCell("control character", "plain text", f"delete U+{ord(found.group()):04X}")
    return held_text(cell) if is_formula(cell) else cell


def _truth(cell: bool, column: Column | None) -> str:
    if column is not None and column.type is str:
        raise BadCell("true or false in a column of text", "text", "format the column as text and type it again")
    return cell_text(cell)


def _figure(cell: float, column: Column | None) -> str:
    if column is not None and column.type in (str, int) and abs(cell) >= KEPT_DIGITS:
        say = "format the column as text and type it again: spreadsheet programs keep fifteen figures of a number"
        raise BadCell("a number with figures lost", "text", say)
    return cell_text(float(cell))


def _day(cell: Any, column: Column | None) -> str:
    if column is None:
        return str(cell)
    if isinstance(cell, datetime) and (column.moment or (column.date and cell.time() == MIDNIGHT)):
        return (cell.date() if cell.time() == MIDNIGHT else cell).isoformat()
    if isinstance(cell, date) and not isinstance(cell, datetime) and (column.date or column.moment):
        return cell.isoformat()
    what = "time" if isinstance(cell, time | timedelta) else "date"
    say = f"format the column as text and type it again: the program may have turned something like 3/41 into a {what}"
    raise BadCell(f"a spreadsheet {what}", "text or a number", say)
