"""One table's file or sheet -> a RowTable and where its rows stand."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol

import numpy as np

from footring.packs.columns import ColumnReader
from footring.packs.csvrows import Block
from footring.packs.faults import FaultList, PackFault, quoted
from footring.packs.limits import Limits
from footring.packs.names import did_you_mean
from footring.packs.pack import Places
from footring.packs.text import Unreadable
from footring.rows.schema import TableSpec
from footring.rows.table import RowTable


class TableRows(Protocol):
    """A header and rows in blocks, from whatever they are kept in."""

    name: str
    header: list[str]
    left_out: set[str]

    def blocks(self, faults: FaultList) -> Iterator[Block]:
        """The rows, column by column."""


def read_table(
    rows: TableRows, spec: TableSpec, limits: Limits, faults: FaultList
) -> Iterator[tuple[RowTable, Places] | None]:
    """Read one table, yielding None after each block (to tell how far it is), and at last the table.

    Where a cell cannot be read a stand-in takes its place, so that the rest is checked all the same. Nothing is
    yielded at last when a required column is missing, or when the file breaks off.
    """
    complete = check_header(rows, spec, faults)
    columns = {name: rows.header.index(name) for name in dict.fromkeys(rows.header) if name in _names(spec)}
    readers = {
        name: ColumnReader(spec.column(name), rows.name, i + 1, limits.cell_chars) for name, i in columns.items()
    }
    lines = [np.empty(0, np.int64)]
    try:
        for block in rows.blocks(faults):
            for name, reader in readers.items():
                reader.add(block.columns[columns[name]], block.lines, faults)
            lines.append(block.lines)
            yield None
    except Unreadable as stop:
        faults.add(stop.fault)
        complete = False
    if complete:
        table = RowTable.from_columns(spec, {name: reader.data() for name, reader in readers.items()})
        yield table, Places(rows.name, np.concatenate(lines), {name: i + 1 for name, i in columns.items()})


def _names(spec: TableSpec) -> set[str]:
    return {column.name for column in spec.columns}


def check_header(rows: TableRows, spec: TableSpec, faults: FaultList) -> bool:
    """Report unknown, unnamed, repeated and missing columns; whether every required one is there."""
    names = [column.name for column in spec.columns]
    for number, name in enumerate(rows.header, 1):
        if fault := _header_fault(rows, spec, number, name, names):
            faults.add(fault)
    missing = [column.name for column in spec.columns if column.required and column.name not in rows.header]
    for name in missing:
        hint = did_you_mean(name, [given for given in rows.header if given not in names])
        say = f"rename {hint.removeprefix('did you mean ').removesuffix('?')}" if hint else f"add the column {name}"
        faults.add(PackFault("a missing column", rows.name, 1, None, name, "", f"the column {name}", say))
    return not missing


def _header_fault(rows: TableRows, spec: TableSpec, number: int, name: str, names: list[str]) -> PackFault | None:
    if not name.strip():
        say = f"write one of {spec.name}'s columns in the first line, or take the column out"
        return PackFault("a column without a name", rows.name, 1, number, suggestion=say)
    if name not in names:
        hint = did_you_mean(name.strip(), [known for known in names if known not in rows.header])
        want = f"one of {', '.join(names)}"
        return PackFault("an unknown column", rows.name, 1, number, None, quoted(name), want, hint)
    if name in rows.header[: number - 1]:
        return PackFault("the same column twice", rows.name, 1, number, name, suggestion="take one of them out")
    return None
