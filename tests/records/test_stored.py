"""Stored models hold the columns of the rows, no more and no fewer, and the migrations make them."""

from pathlib import Path

import pytest
from django.core.management import call_command

from footring.demo import __file__ as demo
from footring.packs import load_pack
from footring.records.models import MODELS, Act
from footring.records.models.stored import attribute
from footring.records.packs import bring_in_pack
from footring.records.snapshot import snapshot
from footring.reference import compile_reference
from footring.rows import TABLES

PACK = demo.replace("__init__.py", "pack")
OURS = {"added_in", "written_in"}


@pytest.mark.parametrize("table", list(TABLES))
def test_a_model_has_the_columns_of_its_row_class(table):
    fields = {field.name: field for field in MODELS[table]._meta.concrete_fields}
    assert set(fields) - OURS == {column.name for column in TABLES[table].columns}
    for column in TABLES[table].columns:
        field = fields[column.name]
        assert field.null == (column.nullable and not field.primary_key), column.name
        assert field.column == column.name, "the database has the rows' own names"
        assert field.attname == attribute(column.name, TABLES[table])


@pytest.mark.django_db
def test_the_migrations_make_what_the_models_say():
    call_command("makemigrations", "--check", "--dry-run", verbosity=0)


@pytest.mark.django_db
def test_a_pack_brought_in_is_the_same_reference():
    bring_in_pack(Path(PACK), None)
    tables = load_pack(PACK).tables
    assert len(compile_reference(snapshot()).counts.cells) == len(compile_reference(tables).counts.cells)
    for name, table in snapshot().items():
        given = sorted(tables[name].rows(), key=lambda row: row.id) if name in tables else []
        assert [(r.id, r.private) for r in table.rows()] == [(r.id, r.private) for r in given]
        same = [c.name for c in TABLES[name].columns if c.name not in ("recorded_at", "recorded_by")]
        assert [[getattr(r, c) for c in same] for r in table.rows()] == [[getattr(r, c) for c in same] for r in given]
    assert Act.objects.count() == 1
