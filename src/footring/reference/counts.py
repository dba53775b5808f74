"""Which combinations are recorded, and how many pieces of each were met through which channel."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.reference.links import Links
from footring.reference.weights import Weights, sums

TREATMENT = ("body", "glaze", "decoration", "trim")
"""The parts of a treatment."""
CELL = ("line", "form", "size", *TREATMENT)
"""What a piece is attributed to: a cell of the reference."""


@dataclass(frozen=True, slots=True, eq=False)
class Counts:
    """Weights of pieces by cell and channel. Every array is read-only.

    A count at any level is a bincount, here of the confirmed unselected pieces of each line::

        chosen = counts.unselected
        np.bincount(counts.cells[counts.cell[chosen], 0], counts.confirmed[chosen])

    Parameters
    ----------
    cells : int32 array, shape (cells, 7)
        Row index in the table of each of `CELL`, -1 not known. Every cell an attribution names, in the order first
        named; a superseded attribution keeps its cell.
    cell, channel : int32 array, shape (tallies,)
        Cell, and row in the table channels (-1 not known), of each tally. No two tallies share both and `unselected`.
    unselected : bool array, shape (tallies,)
        Whether nobody chose what to show: whole tables at outings, bulk lots.
    confirmed, proposed : float64 array, shape (tallies,)
        Sum of weights, in pieces, confirmed by a person, or proposed. Not both are 0.
    """

    cells: NDArray[np.int32]
    cell: NDArray[np.int32]
    channel: NDArray[np.int32]
    unselected: NDArray[np.bool_]
    confirmed: NDArray[np.float64]
    proposed: NDArray[np.float64]

    @property
    def recorded(self) -> NDArray[np.bool_]:
        """Which cells a person has confirmed a piece of, shape (cells,). A proposal alone records nothing."""
        return self.per_cell("confirmed") > 0

    def per_cell(self, basis: str, unselected: bool | None = None) -> NDArray[np.float64]:
        """Sum of the weights of each cell.

        Parameters
        ----------
        basis : {"confirmed", "proposed"}
            Whose word it rests on.
        unselected : bool or None
            Only those met so, or all.
        """
        weight = self.confirmed if basis == "confirmed" else self.proposed
        if unselected is not None:
            weight = weight * (self.unselected == unselected)
        return sums(self.cell, weight, len(self.cells))

    def same_as(self, other: Counts) -> bool:
        """Whether every array is the same."""
        return all(np.array_equal(getattr(self, name), getattr(other, name)) for name in Counts.__slots__)

    def changed(self, cell_of: Links, less: Weights, more: Weights, cells: NDArray[np.int32] | None = None) -> Counts:
        """With some attributions' weights taken away and others' put in their stead.

        Parameters
        ----------
        cell_of : int32 array, shape (attributions,)
            Cell of every attribution row.
        less, more : Weights
            What no longer counts, and what does. Sums are exact: weights come in whole steps.
        cells : int32 array, shape (cells, 7), or None
            The cells, when there are more now.
        """
        keys = np.concatenate([_tally_keys(cell_of[w.rows], w.channel, w.unselected) for w in (less, more)])
        news, which = np.unique(keys, return_inverse=True)
        olds = _tally_keys(self.cell, self.channel, self.unselected)
        gap = np.searchsorted(olds, news)
        fresh = np.append(olds, -1)[gap] != news
        at = gap + np.cumsum(fresh) - fresh

        def total(name: str) -> NDArray[np.float64]:
            change = np.concatenate([-getattr(less, name), getattr(more, name)])
            old = np.insert(getattr(self, name), gap[fresh], 0.0)
            old[at] += sums(which, change, len(news))
            return old

        confirmed, proposed = total("confirmed"), total("proposed")
        kept = (confirmed != 0) | (proposed != 0)
        keys = np.insert(olds, gap[fresh], news[fresh])[kept]
        return _counts(self.cells if cells is None else cells, keys, confirmed[kept], proposed[kept])


_CHANNEL_BITS = 24
_FEW = 8


def _tally_keys(cell: Links, channel: Links, unselected: NDArray[np.bool_]) -> NDArray[np.int64]:
    place = cell.astype(np.int64) << _CHANNEL_BITS | (channel.astype(np.int64) + 1)
    keys: NDArray[np.int64] = place << 1 | unselected
    return keys


def _counts(cells: NDArray[np.int32], keys: NDArray[np.int64], confirmed: Any, proposed: Any) -> Counts:
    place = keys >> 1
    cell, channel = place >> _CHANNEL_BITS, (place & ((1 << _CHANNEL_BITS) - 1)) - 1
    arrays = (cells, cell.astype(np.int32), channel.astype(np.int32), (keys & 1).astype(bool), confirmed, proposed)
    for array in arrays:
        array.setflags(write=False)
    return Counts(*arrays)


def no_counts() -> Counts:
    """The counts of no attribution."""
    return _counts(np.empty((0, len(CELL)), np.int32), np.empty(0, np.int64), np.empty(0), np.empty(0))


def cells_of(cells: NDArray[np.int32], wanted: NDArray[np.int32]) -> tuple[NDArray[np.int32], Links]:
    """The cells with those wanted that are new below them, in the order first seen; and the cell of each wanted one.

    Parameters
    ----------
    cells, wanted : int32 array, shape (cells, 7) and (attributions, 7)
        Row indices, -1 not known; every one of `cells` once.
    """
    if len(wanted) <= _FEW:
        return _one_by_one(cells, wanted)
    both = np.concatenate([cells, wanted])
    _, first, which = np.unique(_whole_numbers(both), return_index=True, return_inverse=True)
    order = np.argsort(first)
    place = np.empty(len(order), np.int32)
    place[order] = np.arange(len(order))
    if len(order) > len(cells):
        cells = both[first[order]]
        cells.setflags(write=False)
    return cells, place[which[len(both) - len(wanted) :]]


def _one_by_one(cells: NDArray[np.int32], wanted: NDArray[np.int32]) -> tuple[NDArray[np.int32], Links]:
    at = np.empty(len(wanted), np.int32)
    for i, row in enumerate(wanted):
        places = np.flatnonzero((cells == row).all(axis=1))
        at[i] = places[0] if len(places) else len(cells)
        if len(places) == 0:
            cells = np.concatenate([cells, row[None]])
    cells.setflags(write=False)
    return cells, at


def _whole_numbers(rows: NDArray[np.int32]) -> NDArray[np.int64]:
    """One number for each row of small numbers from -1, the same where the rows are."""
    keys, size = np.zeros(len(rows), np.int64), 1
    for column in rows.T.astype(np.int64) + 1:
        radix = int(column.max(initial=0)) + 1
        if size * radix >= 2**62:
            keys = np.unique(keys, return_inverse=True)[1]
            size = len(rows)
        keys, size = keys * radix + column, size * radix
    return keys
