"""Rows being added to a reference, for the checks to look at."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.reference.compiled import CompiledTable
from footring.reference.faults import Fault
from footring.reference.links import Links
from footring.rows import RowTable

KEPT_EACH = 1_000
"""Faults of one kind in one column that are listed singly; the rest are counted."""


@dataclass(frozen=True, slots=True)
class Added:
    """The rows given for one table, and everything as it would be with them.

    Parameters
    ----------
    rows : RowTable
        What was given.
    start : int
        Index in the whole table of the first of them.
    whole : mapping of table to CompiledTable
        Every table with what was given below it.
    """

    rows: RowTable
    start: int
    whole: Mapping[str, CompiledTable]

    @property
    def name(self) -> str:
        """The table's name."""
        return self.rows.spec.name

    def links(self, column: str) -> Links:
        """What these rows' values of a column refer to: row indices in the whole table."""
        return self.whole[self.name].links[column][self.start :]

    def faults(
        self,
        kind: str,
        where: NDArray[np.bool_],
        column: str,
        expected: str,
        suggest: Callable[[str], str | None] | None = None,
    ) -> Iterator[Fault]:
        """One fault of the same kind for each row of a mask."""
        rows = np.flatnonzero(where)
        data = self.rows.column(column)
        for i in rows[:KEPT_EACH].tolist():
            given = data.value(i)
            suggestion = suggest(given) if suggest and isinstance(given, str) else None
            yield self.fault(kind, i, column, quoted(given), expected, suggestion)
        if len(rows) > KEPT_EACH:
            yield Fault(kind, self.name, None, None, column, f"{len(rows) - KEPT_EACH} more like those above", expected)

    def fault(
        self, kind: str, i: int, column: str | None, given: str, expected: str, suggestion: str | None = None
    ) -> Fault:
        """A fault in row i of those given."""
        row_id = self.rows.column("id").value(i)
        return Fault(kind, self.name, i, None if row_id is None else str(row_id), column, given, expected, suggestion)


def quoted(value: Any, longest: int = 60) -> str:
    """A value for a message, in one line and not longer than it need be."""
    whole = "nothing" if value is None else repr(value)
    return whole if len(whole) <= longest else f"{whole[: longest - 3]}..."
