"""The only place where stored rows become the tables that the reasoning runs on."""

from __future__ import annotations

from collections.abc import Iterable

from footring.records.models import MODELS
from footring.records.models.stored import attribute
from footring.rows import TABLES, RowTable

CHUNK = 50_000


def snapshot(tables: Iterable[str] | None = None) -> dict[str, RowTable]:
    """Every row of some tables, all of them by default, in the order of their ids.

    A column at a time: a million encounters never stand in memory as objects.
    """
    return {name: _table(name) for name in (tables if tables is not None else TABLES)}


def _table(name: str) -> RowTable:
    spec, rows = TABLES[name], MODELS[name].objects.order_by("pk")
    columns = {
        column.name: list(rows.values_list(attribute(column.name, spec), flat=True).iterator(CHUNK))
        for column in spec.columns
    }
    return RowTable.from_columns(spec, columns)
