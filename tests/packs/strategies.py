"""Tables whose every cell can be written and read back, for property tests."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

from footring.packs.text import CONTROL
from footring.rows import TABLES, Column, RowTable, TableSpec

LETTERS = st.characters(exclude_categories=("Cs",)).filter(lambda c: not CONTROL.match(c))
SIGNS = st.sampled_from(list("=+-@'\",;\t\r\n 0.1ä—'"))
WORDS = st.text(SIGNS | LETTERS, min_size=1, max_size=12) | st.sampled_from(
    ["\r\n", "'=1", "''", "-5", "+5", "NA", "x,"]
)
IDS = st.text(st.sampled_from("abc.-=+@'\"0,µ "), min_size=1, max_size=6).filter(lambda text: text == text.strip())
DATES = st.sampled_from(["1936", "193X", "[1936..1939~]", "1927/..", "{1936,1938}", "1938-05-12?"])
MOMENTS = st.sampled_from(["2026-03-01", "2026-03-01T14:05:00+00:00"])
NUMBERS: dict[type, st.SearchStrategy[Any]] = {
    int: st.integers(-(2**63) + 1, 2**63 - 1),
    float: st.floats(allow_nan=False, allow_infinity=False),
    bool: st.booleans(),
}


def values(column: Column) -> st.SearchStrategy[Any]:
    if column.choices:
        some: st.SearchStrategy[Any] = st.sampled_from(column.choices)
    elif column.type is not str:
        some = NUMBERS[column.type]
    elif column.name == "id" or column.refers_to or column.refers_by:
        some = IDS
    else:
        some = DATES if column.date else MOMENTS if column.moment else WORDS
        some = some.filter(lambda text: not text.isspace()) if column.required else some
    return st.none() | some if column.nullable else some


def row_tables(spec: TableSpec, max_size: int = 5) -> st.SearchStrategy[RowTable]:
    rows = st.builds(spec.row_class, **{column.name: values(column) for column in spec.columns})
    return st.lists(rows, max_size=max_size).map(lambda rows: RowTable.from_rows(spec, rows))


def packs() -> st.SearchStrategy[dict[str, RowTable]]:
    names = st.lists(st.sampled_from(list(TABLES)), min_size=1, max_size=3, unique=True)
    return names.flatmap(lambda found: st.fixed_dictionaries({name: row_tables(TABLES[name]) for name in found}))
