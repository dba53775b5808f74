"""The values of one column as an array."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import repeat
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.rows.schema import Column, Scalar
from footring.terms.errors import BadInput

UNKNOWN_INT = int(np.iinfo(np.int64).min)
"""What stands in a whole-number column where nothing is known."""
_ACCEPTS: dict[type, set[type]] = {str: {str}, int: {int}, float: {float, int}, bool: {bool}}
_UNKNOWN = {str: -1, int: UNKNOWN_INT, float: np.nan, bool: -1}
_STORED: dict[type, Any] = {str: np.int32, int: np.int64, float: np.float64, bool: np.int8}


@dataclass(frozen=True, slots=True, eq=False)
class ColumnData:
    """One column: numbers, or codes into a vocabulary.

    Parameters
    ----------
    type : type
        str, int, float or bool.
    values : array, shape (rows,), read-only
        str: int32 codes, unknown -1. int: int64, unknown `UNKNOWN_INT`. float: float64, unknown NaN.
        bool: int8 0 or 1, unknown -1.
    vocabulary : object array of str, read-only, or None
        What the codes of a str column stand for, each string once, in no particular order; else None.
    """

    type: type
    values: NDArray[Any]
    vocabulary: NDArray[np.object_] | None = None

    def __len__(self) -> int:
        return len(self.values)

    @property
    def known(self) -> NDArray[np.bool_]:
        """Which rows have a value."""
        known: NDArray[np.bool_] = ~np.isnan(self.values) if self.type is float else self.values != _UNKNOWN[self.type]
        return known

    def value(self, i: int) -> Scalar:
        """The value in row i; None where unknown."""
        if not self.known[i]:
            return None
        stored: Scalar = self.type(self.values[i]) if self.vocabulary is None else self.vocabulary[self.values[i]]
        return stored

    def tolist(self) -> list[Any]:
        """All values; None where unknown."""
        if self.vocabulary is not None:
            out = self.vocabulary[self.values] if len(self.vocabulary) else np.empty(len(self), object)
            out[self.values < 0] = None
            return list(out.tolist())
        stored = self.values.astype(bool) if self.type is bool else self.values
        out = stored.astype(object)
        out[~self.known] = None
        return list(out.tolist())

    def take(self, where: Any) -> ColumnData:
        """The rows at an index array, a mask or a slice, the vocabulary shared."""
        return ColumnData(self.type, frozen(self.values[where]), self.vocabulary)

    def same_as(self, other: ColumnData) -> bool:
        """Whether every row holds the same value, whatever the order of the vocabularies."""
        if self.type is not other.type or len(self) != len(other):
            return False
        if self.vocabulary is None or other.vocabulary is None:
            return bool(np.array_equal(self.values, other.values, equal_nan=self.type is float))
        return self.tolist() == other.tolist()


def frozen(array: NDArray[Any]) -> NDArray[Any]:
    """The same array, not to be written to."""
    array.setflags(write=False)
    return array


def unknown_column(column: Column, rows: int) -> ColumnData:
    """A column of its default throughout."""
    if column.default is not None:
        return column_data(column, [column.default] * rows)
    vocabulary = frozen(np.empty(0, object)) if column.type is str else None
    return ColumnData(column.type, frozen(np.full(rows, _UNKNOWN[column.type], _STORED[column.type])), vocabulary)


def column_data(column: Column, given: Any) -> ColumnData:
    """A column from a sequence or array of values (None or NaN: unknown), or from a `ColumnData` as it is.

    Raises
    ------
    BadInput
        A value is not of the column's type, or a whole number does not fit into 64 bits.
    """
    if isinstance(given, ColumnData):
        return _checked(column, given)
    if isinstance(given, np.ndarray) and given.dtype.kind in {int: "i", float: "fiu", bool: "b"}.get(column.type, ""):
        return ColumnData(column.type, frozen(given.astype(_STORED[column.type])))
    values = given.tolist() if isinstance(given, np.ndarray) else given if isinstance(given, list) else list(given)
    _check_types(column, values)
    if column.type is str:
        return ColumnData(str, *encode(values))
    return ColumnData(column.type, _numbers(column, values))


def coded(codes: NDArray[np.integer[Any]], vocabulary: Sequence[str]) -> ColumnData:
    """A str column from codes (-1: unknown) and what they stand for.

    Raises
    ------
    BadInput
        A code without a string, or a string twice.
    """
    words = np.empty(len(vocabulary), object)
    words[:] = vocabulary
    return _checked(None, ColumnData(str, frozen(np.array(codes, np.int32)), frozen(words)))


def encode(values: Sequence[str | None]) -> tuple[NDArray[Any], NDArray[np.object_]]:
    """Codes of the values, and the vocabulary in the order first seen."""
    index: dict[str | None, int] = dict.fromkeys(values, 0)
    index.pop(None, None)
    words = np.empty(len(index), object)
    words[:] = list(index)
    index = dict(zip(index, range(len(index)), strict=True))
    return frozen(np.fromiter(map(index.get, values, repeat(-1)), np.int32, len(values))), frozen(words)


def joined(pieces: Sequence[ColumnData]) -> ColumnData:
    """Several columns of one type below each other."""
    kind = pieces[0].type
    if kind is not str:
        return ColumnData(kind, frozen(np.concatenate([piece.values for piece in pieces])))
    words = [piece.vocabulary for piece in pieces if piece.vocabulary is not None]
    index, vocabulary = encode(np.concatenate(words).tolist())
    starts = np.cumsum([0, *map(len, words)])
    codes = [np.append(index[a : a + len(w)], -1)[p.values] for p, a, w in zip(pieces, starts, words, strict=False)]
    return ColumnData(str, frozen(np.concatenate(codes).astype(np.int32)), vocabulary)


def _numbers(column: Column, values: list[Any]) -> NDArray[Any]:
    unknown = _UNKNOWN[column.type]
    plain = [unknown if value is None else value for value in values] if None in values else values
    try:
        return frozen(np.array(plain, _STORED[column.type]))
    except OverflowError:
        raise BadInput(f"column {column.name}: a number too large to keep; expected one below 9e18") from None


def _check_types(column: Column, values: list[Any]) -> None:
    strange: set[type] = set(map(type, values)) - _ACCEPTS[column.type] - {type(None)}
    if strange:
        i = next(i for i, value in enumerate(values) if type(value) in strange)
        expected = {str: "text", int: "a whole number", float: "a number", bool: "True or False"}[column.type]
        raise BadInput(f"column {column.name}, row {i}: {values[i]!r} is not {expected}; None stands for not known")


def _checked(column: Column | None, given: ColumnData) -> ColumnData:
    if column is not None and column.type is not given.type:
        raise BadInput(f"column {column.name} holds {column.type.__name__}, and was given {given.type.__name__} data")
    if given.vocabulary is not None and column is None:
        bottom, top = (given.values.min(), given.values.max()) if len(given) else (-1, -1)
        if bottom < -1 or top >= len(given.vocabulary):
            last = len(given.vocabulary) - 1
            raise BadInput(f"codes from {bottom} to {top} for {last + 1} words; expected -1 (not known) to {last}")
        if len(set(given.vocabulary.tolist())) < len(given.vocabulary):
            raise BadInput("a vocabulary names a word twice; give each once, and its code wherever it stands")
    return given
