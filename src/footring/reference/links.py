"""Ids become row indices, and words from a short list indices into it."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from footring.reference.ids import Ids
from footring.rows import TABLES, Column, ColumnData, RowTable

Links = NDArray[np.int32]


def links_of(table: RowTable, ids: Mapping[str, Ids]) -> dict[str, Links]:
    """For each column that refers or has choices: the index of what is named, -1 for unknown or not there."""
    return {
        column.name: _links(table, column, ids)
        for column in table.spec.columns
        if column.refers_to or column.refers_by or column.choices
    }


def _links(table: RowTable, column: Column, ids: Mapping[str, Ids]) -> Links:
    data = table.column(column.name)
    if not data.known.any():
        return np.broadcast_to(np.int32(-1), len(data))
    if column.choices:
        return index_in(data, column.choices)
    if column.refers_to:
        return ids[column.refers_to].find_all(data)
    assert column.refers_by is not None
    return _links_by(data, table.column(column.refers_by), ids)


def index_in(data: ColumnData, choices: tuple[str, ...]) -> Links:
    """Where each word stands among the choices; -1 for unknown or not among them."""
    return Ids({word: i for i, word in enumerate(choices)}).find_all(data)


def _links_by(data: ColumnData, tables: ColumnData, ids: Mapping[str, Ids]) -> Links:
    found = np.full(len(data), -1, np.int32)
    which = index_in(tables, tuple(TABLES))
    names = list(TABLES)
    for table in np.unique(which[which >= 0]):
        rows = which == table
        found[rows] = ids[names[table]].find_all(data.take(rows))
    return found
