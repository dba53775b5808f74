"""Rows of any table, for property tests."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from footring.rows import TABLES, Column, Row, TableSpec

WORDS = st.sampled_from(["a", "b", "Ormsley", "417 M", "ä ö", "'; --", "", "x" * 50]) | st.text(max_size=8)
VALUES: dict[type, st.SearchStrategy[Any]] = {
    str: WORDS,
    int: st.integers(-(2**63) + 1, 2**63 - 1),
    float: st.floats(allow_nan=False),
    bool: st.booleans(),
}


def values(column: Column) -> st.SearchStrategy[Any]:
    some = VALUES[column.type]
    return st.none() | some if column.nullable else some


def rows(spec: TableSpec) -> st.SearchStrategy[Row]:
    return st.builds(spec.row_class, **{column.name: values(column) for column in spec.columns})


def tables_of_rows(max_size: int = 6) -> st.SearchStrategy[tuple[TableSpec, list[Row]]]:
    specs = st.sampled_from(list(TABLES.values()))
    return specs.flatmap(lambda spec: st.tuples(st.just(spec), st.lists(rows(spec), max_size=max_size)))
