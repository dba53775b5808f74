"""Cells of a column, block by block -> its values, each different text read once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from footring.packs.cells import PLAIN, BadCell, cell_reader
from footring.packs.faults import FaultList
from footring.rows.column_data import ColumnData, coded, column_data
from footring.rows.schema import Column, Scalar


class ColumnReader:
    """Reads one column of one file.

    Parameters
    ----------
    column : Column
        What it holds.
    file : str
        For messages.
    number : int
        Its number in the file, from 1.
    longest : int
        Most characters in a cell.
    """

    def __init__(self, column: Column, file: str, number: int, longest: int) -> None:
        self._column, self._file, self._number, self._longest = column, file, number, longest
        self._read = cell_reader(column)
        self._as_it_stands = column.type is str and not column.choices
        self._index: dict[str, int] = {}
        self._values: list[Scalar] = []
        self._wrong: dict[int, BadCell] = {}
        self._codes: list[NDArray[np.int32]] = []

    def add(self, cells: Sequence[str], lines: NDArray[np.int64], faults: FaultList) -> None:
        """Read a block of cells; each that cannot be read is a fault on its line."""
        self._learn_all([text for text in dict.fromkeys(cells) if text not in self._index])
        codes = np.fromiter(map(self._index.__getitem__, cells), np.int32, len(cells))
        self._codes.append(codes)
        if self._wrong:
            for code, line, cell in zip(codes.tolist(), lines.tolist(), cells, strict=True):
                if code in self._wrong:
                    faults.add(self._wrong[code].at(self._file, line, self._number, self._column.name, cell))

    def _learn_all(self, texts: list[str]) -> None:
        if self._as_it_stands and all(map(PLAIN.fullmatch, texts)):
            self._index.update(zip(texts, range(len(self._values), len(self._values) + len(texts)), strict=True))
            self._values.extend(texts)
        else:
            for text in texts:
                self._learn(text)

    def _learn(self, text: str) -> None:
        code = len(self._values)
        self._index[text] = code
        try:
            self._values.append(self._read(text if len(text) <= self._longest else self._too_long(text)))
        except BadCell as why:
            self._wrong[code] = why.with_traceback(None)
            self._values.append(None if self._column.nullable else self._stand_in(text))

    def _too_long(self, text: str) -> str:
        want = f"at most {self._longest:,} characters in a cell"
        raise BadCell("a cell too long", want, f"it has {len(text):,}; keep long texts in files of their own")

    def _stand_in(self, text: str) -> Scalar:
        stand_in: Scalar = text if self._column.type is str else self._column.type(0)
        return stand_in

    def data(self) -> ColumnData:
        """The values read so far; a stand-in where a cell could not be read."""
        codes = np.concatenate(self._codes) if self._codes else np.empty(0, np.int32)
        if self._column.type is not str:
            return column_data(self._column, self._values).take(codes)
        if len(set(self._values)) == len(self._values) and None not in self._values:
            return coded(codes, self._values)  # type: ignore[arg-type]
        index: dict[str, int] = {}
        anew = [-1 if v is None else index.setdefault(str(v), len(index)) for v in self._values]
        return coded(np.array(anew, np.int32)[codes], list(index))
