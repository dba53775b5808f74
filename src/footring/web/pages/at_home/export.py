"""Pieces as a table for a spreadsheet, in which nothing can be taken for a formula."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from typing import Any

from footring.records.models import Shelved

COLUMNS = ("id", "name", "line", "form", "size", "glaze", "decoration", "trim", "settled")
OWNERS_COLUMNS = ("place",)
_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n")


class _Line:
    def write(self, line: str) -> str:
        return line


def lines(rows: Iterable[Shelved], own_side: bool) -> Iterator[str]:
    """Lines of CSV, the heading first; the owner's columns only for who may see them."""
    columns = (*COLUMNS, *OWNERS_COLUMNS) if own_side else COLUMNS
    writer = csv.writer(_Line())
    yield writer.writerow(columns)
    for row in rows:
        yield writer.writerow([harmless(_value(row, column)) for column in columns])


def _value(row: Shelved, column: str) -> Any:
    if column in ("id", "name", "place"):
        return getattr(row.piece, {"id": "pk"}.get(column, column))
    return ("yes" if row.confirmed else "no") if column == "settled" else getattr(row, column)


def harmless(value: Any) -> str:
    """A cell that a spreadsheet takes for text: an apostrophe before what would begin a formula [owasp_csv]_.

    Examples
    --------
    >>> harmless("=1+1"), harmless("-5"), harmless("417"), harmless(None)
    ("'=1+1", "'-5", '417', '')
    """
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(_STARTS) else text
