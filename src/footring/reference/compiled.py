"""One table, compiled."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.reference.hashing import Hashes, added_lanes
from footring.reference.ids import Ids
from footring.rows import ColumnData, Row, RowTable, TableSpec

_SMALL = 4096


@dataclass(frozen=True, slots=True, eq=False)
class CompiledTable:
    """The rows of one table, ready for arithmetic. Every array is read-only and in the order of the rows.

    Parameters
    ----------
    spec : TableSpec
        Which table.
    chunks : tuple of RowTable
        The rows as given: the bulk, and what was added lately.
    ids : Ids
        Row index of each id.
    links : mapping of column to int32 array, shape (rows,)
        Row index in the table referred to; for a column of choices, index into its choices. -1: unknown.
    numbers : mapping of column to array, shape (rows,)
        The values of columns that are no text, as in `ColumnData`.
    current : bool array, shape (rows,)
        Whether nothing supersedes the row; a thing is always current.
    keys : uint64 array, shape (rows,), or None
        A number for the natural key of each row; None for a table without one.
    lanes : tuple of int
        What the rows add to the digest.
    """

    spec: TableSpec
    chunks: tuple[RowTable, ...]
    ids: Ids
    links: Mapping[str, NDArray[np.int32]]
    numbers: Mapping[str, NDArray[Any]]
    current: NDArray[np.bool_]
    keys: Hashes | None
    lanes: tuple[int, ...]
    _whole: list[RowTable] = field(default_factory=list, repr=False)

    def __len__(self) -> int:
        return len(self.current)

    @property
    def rows(self) -> RowTable:
        """All rows as one table, put together when first asked for."""
        if not self._whole:
            self._whole.append(RowTable.concat(self.chunks))
        return self._whole[0]

    def text(self, column: str) -> ColumnData:
        """The values of any column as given."""
        return self.rows.column(column)

    def row(self, i: int) -> Row:
        """Row i as it was given.

        Raises
        ------
        IndexError
            There is no row i.
        """
        for chunk in self.chunks[:-1]:
            if 0 <= i < len(chunk):
                return chunk.row(i)
            i -= len(chunk)
        return self.chunks[-1].row(i)

    def grown(self, added: RowTable, new: CompiledTable) -> CompiledTable:
        """With the rows of another one, which holds `added` alone with indices into the grown whole, below."""
        return CompiledTable(
            self.spec,
            _chunks(self.chunks, added),
            new.ids,
            _below(self.links, new.links),
            _below(self.numbers, new.numbers),
            below(self.current, new.current),
            None if self.keys is None or new.keys is None else below(self.keys, new.keys),
            added_lanes(self.lanes, new.lanes),
        )

    def without(self, rows: Any) -> CompiledTable:
        """With some rows (an index or an array of them) no longer current."""
        current = self.current.copy()
        current[rows] = False
        current.setflags(write=False)
        return replace(self, current=current)


def below(top: NDArray[Any], bottom: NDArray[Any]) -> NDArray[Any]:
    """One array below the other, read-only; shared where one is empty, or where both are one value throughout."""
    if top.strides == bottom.strides == (0,) and len(top) and len(bottom) and top[0] == bottom[0]:
        return np.broadcast_to(top[0], len(top) + len(bottom))
    whole = bottom if len(top) == 0 else top if len(bottom) == 0 else np.concatenate([top, bottom])
    whole.setflags(write=False)
    return whole


def _below(top: Mapping[str, NDArray[Any]], bottom: Mapping[str, NDArray[Any]]) -> Mapping[str, NDArray[Any]]:
    return MappingProxyType({name: below(array, bottom[name]) for name, array in top.items()})


def _chunks(chunks: tuple[RowTable, ...], added: RowTable) -> tuple[RowTable, ...]:
    """The bulk and a short tail: joined to the bulk only when it has grown."""
    if len(added) == 0:
        return chunks
    if len(chunks[0]) == 0:
        return (added,)
    bulk, tail = chunks[0], RowTable.concat([*chunks[1:], added])
    if len(tail) > max(_SMALL, len(bulk) // 8):
        return (RowTable.concat([bulk, tail]),)
    return (bulk, tail)
