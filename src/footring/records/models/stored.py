"""One model for each table of rows, made from the row class itself, so that the two cannot drift apart."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db import models

from footring.records.columns import fields_of, model_name
from footring.records.models.history import Act
from footring.rows import TABLES, Row, TableSpec


class StoredRows(models.QuerySet["Stored"]):
    """Rows of one table."""

    def current(self) -> StoredRows:
        """Those that nothing supersedes; things are never superseded."""
        return self.filter(later=None) if self.model.SPEC.kind == "statement" else self


class Stored(models.Model):
    """A row as it is stored: its columns, and the act that wrote it last.

    `added_in` is the act that it came with; a thing that was changed since was `written_in` a later one.
    """

    SPEC: ClassVar[TableSpec]
    added_in = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="+")
    written_in = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="+", db_index=False)
    objects = StoredRows.as_manager()

    class Meta:
        abstract = True

    def __str__(self) -> str:
        called = (getattr(self, name, None) for name in ("name", "lettering", "device", "trade_size", "code", "title"))
        return str(next(filter(None, called), self.pk))

    def values(self) -> dict[str, Any]:
        """What stands in each column; ids where it refers to another row."""
        return {column.name: getattr(self, attribute(column.name, self.SPEC)) for column in self.SPEC.columns}

    def row(self) -> Row:
        """The row as it is exchanged."""
        return self.SPEC.row_class(**self.values())

    @classmethod
    def of(cls, row: Row, act: Act) -> Stored:
        """A row to be stored by an act."""
        given = {attribute(c.name, cls.SPEC): getattr(row, c.name) for c in cls.SPEC.columns}
        return cls(**given, added_in=act, written_in=act)


def attribute(column: str, spec: TableSpec) -> str:
    """Where a model keeps the value of a column; that of a key is its id."""
    return f"{column}_id" if spec.column(column).refers_to else column


def _model(spec: TableSpec) -> type[Stored]:
    meta = type("Meta", (), {"db_table": spec.name, "app_label": "records"})
    body = {"__module__": __name__, "__doc__": spec.row_class.__doc__, "Meta": meta, "SPEC": spec}
    return type(model_name(spec.name), (Stored,), body | fields_of(spec))


MODELS: dict[str, type[Stored]] = {name: _model(spec) for name, spec in TABLES.items()}
"""The model of each table, in the order of the tables."""
