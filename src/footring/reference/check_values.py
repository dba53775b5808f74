"""Faults a single value can have."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from footring.reference.added import Added
from footring.reference.faults import Fault, Nearest
from footring.rows import TABLES, Column, ColumnData
from footring.terms.dates import parse_edtf
from footring.terms.errors import BadInput

_DAY = re.compile(r"[12]\d{3}-(0[1-9]|1[0-2])-(0[1-9]|1\d|2[0-8])", re.ASCII)
"""The commonest dates, for which nothing more need be read."""


def value_faults(added: Added) -> Iterator[Fault]:
    """What is missing, empty, not a date, not among the choices or out of bounds."""
    for column in added.rows.spec.columns:
        data = added.rows.column(column.name)
        if not column.nullable:
            yield from added.faults("required value missing", ~data.known, column.name, "a value")
        if data.vocabulary is not None:
            yield from _text_faults(added, column, data)
        elif column.type is not bool:
            yield from _number_faults(added, column, data)


def _text_faults(added: Added, column: Column, data: ColumnData) -> Iterator[Fault]:
    if (blank := np.flatnonzero(data.vocabulary == "")).size:
        yield from added.faults("empty text", np.isin(data.values, blank), column.name, "text, or None for not known")
    if column.choices:
        yield from _choice_faults(added, column, data, column.choices, "unknown word")
    elif any(other.refers_by == column.name for other in added.rows.spec.columns):
        yield from _choice_faults(added, column, data, tuple(TABLES), "unknown table")
    if column.date:
        yield from _word_faults(added, column, data, "impossible date", "an EDTF date", _date)
    if column.moment:
        yield from _word_faults(added, column, data, "impossible moment", "an ISO 8601 day, or day and time", _moment)


def _choice_faults(
    added: Added, column: Column, data: ColumnData, choices: tuple[str, ...], kind: str
) -> Iterator[Fault]:
    assert data.vocabulary is not None
    strange = np.array([word not in choices and word != "" for word in data.vocabulary.tolist()], bool)
    where = _rows_of(data, strange)
    if where.any():
        expected = "one of " + ", ".join(choices) if len(choices) < 20 else "the name of a table"
        yield from added.faults(kind, where, column.name, expected, Nearest(choices).suggestion)


def _rows_of(data: ColumnData, words: NDArray[np.bool_]) -> NDArray[np.bool_]:
    where: NDArray[np.bool_] = np.append(words, False)[data.values]
    return where


def _word_faults(
    added: Added, column: Column, data: ColumnData, kind: str, expected: str, read: Callable[[str], object]
) -> Iterator[Fault]:
    assert data.vocabulary is not None
    why = {word: reason for word in data.vocabulary.tolist() if (reason := _why_not(word, read)) is not None}
    if why:
        strange = np.array([word in why for word in data.vocabulary.tolist()], bool)
        yield from added.faults(kind, _rows_of(data, strange), column.name, expected, why.get)


def _why_not(word: str, read: Callable[[str], object]) -> str | None:
    try:
        read(word) if word else None
    except BadInput as error:
        return str(error).partition(": ")[2] or str(error)
    except ValueError:
        return "write it as 2026-03-01 or 2026-03-01T14:05:00+00:00"
    return None


def _date(word: str) -> object:
    return _DAY.fullmatch(word) or parse_edtf(word)


def _moment(word: str) -> object:
    return datetime.fromisoformat(word)


def _number_faults(added: Added, column: Column, data: ColumnData) -> Iterator[Fault]:
    values, known = data.values, data.known
    if column.type is float:
        yield from added.faults("not a finite number", np.isinf(values), column.name, "a finite number")
        known = known & np.isfinite(values)
    if column.between:
        low, high = column.between
        out = known & ~((values > low) & (values < high))
        yield from added.faults("out of bounds", out, column.name, f"more than {low:g} and less than {high:g}")
    if column.within:
        low, high = column.within
        out = known & ~((values >= low) & (values <= high))
        yield from added.faults("out of bounds", out, column.name, f"from {low:g} to {high:g}")
