"""A CSV table (RFC 4180) -> blocks of columns, each row with its line."""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from footring.packs.faults import FaultList, PackFault, quoted
from footring.packs.limits import Limits
from footring.packs.text import Unreadable

_SEPARATORS = re.compile(r"[;\t|]")
BLOCK_ROWS = 20_000


@dataclass(frozen=True, slots=True)
class Block:
    """Some rows of a table, column by column.

    Parameters
    ----------
    lines : int64 array
        Line on which each row starts, from 1.
    columns : list of tuple of str
        Cells of each column of the file, as long as `lines`.
    """

    lines: NDArray[np.int64]
    columns: list[tuple[str, ...]]


class CsvRows:
    """A CSV file's header, then its rows in blocks.

    Parameters
    ----------
    source : iterable of str
        The file's lines with their ends.
    name : str
        For messages.
    limits : Limits
        Longest cell, most columns.

    Raises
    ------
    Unreadable
        When there is no header, or the quoting cannot be followed.
    """

    def __init__(self, source: Iterable[str], name: str, limits: Limits) -> None:
        self.name, self._limits = name, limits
        self._reader = csv.reader(source, strict=True)
        self._broken: Unreadable | None = None
        self.header = self._first_row()
        self.left_out: set[str] = set()

    def _first_row(self) -> list[str]:
        header = self._take(1)
        if self._broken:
            raise self._broken
        if not header or not any(header[0]):
            say = "write the names of the columns in the first line, or take the file out"
            raise Unreadable(PackFault("empty file", self.name, 1, expected="a line of column names", suggestion=say))
        if len(header[0]) == 1 and _SEPARATORS.search(header[0][0]):
            want, say = "commas between the cells", "save it as CSV with commas (CSV UTF-8)"
            raise Unreadable(PackFault("another separator", self.name, 1, None, None, quoted(header[0][0]), want, say))
        if len(header[0]) > self._limits.columns:
            given, most = f"{len(header[0])} columns", f"at most {self._limits.columns}"
            raise Unreadable(PackFault("too many columns", self.name, 1, given=given, expected=most))
        return header[0]

    def _take(self, count: int) -> list[list[str]]:
        """The next rows; when reading breaks off, those before, and the reason is kept."""
        before, rows = self._reader.line_num, list[list[str]]()
        try:
            rows.extend(islice(self._reader, count))
        except csv.Error as error:
            self._broken = Unreadable(self._quoting(str(error), before))
        except Unreadable as stop:
            self._broken = stop
        return rows

    def _quoting(self, error: str, before: int) -> PackFault:
        line = max(self._reader.line_num, before + 1)
        if "field larger" in error:
            return PackFault("a cell too long", self.name, line, expected=self._cell_limit())
        if "unexpected end" in error:
            say = "close the quotation mark of the last quoted cell"
            return PackFault("the file ends inside a quoted cell", self.name, line, suggestion=say)
        if "new-line" in error:
            say = "end each line with LF or CRLF, and quote a cell that holds a line break"
            return PackFault("a stray carriage return", self.name, line, suggestion=say)
        say = 'write a quotation mark inside a quoted cell twice ("")'
        return PackFault("quoting that cannot be followed", self.name, line, given=error, suggestion=say)

    def _cell_limit(self) -> str:
        return f"at most {self._limits.cell_chars:,} characters in a cell"

    def blocks(self, faults: FaultList) -> Iterator[Block]:
        """Blocks of rows; rows with too many or too few cells are reported and left out, empty ones passed over."""
        while True:
            before = self._reader.line_num
            rows = self._take(BLOCK_ROWS)
            if not rows and not self._broken:
                return
            lines = _starts(rows, before, self._reader.line_num)
            if set(map(len, rows)) != {len(self.header)} or any(not row[0] for row in rows):
                rows, lines = self._only_whole(rows, lines, faults)
            if rows:
                yield Block(lines, list(zip(*rows, strict=True)))
            if self._broken:
                raise self._broken

    def _only_whole(
        self, rows: list[list[str]], lines: NDArray[np.int64], faults: FaultList
    ) -> tuple[list[list[str]], NDArray[np.int64]]:
        wanted = len(self.header)
        for row, line in zip(rows, lines, strict=True):
            if len(row) != wanted and any(row):
                faults.add(self._ragged(row, int(line)))
                self.left_out.update(row)
        whole = [len(row) == wanted and any(row) for row in rows]
        return [row for row, fits in zip(rows, whole, strict=True) if fits], lines[np.array(whole, bool)]

    def _ragged(self, row: list[str], line: int) -> PackFault:
        more = len(row) > len(self.header)
        say = "quote a cell that holds a comma" if more else "add the missing commas (an empty cell is still a cell)"
        return PackFault(
            "a row of another length", self.name, line, given=f"{len(row)} cells, beginning {quoted(row[0])}",
            expected=f"{len(self.header)} cells, as in the first line", suggestion=say,
        )  # fmt: skip


def _starts(rows: list[list[str]], before: int, after: int) -> NDArray[np.int64]:
    if after - before == len(rows) or not rows:
        return np.arange(before + 1, before + len(rows) + 1)
    heights = [1 + sum(cell.count("\n") for cell in row) for row in rows]
    return before + 1 + np.concatenate([[0], np.cumsum(heights[:-1], dtype=np.int64)])
