"""The columns of a row class as a model's fields: the same names in the database, keys instead of ids."""

from __future__ import annotations

from typing import Any

from django.db import models

from footring.rows import TABLES, Column, TableSpec

ID_LENGTH = 200
_PLAIN: dict[type, type[models.Field]] = {
    str: models.TextField,
    int: models.BigIntegerField,
    float: models.FloatField,
    bool: models.BooleanField,
}


def model_name(table: str) -> str:
    """The name of the model that holds a table: that of its row class."""
    return TABLES[table].row_class.__name__


def fields_of(spec: TableSpec) -> dict[str, models.Field]:
    """One field for each column of a table."""
    return {column.name: _field(column, spec.name) for column in spec.columns}


def _field(column: Column, table: str) -> models.Field:
    if column.name == "id":
        return models.CharField(primary_key=True, max_length=ID_LENGTH)
    if column.refers_to:
        return _key(column, table)
    facts: dict[str, Any] = {"null": column.nullable, "blank": column.nullable}
    if column.choices:
        facts["choices"] = [(word, word.replace("_", " ")) for word in column.choices]
    if not column.required:
        facts["default"] = column.default
    return _PLAIN[column.type](**facts)


def _key(column: Column, table: str) -> models.ForeignKey:
    to = "self" if column.refers_to == table else f"records.{model_name(str(column.refers_to))}"
    later = {"related_name": "later"} if column.name == "supersedes" else {"related_name": "+"}
    return models.ForeignKey(
        to, on_delete=models.PROTECT, db_column=column.name, null=column.nullable, blank=column.nullable, **later
    )
