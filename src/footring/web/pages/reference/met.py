"""How many pieces were met of what: counts of confirmed attributions, each piece once."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from footring.records.known import at_once
from footring.records.models import Role, User
from footring.reference import TREATMENT, CompiledTable, Reference
from footring.terms.errors import BadInput
from footring.terms.units import parse_length

TABLE_OF = {
    "line": "lines", "form": "forms", "body": "bodies", "glaze": "glazes", "decoration": "decorations", "trim": "trims",
    "size": "sizes", "mark_in_clay": "marks", "mark_printed": "marks", "customer": "customers",
}  # fmt: skip
"""What pieces are counted by, and the table of each."""
LOOKED_AT = 20
"""Pieces among which a picture of a mark is looked for."""
GRID = ("form", *TREATMENT)
Ints = NDArray[np.int64]
Cell = tuple[str | None, ...]
T = TypeVar("T")


@dataclass(frozen=True, eq=False)
class Met:
    """Pieces met, by what they were confirmed to be; one row for each attribution that counts.

    Parameters
    ----------
    ids : mapping of column to object array
        Ids that the rows of `links` index; None last, for what nobody said.
    links : mapping of column to int array, shape (attributions,)
        Row of each thing, -1 where nobody said.
    piece : int array, shape (attributions,)
        Which piece.
    piece_ids : object array, shape (pieces,)
    across : (int array, float array), shape (measured,)
        Pieces that were measured across, and how many millimetres.
    """

    ids: dict[str, NDArray[np.object_]]
    links: dict[str, Ints]
    piece: Ints
    piece_ids: NDArray[np.object_]
    across: tuple[Ints, NDArray[np.float64]]
    _kept: dict[object, Any] = field(default_factory=dict, repr=False)

    def of(self, **of: str | None) -> int:
        """Pieces of which these are as given; None is what nobody said."""
        return self._once(("of", *of.items()), lambda: len(self.pieces(**of)))

    def pieces(self, **of: str | None) -> Ints:
        """Which pieces these are."""
        return np.unique(self.piece[self._where(of)])

    def with_mark(self, mark: str) -> list[str]:
        """Ids of the first pieces that carry a mark, in the clay or printed."""
        chosen = self._where({"mark_in_clay": mark}) | self._where({"mark_printed": mark})
        return self.piece_ids[np.unique(self.piece[chosen])[:LOOKED_AT]].tolist()

    def by(self, column: str, **of: str | None) -> dict[str, int]:
        """Pieces by one column, of which others are as given. A piece of two forms counts with each."""

        def counted() -> dict[str, int]:
            rows = np.flatnonzero(self._where(of) & (self.links[column] >= 0))
            return {str(cell[0]): count for cell, count in self._counted((column,), rows).items()}

        return self._once(("by", column, *of.items()), counted)

    def grid(self, line: str) -> dict[Cell, int]:
        """Pieces of a line by form, body, glaze, decoration and trim."""
        return self._once(("grid", line), lambda: self._counted(GRID, np.flatnonzero(self._where({"line": line}))))

    def measured(self, form: str) -> list[float]:
        """What pieces of a form measured across, in millimetres."""
        piece, mm = self.across
        return mm[np.isin(piece, self.pieces(form=form))].tolist()

    def _once(self, asked: object, answer: Callable[[], T]) -> T:
        """An answer worked out when it is first asked for: what was met stays the same for as long as this is kept."""
        if asked not in self._kept:
            self._kept[asked] = answer()
        found: T = self._kept[asked]
        return found

    def _counted(self, columns: tuple[str, ...], rows: Ints) -> dict[Cell, int]:
        cell, first = _kinds([self.links[column][rows] for column in columns])
        each = np.unique(cell * max(1, len(self.piece_ids)) + self.piece[rows])
        counts = np.bincount(each // max(1, len(self.piece_ids)), minlength=len(first))
        named = [self.ids[column][self.links[column][rows[first]]].tolist() for column in columns]
        return dict(zip(zip(*named, strict=True), counts.tolist(), strict=True))

    def _where(self, of: Mapping[str, str | None]) -> NDArray[np.bool_]:
        chosen = np.ones(len(self.piece), bool)
        for column, name in of.items():
            found = np.flatnonzero(self.ids[column] == name) if name is not None else [-1]
            chosen &= self.links[column] == (found[0] if len(found) else -2)
        return chosen


def _kinds(columns: list[Ints]) -> tuple[Ints, Ints]:
    """Which of the different rows each row is, and where each of those first stands; no number grows too large."""
    which = np.zeros(len(columns[0]), np.int64)
    first = np.empty(0, np.int64)
    for column in columns:
        told = which * (int(column.max(initial=-1)) + 2) + column + 1
        _, first, which = np.unique(told, return_index=True, return_inverse=True)
    return which, first


def met_by(user: User) -> Met | None:
    """What somebody may know of the pieces met; None while it is being made ready."""
    known = at_once()
    return None if known is None else met(known.reference, user.may(Role.CURATOR))


@lru_cache(maxsize=2)
def met(reference: Reference, private_too: bool) -> Met:
    """Pieces met that a reference holds, those that are private too or not."""
    table = reference.tables["attributions"]
    choices: Any = table.spec.column("basis").choices
    use = table.current & (table.links["basis"] == choices.index("confirmed")) & _open(reference, table, private_too)
    rows = np.flatnonzero(use)
    links = {column: table.links[column][rows].astype(np.int64) for column in TABLE_OF}
    ids = {column: _ids(reference, of) for column, of in TABLE_OF.items()}
    piece = table.links["piece"][rows].astype(np.int64)
    return Met(ids, links, piece, _ids(reference, "pieces"), _across(reference, private_too))


def _open(reference: Reference, table: CompiledTable, private_too: bool) -> NDArray[np.bool_]:
    """Rows that may be counted: neither they nor their piece is private, unless private ones count too."""
    if private_too:
        return np.ones(len(table), bool)
    private = reference.tables["pieces"].numbers["private"].astype(bool)
    return ~table.numbers["private"].astype(bool) & ~np.append(private, False)[table.links["piece"]]


def _across(reference: Reference, private_too: bool) -> tuple[Ints, NDArray[np.float64]]:
    table = reference.tables["readings"]
    name, value = table.text("name"), table.text("value")
    words = name.vocabulary if name.vocabulary is not None else np.empty(0, object)
    named = np.isin(name.values, np.flatnonzero(words == "across"))
    use = named & table.current & value.known & (table.numbers["absent"] == 0) & _open(reference, table, private_too)
    rows = np.flatnonzero(use)
    mm = np.array([_mm(str(one)) for one in value.take(rows).tolist()], float)
    return table.links["piece"][rows[~np.isnan(mm)]].astype(np.int64), mm[~np.isnan(mm)]


def _mm(text: str) -> float:
    try:
        return parse_length(text).mm
    except BadInput:
        return float("nan")


def _ids(reference: Reference, table: str) -> NDArray[np.object_]:
    return np.array([*reference.tables[table].text("id").tolist(), None], object)
