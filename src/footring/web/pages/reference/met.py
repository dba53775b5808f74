"""How many pieces were met of what: counts of confirmed attributions, each piece once."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.records.known import at_once
from footring.records.models import Role, User
from footring.reference import TREATMENT, Reference

TABLE_OF = {
    "line": "lines", "form": "forms", "body": "bodies", "glaze": "glazes", "decoration": "decorations", "trim": "trims",
    "size": "sizes", "mark_in_clay": "marks", "mark_printed": "marks", "customer": "customers",
}  # fmt: skip
"""What pieces are counted by, and the table of each."""
GRID = ("form", *TREATMENT)
Ints = NDArray[np.int64]
Cell = tuple[str | None, ...]


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
    """

    ids: dict[str, NDArray[np.object_]]
    links: dict[str, Ints]
    piece: Ints

    def of(self, **of: str) -> int:
        """Pieces of which these are as given."""
        return len(np.unique(self.piece[self._where(of)]))

    def by(self, column: str, **of: str) -> dict[str, int]:
        """Pieces by one column, of which others are as given. A piece of two forms counts with each."""
        rows = np.flatnonzero(self._where(of) & (self.links[column] >= 0))
        return {str(cell[0]): count for cell, count in self._counted((column,), rows).items()}

    def grid(self, line: str) -> dict[Cell, int]:
        """Pieces of a line by form, body, glaze, decoration and trim."""
        return self._counted(GRID, np.flatnonzero(self._where({"line": line})))

    def _counted(self, columns: tuple[str, ...], rows: Ints) -> dict[Cell, int]:
        cell, first = _kinds([self.links[column][rows] for column in columns])
        most = int(self.piece.max(initial=0)) + 1
        each = np.unique(cell * most + self.piece[rows])
        counts = np.bincount(each // most, minlength=len(first))
        named = [self.ids[column][self.links[column][rows[first]]].tolist() for column in columns]
        return dict(zip(zip(*named, strict=True), counts.tolist(), strict=True))

    def _where(self, of: dict[str, str]) -> NDArray[np.bool_]:
        chosen = np.ones(len(self.piece), bool)
        for column, name in of.items():
            found = np.flatnonzero(self.ids[column] == name)
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
    use = table.current & (table.links["basis"] == choices.index("confirmed"))
    if not private_too:
        private = reference.tables["pieces"].numbers["private"].astype(bool)
        use &= ~table.numbers["private"].astype(bool) & ~np.append(private, False)[table.links["piece"]]
    rows = np.flatnonzero(use)
    links = {column: table.links[column][rows].astype(np.int64) for column in TABLE_OF}
    return Met(
        {c: _ids(reference, of) for c, of in TABLE_OF.items()}, links, table.links["piece"][rows].astype(np.int64)
    )


def _ids(reference: Reference, table: str) -> NDArray[np.object_]:
    return np.array([*reference.tables[table].text("id").tolist(), None], object)
