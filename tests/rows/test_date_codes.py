"""A factory's own date codes as rows of a pack: the same schemes as from the tables that ship."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from importlib.resources import files
from pathlib import Path
from typing import Any

from footring.marks.datecode_fields import GIVES, KINDS
from footring.marks.datecode_schemes import SCANS, Scheme, build_schemes, builtin_schemes
from footring.marks.datecodes import decode
from footring.packs import load_pack
from footring.rows import TABLES, Column, RowTable
from footring.terms.tables import read_table

NAMES = {f"date_code_{part}": f"datecode_{part}.csv" for part in ("schemes", "fields", "tokens")}


def read(name: str) -> tuple[dict[str, str], ...]:
    return read_table("footring.marks", NAMES[name])


def as_table(name: str) -> RowTable:
    """The rows of a shipped table in the types of their columns."""
    columns: dict[str, list[Any]] = {"id": [row.get("id", str(i)) for i, row in enumerate(read(name))]}
    for column in TABLES[name].columns:
        if column.name in read(name)[0]:
            columns[column.name] = [value_of(column, row[column.name]) for row in read(name)]
    return RowTable.from_columns(TABLES[name], columns)


def value_of(column: Column, text: str) -> Any:
    if column.type is bool:
        return text == "yes"
    return column.type(text) if text else None


def as_mappings(table: RowTable) -> Iterator[dict[str, Any]]:
    return (asdict(row) for row in table.rows())


def test_rows_have_every_column_of_the_shipped_tables() -> None:
    for name in NAMES:
        assert set(read(name)[0]) <= {column.name for column in TABLES[name].columns}


def test_the_shipped_schemes_come_out_of_rows_as_they_went_in() -> None:
    made = build_schemes(*(as_mappings(as_table(name)) for name in NAMES))
    assert repr(made) == repr(builtin_schemes())


def test_words_a_row_may_hold_are_those_that_are_read() -> None:
    fields = TABLES["date_code_fields"]
    assert set(fields.column("kind").choices or ()) == set(KINDS)
    assert {*(fields.column("gives").choices or ()), ""} == set(GIVES)
    assert TABLES["date_code_schemes"].column("scan").choices == SCANS


def test_a_pack_carries_a_scheme_of_its_own() -> None:
    tables = load_pack(Path(str(files("footring.demo").joinpath("pack")))).tables
    schemes = build_schemes(*(as_mappings(tables[name]) for name in NAMES))
    mark = "QUILLOW & TARN / MADE IN ENGLAND"
    assert _dates("C4", schemes, mark) == ["1934-04"]
    assert _dates("H", schemes, mark) == ["1939"]
    assert _dates("J4", schemes, mark) == []


def _dates(code: str, schemes: tuple[Scheme, ...], style: str) -> list[str]:
    return [edtf for reading in decode(code, schemes, style=style) for *_, edtf in reading.spans]
