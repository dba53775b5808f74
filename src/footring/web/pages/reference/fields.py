"""A row as a form: one field for each column, read back with every fault beside the field that has it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from footring.records.models import MODELS, Stored, User
from footring.reference import ReferenceFaults
from footring.rows import TABLES, Column
from footring.terms.errors import BadInput
from footring.terms.phrases import parse_when
from footring.terms.units import in_inches, parse_capacity, parse_length
from footring.web.pages.reference.called import RELATED, called, in_full, meant, meant_thing

NOT_ASKED = ("id", "supersedes", "recorded_at", "recorded_by")
LASTED = ("made", "used", "active", "era")
"""Dates of which a bare range is read as years that something lasted."""
_HINTS = {
    "date": "1934, about 1934, 1934-39, between 1928 and 1935", "mm": "184 mm or 7 1/4 in", "ml": "215 ml or 1 pint",
}  # fmt: skip


@dataclass(frozen=True)
class Field:
    """One column to be filled in.

    Parameters
    ----------
    column : Column
    kind : {"text", "long", "choice", "name", "thing", "tick"}
    value : str
        As it stands, or as it was typed.
    problem : str
        What is wrong with it; empty where nothing is.
    """

    column: Column
    kind: str
    value: str
    problem: str = ""

    @property
    def label(self) -> str:
        """What the field is called."""
        name = self.column.name
        return name.removesuffix("_mm").removesuffix("_ml").replace("_", " ").capitalize()

    @property
    def choices(self) -> list[tuple[str, str]]:
        """What may be chosen, not known first."""
        words = self.column.choices or ("yes", "no")
        empty = [] if self.column.required else [("", "not known")]
        return [*empty, *((word, word.replace("_", " ")) for word in words)]

    @property
    def hint(self) -> str:
        """How it may be written."""
        return _HINTS["date"] if self.column.date else _HINTS.get(self.column.name[-2:], "")

    @property
    def offered(self) -> str:
        """The table whose names are offered."""
        return "things" if self.kind == "thing" else str(self.column.refers_to)


def asked_columns(table: str) -> list[Column]:
    """Columns that a person fills in; the table of a thing named in another column goes with it."""
    by = {column.refers_by for column in TABLES[table].columns}
    return [column for column in TABLES[table].columns if column.name not in (*NOT_ASKED, *by)]


def fields_of(table: str, values: Mapping[str, str], problems: Mapping[str, str]) -> list[Field]:
    """The form of a table."""
    return [Field(c, _kind(c), values.get(c.name, ""), problems.get(c.name, "")) for c in asked_columns(table)]


def _kind(column: Column) -> str:
    if column.name == "private":
        return "tick"
    if column.choices or column.type is bool:
        return "choice"
    return "thing" if column.refers_by else "name" if column.refers_to else "text"


def as_typed(row: Stored, user: User) -> dict[str, str]:
    """What stands in each column, as one would type it."""
    return {column.name: _typed(row, column, user) for column in asked_columns(row.SPEC.name)}


def _typed(row: Stored, column: Column, user: User) -> str:
    value = getattr(row, column.name)
    if value is None or (value is False and column.name == "private"):
        return ""
    if column.refers_by:
        return in_full(_named(getattr(row, column.refers_by), value))
    if isinstance(value, Stored):
        return called(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float) and column.name.endswith("_mm"):
        return in_inches(value) if user.inches else f"{value:g} mm"
    return f"{value:g}" + (" ml" if column.name.endswith("_ml") else "") if isinstance(value, float) else str(value)


def _named(table: str, key: str) -> Stored:
    return MODELS[table].objects.select_related(*RELATED.get(table, ())).get(pk=key)


def read_form(table: str, given: Mapping[str, str], user: User) -> tuple[dict[str, Any], dict[str, str]]:
    """Values of a row from what was typed, and what is wrong with any of it, by column."""
    values: dict[str, Any] = {}
    problems: dict[str, str] = {}
    for column in asked_columns(table):
        text = given.get(column.name, "").strip()
        try:
            values |= _value(column, text, user)
        except BadInput as error:
            problems[column.name] = str(error)
    return values, problems


def _value(column: Column, text: str, user: User) -> dict[str, Any]:
    if column.name == "private":
        return {"private": bool(text)}
    if not text:
        if column.required:
            raise BadInput(
                f"nothing was given for {column.name.replace('_', ' ')}, and the row cannot stand without it"
            )
        return {column.name: column.default}
    if column.refers_by:
        thing = meant_thing(text, user)
        return {column.refers_by: thing.SPEC.name, column.name: thing.pk}
    return {column.name: _plain(column, text, user)}


def _plain(column: Column, text: str, user: User) -> Any:
    if column.refers_to:
        return meant(column.refers_to, text, user).pk
    if column.date:
        return str(parse_when(text, lasted=column.name in LASTED))
    if column.name.endswith("_mm"):
        return parse_length(text).mm
    if column.name.endswith("_ml"):
        return parse_capacity(text).ml
    if column.type is bool:
        return text == "yes"
    return text if column.type is str else _number(column, text)


def _number(column: Column, text: str) -> float | int:
    try:
        return column.type(text.replace(",", "."))
    except ValueError:
        kind = "a whole number" if column.type is int else "a number"
        raise BadInput(f"given “{text}”, expected {kind}") from None


def beside(faults: ReferenceFaults) -> dict[str, str]:
    """What the check of a pack says, beside the column that it says it of; "" for the row as a whole."""
    told: dict[str, str] = {}
    for fault in faults.faults:
        tail = f"; {fault.suggestion}" if fault.suggestion else ""
        told[fault.column or ""] = f"{fault.kind}: given {fault.given}; expected {fault.expected}{tail}"
    return told
