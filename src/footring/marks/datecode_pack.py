"""A factory's own date codes, out of the tables of a pack."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from typing import Any

from footring.marks.datecode_schemes import Scheme, build_schemes
from footring.rows import RowTable

_NAMED = {"maker": "makers", "source": "sources"}


def pack_schemes(tables: Mapping[str, RowTable]) -> tuple[Scheme, ...]:
    """Schemes of a pack, with the names of their makers and sources in place of ids.

    Parameters
    ----------
    tables : mapping of table to RowTable
        A checked pack's; a table that is not there is empty.

    Raises
    ------
    BadInput
        With every fault of the schemes' rows, if there is any.

    Examples
    --------
    >>> pack_schemes({})
    ()
    """
    names = {column: _names_of(tables, table) for column, table in _NAMED.items()}
    scheme_rows, field_rows, token_rows = (
        [_named(row, names) for row in _rows(tables, f"date_code_{part}")] for part in ("schemes", "fields", "tokens")
    )
    return build_schemes(scheme_rows, field_rows, token_rows)


def _rows(tables: Mapping[str, RowTable], name: str) -> Iterator[dict[str, Any]]:
    table = tables.get(name)
    return (asdict(row) for row in table.rows()) if table is not None else iter(())


def _names_of(tables: Mapping[str, RowTable], table: str) -> dict[str, str]:
    return {row["id"]: row["name"] for row in _rows(tables, table)}


def _named(row: dict[str, Any], names: Mapping[str, Mapping[str, str]]) -> dict[str, Any]:
    return {column: names[column].get(value, value) if column in names else value for column, value in row.items()}
