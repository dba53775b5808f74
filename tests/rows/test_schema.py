from __future__ import annotations

import dataclasses
import re
from typing import get_type_hints

import pytest

from footring.rows import TABLES, TableSpec, spec_of
from footring.rows.reference_things import Form
from footring.terms.errors import UnknownName

EVERY_TABLE = pytest.mark.parametrize("spec", TABLES.values(), ids=TABLES.keys())


@EVERY_TABLE
def test_a_class_is_its_own_schema(spec: TableSpec) -> None:
    hints = get_type_hints(spec.row_class)
    assert {c.name for c in spec.columns} == {f.name for f in dataclasses.fields(spec.row_class)}
    assert spec.columns[0].name == "id"
    for column in spec.columns:
        assert column.type in (str, int, float, bool)
        assert hints[column.name] == (column.type | None if column.nullable else column.type)
        assert column.required == (column.default is None and not column.nullable)


@EVERY_TABLE
def test_every_reference_names_a_table(spec: TableSpec) -> None:
    for column in spec.columns:
        assert column.refers_to is None or column.refers_to in TABLES
        if column.refers_by is not None:
            assert spec.column(column.refers_by).type is str
        if column.refers_to or column.refers_by or column.date or column.moment or column.choices:
            assert column.type is str


@EVERY_TABLE
def test_rows_are_frozen_slotted_and_scalar(spec: TableSpec) -> None:
    made = spec.row_class("x", **{c.name: _some(c.type) for c in spec.columns if c.required and c.name != "id"})
    assert not hasattr(made, "__dict__")
    with pytest.raises(dataclasses.FrozenInstanceError, match="cannot assign to field 'id'"):
        made.id = "y"  # type: ignore[misc]
    assert spec_of(made) is spec
    assert (made.recorded_at, made.recorded_by, made.private) == (None, None, spec.name == "notes")
    assert hasattr(made, "supersedes") == (spec.kind == "statement")
    left_out = [c for c in spec.columns if not c.required]
    assert all(getattr(made, c.name) == c.default for c in left_out)


def _some(kind: type) -> object:
    return {str: "x", int: 1, float: 1.0, bool: True}[kind]


@EVERY_TABLE
def test_names_are_plain(spec: TableSpec) -> None:
    for name in (spec.name, *(c.name for c in spec.columns)):
        assert re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", name)
    assert spec.kind in ("thing", "statement")


def test_a_table_stands_after_those_it_refers_to() -> None:
    seen: set[str] = set()
    for spec in TABLES.values():
        seen.add(spec.name)
        assert {c.refers_to for c in spec.columns if c.refers_to} <= seen


def test_rooms_hold_every_table_of_the_plan() -> None:
    plan = """makers lines moulds forms sizes telltales goes_with bodies glazes decorations placements trims numbers marks
    mark_uses date_code_schemes labels customers hands productions names sources lineages claims resolutions people
    instruments channels outings encounters pieces parts readings corrections rejections attributions findings photographs
    conditions prices places acquisitions leach_results talks letters notes"""
    assert set(plan.split()) <= set(TABLES)


def test_an_unknown_column_is_named() -> None:
    with pytest.raises(UnknownName, match="table forms has no column 'nme'; it has id, line, name"):
        TABLES["forms"].column("nme")
    assert [c.name for c in TABLES["numbers"].key] == ["line", "code", "era"]
    assert Form("ossel.f1", line="ossel.ormsley", name="cup").mould is None
