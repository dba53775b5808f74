"""Rows, checked and compiled: all that is known of what factories made."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from footring.reference.check import faults_of
from footring.reference.compiled import CompiledTable
from footring.reference.counts import CELL, Counts, cells_of, no_counts
from footring.reference.faults import ReferenceFaults, unknown
from footring.reference.grow import Tables, joined, no_tables, places
from footring.reference.hashing import final_digest
from footring.reference.links import Links
from footring.reference.weights import Weights, weights
from footring.rows import Row
from footring.rows.column_data import frozen
from footring.terms.errors import UnknownName


@dataclass(frozen=True, slots=True, eq=False)
class Reference:
    """Everything known, checked and ready for arithmetic. Never changed: `extend` makes another.

    Parameters
    ----------
    tables : mapping of table to CompiledTable
        Every table, empty ones too.
    counts : Counts
        Cells and how many pieces of each were met.
    attribution_cells : int32 array, shape (attributions,), read-only
        The cell of each attribution row, superseded ones too.
    withdrawn : frozenset of (table, id)
        Statements taken back with nothing in their stead.
    digest : str
        128 bits in hex: the same for the same rows in any order, another when any value differs. It detects change
        and is no defence against a forger.
    """

    tables: Mapping[str, CompiledTable]
    counts: Counts
    attribution_cells: NDArray[np.int32]
    withdrawn: frozenset[tuple[str, str]]
    digest: str

    def row(self, table: str, which: str | int) -> Row:
        """A row as it was given, by id or by index.

        Raises
        ------
        UnknownName
            There is no such table, or no row with this id.
        IndexError
            There is no row with this index.
        """
        return self._table(table).row(which if isinstance(which, int) else self.find(table, which))

    def find(self, table: str, name: str) -> int:
        """Index of the row with this id.

        Raises
        ------
        UnknownName
            There is no such table, or no row with this id.
        """
        ids = self._table(table).ids
        if (found := ids.find(name)) < 0:
            raise UnknownName(unknown(f"table {table} has no row with the id {name!r}", name, ids))
        return found

    def _table(self, name: str) -> CompiledTable:
        if name not in self.tables:
            raise UnknownName(unknown(f"there is no table {name!r}", name, self.tables))
        return self.tables[name]

    def counts_without(self, piece: str) -> Counts:
        """The counts as they would be had nobody attributed this piece; its cells stay, perhaps with nothing in them.

        Raises
        ------
        UnknownName
            There is no piece with this id.
        """
        pieces = np.zeros(len(self.tables["pieces"]), bool)
        pieces[self.find("pieces", piece)] = True
        return self.counts.changed(self.attribution_cells, weights(self.tables, pieces), _nothing())


def compile_reference(tables: Tables, superseded: Collection[str] = ()) -> Reference:
    """Check tables and compile them.

    Parameters
    ----------
    tables : mapping of table to RowTable or sequence of rows
        A table not named is empty.
    superseded : collection of str
        Ids of statements taken back with nothing in their stead; those that a row `supersedes` need not be named.

    Raises
    ------
    ReferenceFaults
        With every fault there is.
    UnknownName
        A table there is none of.

    Examples
    --------
    >>> from footring.rows.reference_things import Line, Maker
    >>> made = compile_reference({
    ...     "makers": [Maker("ossel.quillow", name="Quillow & Tarn Works")],
    ...     "lines": [Line("ossel.ormsley", maker="ossel.quillow", name="Ormsley")],
    ... })
    >>> made.row("makers", made.tables["lines"].links["maker"][0].item()).name
    'Quillow & Tarn Works'
    """
    return _extended(_nothing_known(), tables, superseded)


def extend(reference: Reference, added: Tables, superseded: Collection[str] = ()) -> Reference:
    """The reference with more rows: equal to compiling everything, but quick, arrays that stay the same shared.

    Parameters
    ----------
    reference : Reference
        What is known so far; it stays as it is.
    added : mapping of table to RowTable or sequence of rows
        More rows. A statement that names another in `supersedes` replaces it.
    superseded : collection of str
        As for `compile_reference`; they may be old or new.

    Raises
    ------
    ReferenceFaults
        With every fault of the rows added.
    UnknownName
        A table there is none of.
    """
    return _extended(reference, added, superseded)


def _extended(before: Reference, tables: Tables, superseded: Collection[str]) -> Reference:
    whole, given, faults = joined(before.tables, tables, superseded)
    if faults := faults + faults_of(given):
        raise ReferenceFaults(faults)
    withdrawn = before.withdrawn | {place for name in superseded for place in places(whole, name)}
    counts, cell_of = _counted(before, whole)
    lanes = {name: (len(table), *table.lanes) for name, table in whole.items() if len(table)}
    return Reference(MappingProxyType(whole), counts, cell_of, withdrawn, final_digest(lanes, withdrawn))


def _counted(before: Reference, whole: Mapping[str, CompiledTable]) -> tuple[Counts, Links]:
    """Counts with the pieces that something new bears on counted again, and the cell of each attribution."""
    start = len(before.attribution_cells)
    links = whole["attributions"].links
    wanted = np.stack([links[column][start:] for column in CELL], axis=1)
    if len(wanted):
        cells, new = cells_of(before.counts.cells, wanted)
        cell_of = np.concatenate([before.attribution_cells, new])
        cell_of.setflags(write=False)
    else:
        cells, cell_of = before.counts.cells, before.attribution_cells
    touched = _touched(before, whole)
    if not touched.any():
        return before.counts, cell_of
    old = touched[: len(before.tables["pieces"])]
    less = weights(before.tables, old) if old.any() else _nothing()
    return before.counts.changed(cell_of, less, weights(whole, None if touched.all() else touched), cells), cell_of


def _touched(before: Reference, whole: Mapping[str, CompiledTable]) -> NDArray[np.bool_]:
    """Which pieces have something new: an attribution or one fewer, an encounter, a line logged where they were met."""
    pieces = np.zeros(len(whole["pieces"]), bool)
    attributions, old = whole["attributions"], before.tables["attributions"]
    if attributions is not old:
        gone = np.flatnonzero(attributions.current[: len(old)] != old.current)
        pieces[attributions.links["piece"][gone]] = True
        pieces[attributions.links["piece"][len(old) :]] = True
    met = whole["encounters"].links
    pieces[met["piece"][len(before.tables["encounters"]) :]] = True
    logged = whole["outing_lines"].links["outing"][len(before.tables["outing_lines"]) :]
    if len(logged):
        pieces[met["piece"][np.isin(met["outing"], logged)]] = True
    return pieces


def _nothing() -> Weights:
    none = np.empty(0)
    return Weights(none.astype(np.intp), none, none, none.astype(np.int32), none.astype(bool))


def _nothing_known() -> Reference:
    return Reference(no_tables(), no_counts(), frozen(np.empty(0, np.int32)), frozenset(), "")
