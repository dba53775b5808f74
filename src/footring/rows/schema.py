"""The tables and their columns, read off the row classes themselves."""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, Field, dataclass, fields
from functools import cached_property
from typing import Any, Union, get_args, get_origin, get_type_hints

from footring.rows import collection, reference_things, statements
from footring.rows.base import Row
from footring.terms.errors import UnknownName

Scalar = str | int | float | bool | None


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table.

    Parameters
    ----------
    name : str
        Its unit, if any, at the end (`across_mm`).
    type : type
        str, int, float or bool.
    required : bool
        Whether a row cannot be made without it.
    nullable : bool
        Whether None (not known) may stand in it.
    default : str, int, float, bool or None
        What stands in it when nothing is given.
    refers_to : str or None
        The table whose ids it holds.
    refers_by : str or None
        The column beside it that says which table's ids it holds.
    date, moment : bool
        Whether it holds an EDTF date, or an ISO 8601 day or day and time.
    choices : tuple of str or None
        The only words it may hold.
    key : bool
        Whether it belongs to the table's natural key.
    between, within : (float, float) or None
        Bounds, excluded and included.
    """

    name: str
    type: type
    required: bool
    nullable: bool
    default: Scalar
    refers_to: str | None = None
    refers_by: str | None = None
    date: bool = False
    moment: bool = False
    choices: tuple[str, ...] | None = None
    key: bool = False
    between: tuple[float, float] | None = None
    within: tuple[float, float] | None = None


@dataclass(frozen=True)
class TableSpec:
    """A table: its name (also that of its CSV file), its row class, "thing" or "statement", and its columns."""

    name: str
    row_class: type[Row]
    kind: str
    columns: tuple[Column, ...]

    def column(self, name: str) -> Column:
        """The column with this name.

        Raises
        ------
        UnknownName
            There is none.
        """
        found = next((column for column in self.columns if column.name == name), None)
        if found is None:
            names = ", ".join(column.name for column in self.columns)
            raise UnknownName(f"table {self.name} has no column {name!r}; it has {names}")
        return found

    @cached_property
    def key(self) -> tuple[Column, ...]:
        """The columns that together occur once among the current rows; empty when only the id does."""
        return tuple(column for column in self.columns if column.key)


LAST = ("supersedes", "recorded_at", "recorded_by", "private")


def _columns(row_class: type[Row]) -> tuple[Column, ...]:
    hints = get_type_hints(row_class)
    found = [_column(field, hints[field.name], row_class.TABLE) for field in fields(row_class)]
    return tuple(sorted(found, key=lambda column: LAST.index(column.name) + 1 if column.name in LAST else 0))


def _column(field: Field[Any], hint: Any, table: str) -> Column:
    nullable = get_origin(hint) in (Union, types.UnionType)
    required = field.default is MISSING
    default: Any = None if required else field.default
    facts = dict(field.metadata)
    if facts.get("refers_to") == "":
        facts["refers_to"] = table
    kind = next(arm for arm in get_args(hint) if arm is not type(None)) if nullable else hint
    return Column(field.name, kind, required, nullable, default, **facts)


def _row_classes() -> Iterator[type[Row]]:
    for module in (reference_things, statements, collection):
        for found in vars(module).values():
            if isinstance(found, type) and issubclass(found, Row) and found.TABLE:
                yield found


TABLES: Mapping[str, TableSpec] = types.MappingProxyType(
    {cls.TABLE: TableSpec(cls.TABLE, cls, cls.KIND, _columns(cls)) for cls in _row_classes()}
)
"""Every table by name, in a fixed order: a table stands after those it is about."""

COLLECTION = frozenset(name for name, spec in TABLES.items() if spec.row_class.__module__ == collection.__name__)
"""Tables of one collection; all others are of the reference."""


def spec_of(row: Row) -> TableSpec:
    """The table a row belongs to."""
    return TABLES[row.TABLE]
