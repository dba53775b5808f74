"""A pack on disk, in a zip or in a workbook -> rows, every fault reported at once."""

from __future__ import annotations

import os
import struct
import zipfile
import zlib
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from typing import Any, BinaryIO

from footring.packs.csvrows import CsvRows
from footring.packs.descriptor_check import listed_files, mentioned, parse_descriptor
from footring.packs.faults import FaultList, PackFault, PackFaults, quoted
from footring.packs.files import DESCRIPTOR, Files, FolderFiles, ZipFiles, open_zip
from footring.packs.limits import DEFAULT_LIMITS, Limits
from footring.packs.names import did_you_mean
from footring.packs.pack import Pack, Places, Progress
from footring.packs.table_read import TableRows, read_table
from footring.packs.text import Lines, Unreadable
from footring.packs.workbook import kind_of_workbook, read_sheets
from footring.reference import Fault, check
from footring.reference.faults import Nearest
from footring.rows.schema import TABLES, Column
from footring.rows.table import RowTable
from footring.terms.errors import BadInput

METRE_MM = 1000.0
Source = str | os.PathLike[str] | BinaryIO
_DAMAGED = (zipfile.BadZipFile, zipfile.LargeZipFile, zlib.error, struct.error, EOFError, OSError)
_NO_ZIP = (*_DAMAGED, NotImplementedError, RuntimeError, ValueError, OverflowError)


def load_pack(source: Source, *, limits: Limits = DEFAULT_LIMITS, progress: Progress | None = None) -> Pack:
    """Read a pack and check everything in it.

    Parameters
    ----------
    source : path or binary file
        A folder or zip of CSV tables (with or without datapackage.json), or an XLSX or ODS workbook with a sheet a
        table. A binary file must be one that can be sought in.
    limits : Limits
        Sizes past which it is refused.
    progress : callable, optional
        Told now and then how far reading is.

    Returns
    -------
    Pack
        Its tables, rows in the order of the files.

    Raises
    ------
    PackFaults
        Anything is wrong with it; all of it at once.
    BadInput
        There is nothing at that path.
    MissingPart
        A workbook, and the part that reads it is not installed.

    Examples
    --------
    >>> from importlib.resources import files
    >>> pack = load_pack(files("footring.demo").joinpath("pack"))
    >>> pack.tables["makers"].column("name").tolist()
    ['Quillow & Tarn Works']
    """
    pack, faults = read_pack(source, limits=limits, progress=progress)
    if faults:
        raise PackFaults(pack.path, faults)
    return pack


def check_pack(source: Source, *, limits: Limits = DEFAULT_LIMITS, progress: Progress | None = None) -> list[PackFault]:
    """Everything wrong with a pack: none is an empty list. See `load_pack`.

    Examples
    --------
    >>> from importlib.resources import files
    >>> check_pack(files("footring.demo").joinpath("pack"))
    []
    """
    return read_pack(source, limits=limits, progress=progress)[1]


def read_pack(
    source: Source, *, limits: Limits = DEFAULT_LIMITS, progress: Progress | None = None
) -> tuple[Pack, list[PackFault]]:
    """What could be read of a pack, and everything wrong with it. See `load_pack`.

    The rows of a pack with faults are not to be built on: stand-ins are among them.
    """
    reading = _Reading(limits, progress or (lambda *_: None))
    path = _name_of(source)
    try:
        reading.source(source, path)
    except Unreadable as stop:
        reading.faults.add(stop.fault)
    if not reading.tables and not len(reading.faults):
        want = f"CSV files or sheets named after tables: {', '.join(list(TABLES)[:4])} ..."
        reading.faults.add(PackFault("no tables", path, expected=want))
    reading.check()
    return Pack(path, reading.tables, reading.about, reading.places), reading.faults.in_order()


def _name_of(source: Source) -> str:
    given = source if isinstance(source, str | os.PathLike) else getattr(source, "name", None)
    return os.fspath(given) if isinstance(given, str | os.PathLike) else "(the pack)"


class _Reading:
    """One pack being read."""

    def __init__(self, limits: Limits, progress: Progress) -> None:
        self.limits, self._progress = limits, progress
        self.faults = FaultList()
        self.tables: dict[str, RowTable] = {}
        self.places: dict[str, Places] = {}
        self.about: Mapping[str, Any] = {}
        self._unread: set[str] = set()
        self._left_out: dict[str, set[str]] = {}
        self._nearest: dict[str, Nearest] = {}

    def source(self, source: Source, path: str) -> None:
        if not isinstance(source, str | os.PathLike):
            self._file(source, path)
        elif Path(source).is_dir():
            self._files(FolderFiles(Path(source), self.faults, self.limits))
        elif Path(source).is_file():
            with Path(source).open("rb") as file:
                self._file(file, path)
        else:
            raise BadInput(
                f"{path}: no such file or folder; expected a pack (a folder, a zip, an XLSX or ODS workbook)"
            )

    def _file(self, file: BinaryIO, path: str) -> None:
        try:
            archive = open_zip(file, self.limits)
        except _NO_ZIP as error:
            raise Unreadable(_no_zip(file, path, str(error))) from None
        with archive:
            try:
                if kind := kind_of_workbook(archive, path):
                    self._workbook(archive, file, kind, path)
                else:
                    self._files(ZipFiles(archive, self.faults, self.limits))
            except _DAMAGED as error:
                raise Unreadable(_damaged(path, error)) from None

    # ---- CSV tables

    def _files(self, files: Files) -> None:
        paths = self._listed(files) if DESCRIPTOR in files.names() else self._by_name(files.names())
        self._unread.update(paths)
        total, done = sum(files.size(path) for path in paths.values()), 0
        for name in (table for table in TABLES if table in paths):
            self._csv(files, name, paths[name], done, total)
            done += files.size(paths[name])

    def _csv(self, files: Files, table: str, path: str, done: int, total: int) -> None:
        try:
            with files.open(path) as file:
                lines = Lines(file, path, self.limits)
                rows = CsvRows(lines, path, self.limits)
                self._table(rows, table, lambda: self._progress(path, done + lines.bytes_read, total))
        except Unreadable as stop:
            self.faults.add(stop.fault)
        except _DAMAGED as error:
            self.faults.add(_damaged(path, error))

    def _table(self, rows: TableRows, table: str, tell: Callable[[], None]) -> None:
        for read in read_table(rows, TABLES[table], self.limits, self.faults):
            self._left_out[table] = rows.left_out
            if read is None:
                tell()
            else:
                self.tables[table], self.places[table] = read
                self._unread.discard(table)

    def _listed(self, files: Files) -> dict[str, str]:
        names = files.names()
        if files.size(DESCRIPTOR) > self.limits.descriptor_bytes:
            most = f"at most {self.limits.descriptor_bytes:,} bytes"
            raise Unreadable(
                PackFault("too large", DESCRIPTOR, given=f"{files.size(DESCRIPTOR):,} bytes", expected=most)
            )
        with files.open(DESCRIPTOR) as file:
            text = "".join(Lines(file, DESCRIPTOR, self.limits))
        self.about = parse_descriptor(text)
        listed = listed_files(self.about, self.faults)
        for path in listed.values():
            if path not in names:
                hint = did_you_mean(path, names)
                self.faults.add(PackFault("a file that is not there", DESCRIPTOR, given=quoted(path), suggestion=hint))
        for path in _tables_in(names):
            if listed and path not in mentioned(self.about):
                say = f"list it in {DESCRIPTOR}, or take it out"
                self.faults.add(PackFault("a table that is not listed", path, suggestion=say))
        return {name: path for name, path in listed.items() if path in names}

    def _by_name(self, names: list[str]) -> dict[str, str]:
        found: dict[str, str] = {}
        for path in _tables_in(names):
            table = path.rsplit("/", 1)[-1][: -len(".csv")]
            if table not in TABLES:
                hint = did_you_mean(table, TABLES)
                self.faults.add(
                    PackFault("an unknown table", path, None, None, None, quoted(table), "a table of a pack", hint)
                )
            elif table in found:
                self.faults.add(
                    PackFault("the same table twice", path, given=f"{found[table]} too", suggestion="take one out")
                )
            else:
                found[table] = path
        return found

    # ---- workbooks

    def _workbook(self, archive: zipfile.ZipFile, file: BinaryIO, kind: str, path: str) -> None:
        for table, rows in read_sheets(archive, file, kind, path, self.limits, self.faults):
            self._unread.add(table)
            self._table(rows, table, partial(self._progress, rows.name, 0, 0))

    # ---- what the rows say

    def check(self) -> None:
        """Check the rows against each other; what leads into a table that could not be read is no fault."""
        for fault in check(self.tables):
            if not self._follows(fault):
                self.faults.add(self._placed(fault))

    def _follows(self, fault: Fault) -> bool:
        """Whether a fault only says that a table or row was left out, or named wrongly, which is reported already."""
        if fault.kind not in ("dangling id", "superseding something absent") or fault.column is None:
            return False
        column = TABLES[fault.table].column(fault.column)
        if fault.row is None:
            return column.refers_to in self._unread
        table, given = self._referred(fault, fault.row, column)
        return table not in TABLES or table in self._unread or given in self._left_out.get(table, ())

    def _referred(self, fault: Fault, row: int, column: Column) -> tuple[str, str]:
        rows = self.tables[fault.table]
        table = rows.column(column.refers_by).value(row) if column.refers_by else column.refers_to
        return str(table), str(rows.column(column.name).value(row))

    def _placed(self, fault: Fault) -> PackFault:
        places, spec = self.places[fault.table], TABLES[fault.table]
        key = [column.name for column in spec.key if column.name in places.columns]
        name = fault.column if fault.column in places.columns or not key else key[-1]
        line = int(places.lines[fault.row]) if fault.row is not None else None
        kind, suggestion = self._told(fault)
        return PackFault(
            kind, places.file, line, places.columns.get(name or ""), name, fault.given, fault.expected, suggestion
        )

    def _told(self, fault: Fault) -> tuple[str, str]:
        """The kind of a fault and what to do, where a pack's reader can say more than the check of the rows."""
        if fault.column is None or fault.row is None:
            return fault.kind, fault.suggestion or ""
        column = TABLES[fault.table].column(fault.column)
        value = self.tables[fault.table].column(column.name).value(fault.row)
        if fault.kind == "out of bounds" and column.between and isinstance(value, float) and value >= METRE_MM:
            way = column.name.removesuffix("_mm")
            return f"a metre and more {way}", "give millimetres, and look for a figure too many"
        if fault.kind == "dangling id" and column.refers_by:
            table, given = self._referred(fault, fault.row, column)
            return fault.kind, self._nearest_in(table).suggestion(given) or ""
        return fault.kind, fault.suggestion or ""

    def _nearest_in(self, table: str) -> Nearest:
        if table not in self._nearest:
            self._nearest[table] = Nearest(self.tables[table].column("id").tolist() if table in self.tables else ())
        return self._nearest[table]


def _tables_in(names: list[str]) -> list[str]:
    return [name for name in names if name.lower().endswith(".csv")]


def _damaged(path: str, error: Exception) -> PackFault:
    say = "see that it can be opened, or copy the pack again: it may be damaged"
    return PackFault("a file that cannot be read", path, given=str(error) or type(error).__name__, suggestion=say)


def _no_zip(file: BinaryIO, path: str, error: str) -> PackFault:
    file.seek(0)
    start = file.read(8)
    if start == bytes.fromhex("D0CF11E0A1B11AE1"):
        say = "save it as XLSX or ODS, without a password"
        return PackFault("an old or encrypted workbook", path, expected="XLSX or ODS", suggestion=say)
    if path.lower().endswith(".csv"):
        say = "put it into a folder, under its table's name, and give the folder"
        return PackFault("a single table", path, expected="a pack", suggestion=say)
    want = "a folder, a zip, or an XLSX or ODS workbook"
    return PackFault("not a pack", path, given=error, expected=want, suggestion="it may be damaged: copy it again")
