"""What is left of tables for people who may not see all of the reference."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from footring.rows.schema import COLLECTION, TABLES, Column
from footring.rows.table import RowTable


def is_private(tables: Mapping[str, RowTable]) -> bool:
    """Whether any row of the reference among these is private."""
    return any(np.any(_private(rows)) for rows in tables.values())


def open_to_all(tables: Mapping[str, RowTable]) -> dict[str, RowTable]:
    """Tables without the reference's private rows and without every row that names one of those.

    Private pieces and what was read off them stay: they are counted, and named to nobody by being counted.

    Parameters
    ----------
    tables : mapping of str to RowTable
        By their names.
    """
    gone = {name: _ids(rows, _private(rows)) for name, rows in tables.items()}
    while found := {name: more for name, rows in tables.items() if (more := _naming(rows, gone) - gone[name])}:
        gone |= {name: gone[name] | more for name, more in found.items()}
    return {name: _without(rows, gone[name]) if gone[name] else rows for name, rows in tables.items()}


def _without(rows: RowTable, ids: set[str]) -> RowTable:
    """Made anew, since what is taken from a table keeps the words that only other rows had."""
    left = rows.take(~_held(rows, "id", ids))
    return RowTable.from_columns(rows.spec, {one.name: left.column(one.name).tolist() for one in rows.spec.columns})


def _ids(rows: RowTable, where: NDArray[np.bool_]) -> set[str]:
    return {str(row) for row in rows.take(where).column("id").tolist()}


def _private(rows: RowTable) -> NDArray[np.bool_]:
    if rows.spec.name in COLLECTION:
        return np.zeros(len(rows), bool)
    return np.array(rows.column("private").tolist(), bool)


def _naming(rows: RowTable, gone: Mapping[str, set[str]]) -> set[str]:
    """Ids of rows that name a row which is gone; to take its place is not to name it."""
    names = np.zeros(len(rows), bool)
    for column in rows.spec.columns:
        if column.name != "supersedes":
            names |= _names(rows, column, gone)
    return _ids(rows, names) if names.any() else set()


def _names(rows: RowTable, column: Column, gone: Mapping[str, set[str]]) -> NDArray[np.bool_]:
    if column.refers_to:
        return _held(rows, column.name, gone.get(column.refers_to, set()))
    names = np.zeros(len(rows), bool)
    for table in TABLES if column.refers_by else ():
        if gone.get(table):
            names |= _held(rows, column.name, gone[table]) & _held(rows, str(column.refers_by), {table})
    return names


def _held(rows: RowTable, column: str, ids: set[str]) -> NDArray[np.bool_]:
    """Rows in whose column one of some texts stands."""
    if not ids:
        return np.zeros(len(rows), bool)
    return np.array([value in ids for value in rows.column(column).tolist()], bool)
