"""The readings of a reference, each beside what its piece is known to be."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from footring.marks.readings import read_reading
from footring.reasoning.channels.naming import SPEAKS_OF
from footring.reference import Reference
from footring.rows import ColumnData
from footring.terms.errors import BadInput

STEP = 2**44
"""Weights are whole numbers of this to a piece: they can be shared out twice and still be summed exactly."""
SHARE = 2**12
_GRAIN = 2**20
_TABLE_OF = {
    **{reading: table for reading, (_, table) in SPEAKS_OF.items()},
    "feature": "forms", "across": "sizes", "height": "sizes", "capacity": "sizes",
}  # fmt: skip
_LINK = {
    "lines": "line", "forms": "form", "sizes": "size", "bodies": "body", "glazes": "glaze",
    "decorations": "decoration", "trims": "trim", "customers": "customer",
}  # fmt: skip
Indices = NDArray[np.intp]


def steps(weight: float) -> int:
    """A weight in steps."""
    return round(weight * _GRAIN) * (STEP // _GRAIN)


class Seen(NamedTuple):
    """Readings that are alike: value typed, whether absent, how sure, the row of the truth (-1 not known), weight.

    The weight is in steps of 1 / `STEP`.
    """

    value: str
    absent: bool
    sure: float
    truth: int
    weight: int


@dataclass(frozen=True, eq=False)
class Rows:
    """Current readings of some pieces, sorted by what was read.

    Parameters
    ----------
    reference : Reference
        What is known.
    by_name : mapping of str to int array
        Rows of the table `readings` by the name of the reading.
    attribution : int array, shape (readings,)
        Row of the settled attribution of the piece or part of each reading, -1 for none.
    index : int array, shape (readings,)
        Which of several readings of one name.
    """

    reference: Reference
    by_name: dict[str, Indices]
    attribution: Indices
    index: Indices

    def ids(self, reading: str) -> list[str]:
        """Ids of the rows that a kind of reading speaks of."""
        return list(self.reference.tables[_TABLE_OF[reading]].text("id").tolist())

    def of(self, reading: str) -> Iterator[Seen]:
        """The readings of one kind, those that are alike together, in a fixed order."""
        rows = self.standing(reading)
        yield from self._alike(rows, self.truth(_TABLE_OF[reading], rows))

    def alike_untold(self, reading: str) -> Iterator[Seen]:
        """The readings of one kind that no attribution speaks of."""
        rows = self.standing(reading)
        yield from self._alike(rows, np.full(len(rows), -1))

    def standing(self, reading: str) -> Indices:
        """The readings of one kind that nothing has replaced."""
        rows = self.by_name.get(reading, np.empty(0, np.intp))
        return rows[self.reference.tables["readings"].current[rows]]

    def mark(self, where: str, rows: Indices) -> Indices:
        """Row of the mark that each piece is known to bear there ("in_clay", "printed"), -1 not known."""
        links = self.reference.tables["attributions"].links
        return _taken(links["mark_" + where], self.attribution[rows])

    def place(self, row: int) -> tuple[int, int, int]:
        """Piece, part and index of one reading: the same for a mark and what is said of it."""
        links = self.reference.tables["readings"].links
        return int(links["piece"][row]), int(links["part"][row]), int(self.index[row])

    def _alike(self, rows: Indices, truth: Indices) -> Iterator[Seen]:
        if len(rows) == 0:
            return
        values, absent, sure = self._values
        words = values.vocabulary
        keys = np.stack([values.values[rows], absent[rows], np.rint(sure[rows] * 1e6).astype(np.int64), truth], axis=1)
        each, which = np.unique(keys, axis=0, return_inverse=True)
        weights = np.bincount(which.ravel(), np.rint(self.weight(rows) * _GRAIN), len(each))
        for (code, none, p, row), weight in zip(each.tolist(), weights.tolist(), strict=True):
            typed = "" if code < 0 or words is None else str(words[code])
            read = _as_typed(typed, bool(none), p / 1e6)
            if read is not None:
                yield Seen(*read, row, round(weight) * (STEP // _GRAIN))

    def truth(self, table: str, rows: Indices) -> Indices:
        """Row of a table that the piece of each reading is known to be, -1 not known."""
        links = self.reference.tables["attributions"].links
        at = self.attribution[rows]
        if table == "makers":
            line = np.where(at >= 0, _taken(links["line"], at), -1)
            return _taken(self.reference.tables["lines"].links["maker"], line)
        return _taken(links[_LINK[table]], at)

    def weight(self, rows: Indices) -> NDArray[np.float64]:
        """What each reading counts for: the weight of its attribution, or 1."""
        given = self.reference.tables["attributions"].numbers["weight"]
        at = self.attribution[rows]
        weight: NDArray[np.float64] = np.where(at >= 0, np.append(given, 1.0)[at], 1.0)
        return weight

    def corrected(self, reading: str) -> list[tuple[str, str]]:
        """What was typed and what it should have been, of readings whose piece is not attributed otherwise."""
        table = self.reference.tables["corrections"]
        rows = np.flatnonzero(table.current)
        of = table.links["reading"][rows].astype(np.intp)
        right = table.text("value")
        wanted = set(self.by_name.get(reading, np.empty(0, np.intp)).tolist())
        settled = self.truth(_TABLE_OF[reading], of) >= 0 if len(of) else np.empty(0, bool)
        out = []
        for row, read, known in zip(rows.tolist(), of.tolist(), settled.tolist(), strict=True):
            typed, should = _text(self._values[0], read), _text(right, row)
            if read in wanted and not known and typed and should:
                out.append((typed, should))
        return sorted(out)

    @cached_property
    def _values(self) -> tuple[Any, NDArray[np.int64], NDArray[np.float64]]:
        table = self.reference.tables["readings"]
        sure = np.nan_to_num(table.numbers["sure"].astype(float), nan=1.0)
        return table.text("value"), (table.numbers["absent"] == 1).astype(np.int64), sure

    def typed(self, row: int) -> tuple[str, bool]:
        """The value of one reading, and whether it is absent."""
        values, absent, _ = self._values
        return _text(values, row), bool(absent[row])


def _text(column: ColumnData, row: int) -> str:
    """One value, empty where it is not known; `ColumnData.value` would look at the whole column."""
    code = int(column.values[row])
    return "" if code < 0 or column.vocabulary is None else str(column.vocabulary[code])


def _as_typed(value: str, absent: bool, sure: float) -> tuple[str, bool, float] | None:
    """Value, absence and doubt, which may also stand in the value as it is typed; None for nothing at all."""
    if absent:
        return "", True, sure
    read = read_reading("line", value)
    return None if read is None else (read.value, read.absent, min(sure, read.p))


def _taken(values: NDArray[np.int32], at: Indices) -> Indices:
    found: Indices = np.append(values, np.int32(-1))[at].astype(np.intp)
    return found


def heard(reference: Reference, pieces: NDArray[np.bool_] | None = None) -> Rows:
    """The readings of all pieces, or of some, with the attribution of each.

    A piece or part is settled when just one confirmed attribution of it stands. A reading of a lid that was not
    attributed apart says nothing of what the piece is known to be.
    """
    table = reference.tables["readings"]
    piece = table.links["piece"]
    chosen = table.current & (piece >= 0)
    if pieces is not None:
        chosen &= pieces[piece]
    chosen |= _superseded_but_corrected(reference, pieces)
    names = table.text("name")
    parsed = [_parsed(str(name)) for name in (names.vocabulary if names.vocabulary is not None else [])]
    by_name: dict[str, list[Indices]] = {}
    index = np.ones(len(table), np.intp)
    attribution = np.where(table.current, _settled(reference), -1)
    for code, name in enumerate(parsed):
        rows = np.flatnonzero(chosen & (names.values == code))
        if name is None or len(rows) == 0:
            continue
        by_name.setdefault(name[0], []).append(rows)
        index[rows] = name[2]
        if name[1] == "lid":
            attribution[rows] = -1
    return Rows(reference, {name: np.sort(np.concatenate(rows)) for name, rows in by_name.items()}, attribution, index)


def _parsed(name: str) -> tuple[str, str | None, int] | None:
    try:
        read = read_reading(name, "x")
    except BadInput:
        return None
    return None if read is None else (read.name, read.part, read.index)


def _superseded_but_corrected(reference: Reference, pieces: NDArray[np.bool_] | None) -> NDArray[np.bool_]:
    """Readings that no longer stand, but of which a correction says what they should have been."""
    table = reference.tables["readings"]
    found = np.zeros(len(table), bool)
    corrections = reference.tables["corrections"]
    at = corrections.links["reading"][corrections.current]
    found[at[at >= 0]] = True
    found &= ~table.current
    return found if pieces is None else found & pieces[table.links["piece"]]


def _settled(reference: Reference) -> Indices:
    """Row of the one confirmed attribution of the piece or part of each reading."""
    table, readings = reference.tables["attributions"], reference.tables["readings"]
    confirmed = (table.spec.column("basis").choices or ()).index("confirmed")
    rows = np.flatnonzero(table.current & (table.links["basis"] == confirmed))
    keys = _key(table.links, rows)
    each, first, counts = np.unique(keys, return_index=True, return_counts=True)
    wanted = _key(readings.links, np.arange(len(readings)))
    if len(each) == 0:
        return np.full(len(wanted), -1)
    at = np.minimum(np.searchsorted(each, wanted), len(each) - 1)
    return np.where((each[at] == wanted) & (counts[at] == 1), rows[first[at]], -1)


def _key(links: Any, rows: Indices) -> NDArray[np.int64]:
    keys: NDArray[np.int64] = links["piece"][rows].astype(np.int64) << 32 | (links["part"][rows].astype(np.int64) + 1)
    return keys
