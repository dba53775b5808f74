"""The only place where stored rows become the tables that the reasoning runs on."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from contextlib import contextmanager
from itertools import chain, islice
from typing import Any

from django.db import connection, transaction

from footring.records.models import MODELS, Act
from footring.records.models.stored import StoredRows, attribute
from footring.rows import TABLES, RowTable

CHUNK = 20_000


@contextmanager
def one_moment() -> Iterator[None]:
    """Whatever is read within is as of one moment, and nobody who writes meanwhile waits for it.

    Inside a transaction it is as that transaction has it.
    """
    if connection.in_atomic_block:
        yield
        return
    with _only_reading(), transaction.atomic():
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        yield


@contextmanager
def _only_reading() -> Iterator[None]:
    """SQLite's transactions here begin with the right to write; within, this thread's begin without."""
    connection.ensure_connection()
    mode = getattr(connection, "transaction_mode", None)
    connection.transaction_mode = None
    try:
        yield
    finally:
        connection.transaction_mode = mode


def snapshot(tables: Collection[str] = TABLES) -> dict[str, RowTable]:
    """Every row of some tables, all of them by default, in the order of their ids, as of one moment.

    What refers to a row of another table is then not known, and a row that is about one is left out. Some thousand
    rows are read at a time: a million encounters never stand in memory as objects of their own.
    """
    with one_moment():
        return {name: _table(name, tables) for name in tables}


def added_since(seen: int, tables: Collection[str]) -> dict[str, RowTable]:
    """Rows of some tables that came with acts kept after a revision, as `snapshot` has them."""
    with one_moment():
        touched = set(chain(*Act.objects.filter(revision__gt=seen).values_list("tables", flat=True)))
        found = {name: _table(name, tables, added_in__revision__gt=seen) for name in tables if name in touched}
    return {name: rows for name, rows in found.items() if len(rows)}


def _table(name: str, tables: Collection[str], **which: Any) -> RowTable:
    spec = TABLES[name]
    about = {f"{column.refers_by}__in": tables for column in spec.columns if column.refers_by}
    names = [column.name for column in spec.columns if column.refers_to is None or column.refers_to in tables]
    rows = MODELS[name].objects.filter(**which, **about).order_by("pk")
    coming = _chunks(rows.values_list(*(attribute(one, spec) for one in names)))
    parts = [RowTable.from_columns(spec, dict(zip(names, columns, strict=True))) for columns in coming]
    return RowTable.concat(parts or [RowTable.from_rows(spec, ())])


def _chunks(rows: StoredRows) -> Iterator[list[list[Any]]]:
    """Some thousand rows at a time, as columns."""
    coming = rows.iterator(CHUNK)
    while some := list(islice(coming, CHUNK)):
        yield [list(values) for values in zip(*some, strict=True)]
