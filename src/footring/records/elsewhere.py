"""Records that are in PostgreSQL, as one SQLite file: what a backup needs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from django.apps import apps
from django.core.management import call_command
from django.db import DEFAULT_DB_ALIAS, DatabaseError, connection, connections, router, transaction
from django.db.models import Field, Model

from footring.records.bulk import BATCH
from footring.records.models import shelf
from footring.terms.errors import BadInput

BAG = "bag"
"""What the file is called while it is written."""


def copy_records(file: Path) -> None:
    """Every record, as of one moment, into a new file; the shelf is left out, since it is made anew when it is opened.

    Raises
    ------
    BadInput
        The database cannot be read, or is of another version.
    """
    try:
        with transaction.atomic():
            connection.cursor().execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
            with _opened(file):
                _fill()
    except DatabaseError as error:
        raise BadInput(f"the records cannot be read: {str(error).strip().splitlines()[0]}") from error


@contextmanager
def _opened(file: Path) -> Iterator[None]:
    """The file with every table in it, beside the database."""
    described = {"ENGINE": "django.db.backends.sqlite3", "NAME": file}
    connections.settings[BAG] = connections.configure_settings({DEFAULT_DB_ALIAS: described})[DEFAULT_DB_ALIAS]
    try:
        with _alone():
            call_command("migrate", database=BAG, interactive=False, verbosity=0)
        yield
    finally:
        connections[BAG].close()
        del connections[BAG], connections.settings[BAG]


class _IntoTheBag:
    def db_for_read(self, *_: object, **__: object) -> str:
        return BAG

    db_for_write = db_for_read


@contextmanager
def _alone() -> Iterator[None]:
    """Whatever names no database means the file: some migrations, others' too, would change the society's records."""
    router.routers = [_IntoTheBag()]
    try:
        yield
    finally:
        del router.routers


def _fill() -> None:
    with connections[BAG].constraint_checks_disabled(), transaction.atomic(BAG):
        for model in _models():
            _copy(model)
    connections[BAG].check_constraints()


def _models() -> list[type[Model]]:
    made_anew = {shelf.Shelved, shelf.Word}
    models = apps.get_models(include_auto_created=True)
    return [model for model in models if model._meta.managed and model not in made_anew]


def _copy(model: type[Model]) -> None:
    """All rows of a table in place of those that come with a new one."""
    quote, fields = connections[BAG].ops.quote_name, model._meta.concrete_fields
    names, gaps = ", ".join(quote(field.column) for field in fields), ", ".join(["%s"] * len(fields))
    table = quote(model._meta.db_table)
    with connections[BAG].cursor() as cursor:
        cursor.execute(f"DELETE FROM {table}")
        cursor.executemany(f"INSERT INTO {table} ({names}) VALUES ({gaps})", _rows(model, fields))


def _rows(model: type[Model], fields: Sequence[Field]) -> Iterator[list[object]]:
    into = connections[BAG]
    for row in model._base_manager.values_list(*(field.attname for field in fields)).iterator(BATCH):
        yield [field.get_db_prep_save(value, into) for field, value in zip(fields, row, strict=True)]
