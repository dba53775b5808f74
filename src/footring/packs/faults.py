"""What is wrong with a pack, every fault at its place."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from math import inf

from footring.terms.errors import BadInput
from footring.terms.printable import printable

SHOWN_AT_ONCE = 20
KEPT_EACH = 1_000
"""Faults of one kind in one column of one file that are listed singly; the rest are counted."""


@dataclass(frozen=True, slots=True)
class PackFault:
    """One thing wrong with a pack, and what to do about it.

    Parameters
    ----------
    kind : str
        What sort of fault, in a few fixed words ("unknown column"); each kind has its own.
    file : str
        The file it is in, as named inside the pack; for a workbook, the file and the sheet.
    line, column : int or None
        Line of the file (row of the sheet) and number of the column, both from 1; None where there is none.
    name : str or None
        The column's name.
    given, expected, suggestion : str
        What stood there, what should, and what to do; empty where it would say nothing.
    """

    kind: str
    file: str
    line: int | None = None
    column: int | None = None
    name: str | None = None
    given: str = ""
    expected: str = ""
    suggestion: str = ""

    @property
    def where(self) -> str:
        """File, line and column, as far as known: "makers.csv, line 3, column 2 (name)"."""
        column = f"column {self.column}" if self.column is not None else ""
        named = f"{column} ({self.name})" if column and self.name else column or self.name
        line = f"line {self.line}" if self.line is not None else ""
        return ", ".join(part for part in (self.file, line, named) if part)

    def __str__(self) -> str:
        parts = (self.given and f"given {self.given}", self.expected and f"expected {self.expected}", self.suggestion)
        detail = "; ".join(part for part in parts if part)
        return printable(f"{self.where}: {self.kind}" + (f": {detail}" if detail else ""))

    def as_dict(self) -> dict[str, str | int | None]:
        """The same as plain values, with the sentence under `message`."""
        return {**asdict(self), "message": str(self)}


class PackFaults(BadInput):
    """Everything wrong with a pack, raised together.

    Parameters
    ----------
    path : str
        The pack.
    faults : sequence of PackFault
        At least one.
    """

    def __init__(self, path: str, faults: Sequence[PackFault]) -> None:
        self.path, self.faults = path, tuple(faults)
        shown = [f"  {fault}" for fault in self.faults[:SHOWN_AT_ONCE]]
        if len(self.faults) > SHOWN_AT_ONCE:
            shown.append(f"  and {len(self.faults) - SHOWN_AT_ONCE} more")
        count = len(self.faults)
        super().__init__("\n".join([f"{path}: {count} {'fault' if count == 1 else 'faults'}", *shown]))

    def __reduce__(self) -> tuple[type[PackFaults], tuple[str, tuple[PackFault, ...]]]:
        return type(self), (self.path, self.faults)


class FaultList:
    """Faults as they are found: the first of each cell; past `KEPT_EACH` of one kind in one column, their number."""

    def __init__(self) -> None:
        self._kept: list[PackFault] = []
        self._seen: Counter[tuple[str, str, int | None, str | None]] = Counter()
        self._cells: set[tuple[str, int | None, int | None]] = set()

    def add(self, fault: PackFault) -> None:
        """Keep one fault, or count it. What follows from a fault already found in the same cell is left out."""
        cell = (fault.file, fault.line, fault.column)
        if fault.line is not None and fault.column is not None and cell in self._cells:
            return
        key = (fault.kind, fault.file, fault.column, fault.name)
        self._seen[key] += 1
        if self._seen[key] <= KEPT_EACH:
            self._cells.add(cell)
            self._kept.append(fault)

    def __len__(self) -> int:
        return len(self._kept)

    def in_order(self) -> list[PackFault]:
        """All of them, file by file as first met, from the first line to the last."""
        files = {file: i for i, file in enumerate(dict.fromkeys(fault.file for fault in self))}
        whole = {fault: fault.line or 0 for fault in self._kept}
        return sorted(self, key=lambda fault: (files[fault.file], whole.get(fault, inf), fault.column or 0))

    def __iter__(self) -> Iterator[PackFault]:
        yield from self._kept
        for (kind, file, column, name), count in self._seen.items():
            if count > KEPT_EACH:
                yield PackFault(kind, file, None, column, name, f"{count - KEPT_EACH} more like those above")


def quoted(text: object, longest: int = 60) -> str:
    """A given value for a message: quoted, in one line, and not longer than it need be."""
    whole = repr(text) if isinstance(text, str) else str(text)
    return whole if len(whole) <= longest else f"{whole[: longest - 3]}..."
