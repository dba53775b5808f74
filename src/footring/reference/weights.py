"""What each attribution counts for, and through which channel its piece was met."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from footring.reference.compiled import CompiledTable
from footring.reference.links import Links
from footring.rows import TABLES

GRAIN = 2.0**20
"""Weights are kept in steps of 1 / GRAIN, so that their sums are exact in any order."""
_EVERYTHING, _LINES, _ = range(len(TABLES["outings"].column("logged").choices or ()))
_CONFIRMED, _ = range(len(TABLES["attributions"].column("basis").choices or ()))
Places = NDArray[np.integer[Any]]
_LAST = np.iinfo(np.int64).max


class Weights(NamedTuple):
    """Of each attribution row looked at: its index, what it counts for, and the channel its piece was met through.

    `channel` is a row of the table channels, -1 not known; `unselected` whether nobody chose what to show there.
    """

    rows: NDArray[np.intp]
    confirmed: NDArray[np.float64]
    proposed: NDArray[np.float64]
    channel: NDArray[np.int32]
    unselected: NDArray[np.bool_]


def weights(tables: Mapping[str, CompiledTable], pieces: NDArray[np.bool_] | None = None) -> Weights:
    """Weights of the current attributions of some pieces, or of all.

    Parameters
    ----------
    tables : mapping of table to CompiledTable
        Everything.
    pieces : bool array, shape (pieces,), or None
        Which pieces; None is all.

    Notes
    -----
    A piece counts for 1 at most, however often it was met or attributed: confirmed weights above that are scaled
    down to it, and proposed ones to what the confirmed ones leave. The channel is the piece's unselected encounter
    if there is one, otherwise a selected one; among equals the one whose channel's id comes first.
    """
    table = tables["attributions"]
    piece = table.links["piece"]
    rows = np.flatnonzero(table.current if pieces is None else table.current & pieces[piece])
    which = np.arange(len(tables["pieces"])) if pieces is None else np.flatnonzero(pieces)
    whose = piece[rows] if pieces is None else np.searchsorted(which, piece[rows])
    given = np.floor(table.numbers["weight"][rows] * GRAIN)
    by_person = table.links["basis"][rows] == _CONFIRMED
    confirmed = _capped(np.where(by_person, given, 0.0), whose, np.full(len(which), GRAIN))
    left = GRAIN - sums(whose, confirmed, len(which))
    proposed = _capped(np.where(by_person, 0.0, given), whose, left)
    channel, unselected = _channels(tables, whose, table.links["line"][rows], which)
    return Weights(rows, confirmed / GRAIN, proposed / GRAIN, channel, unselected)


def sums(where: Places, weight: NDArray[np.float64], length: int) -> NDArray[np.float64]:
    """Sum of the weights at each place, shape (length,)."""
    return np.bincount(where, weight, length).astype(np.float64, copy=False)


def _capped(weight: NDArray[np.float64], whose: Places, most: NDArray[np.float64]) -> NDArray[np.float64]:
    """Whole steps, scaled down (and rounded down, exactly) where the sum over a piece is more than it may be."""
    total = sums(whose, weight, len(most))
    over = total > most
    if not over.any():
        return weight
    steps, times, by = (array.astype(np.int64) for array in (weight, most[whose], np.maximum(total, 1.0)[whose]))
    return np.where(over[whose], steps * times // by, weight)


def _channels(
    tables: Mapping[str, CompiledTable], whose: Places, line: Links, which: NDArray[np.intp]
) -> tuple[NDArray[np.int32], NDArray[np.bool_]]:
    """Channel of each (piece, as a place in `which`; line), and whether it is unselected; the lower order wins."""
    met, rows, met_piece = _met(tables, which)
    outing = met["outing"][rows]
    channel = met["channel"][rows]
    channel = np.where(channel >= 0, channel, _at(tables["outings"].links["channel"], outing))
    by_id, rank = _ranks(tables["channels"])
    chosen = _at(tables["channels"].numbers["selected"], channel) != 0
    logged = _at(tables["outings"].links["logged"], outing)
    order = rank[channel] + len(by_id) * (chosen & (logged != _EVERYTHING))
    best = np.full(len(which), _LAST)
    np.minimum.at(best, met_piece, order)
    found = best[whose]
    _lines_logged(tables["outing_lines"].links, found, (whose, line), (met_piece, outing, order - len(by_id)), logged)
    return by_id[np.where(found == _LAST, len(by_id) - 1, found % len(by_id))], found < len(by_id)


def _met(
    tables: Mapping[str, CompiledTable], which: NDArray[np.intp]
) -> tuple[Mapping[str, Links], NDArray[np.intp] | slice, Places]:
    """The encounters with some pieces: all columns, the rows, and the place in `which` of each one's piece."""
    met = tables["encounters"].links
    if len(which) == len(tables["pieces"]):
        return met, slice(None), met["piece"]
    asked = np.zeros(len(tables["pieces"]), bool)
    asked[which] = True
    rows = np.flatnonzero(asked[met["piece"]])
    return met, rows, np.searchsorted(which, met["piece"][rows])


def _ranks(channels: CompiledTable) -> tuple[NDArray[np.int32], NDArray[np.int64]]:
    """Channel rows in the order of their ids, -1 last; and the place of each row in it, of -1 at the end."""
    ids = [*sorted(channels.ids, key=str), None]
    by_id = np.array([-1 if name is None else channels.ids.find(name) for name in ids], np.int32)
    rank = np.empty(len(ids), np.int64)
    rank[by_id] = np.arange(len(ids))
    return by_id, rank


def _at(values: NDArray[np.generic], where: Links) -> NDArray[np.int32]:
    return np.append(values.astype(np.int32), np.int32(-1))[where]


def _lines_logged(
    named: Mapping[str, Links],
    found: NDArray[np.int64],
    wanted: tuple[Places, Links],
    met: tuple[Places, Links, NDArray[np.int64]],
    logged: NDArray[np.int32],
) -> None:
    """Lower `found` where the piece was met at an outing that logged everything of its line."""
    (piece, line), (met_piece, outing, order) = wanted, met
    rows = np.flatnonzero((logged == _LINES) & (order >= 0))
    if len(rows) == 0 or len(named["outing"]) == 0:
        return
    rows = rows[np.argsort(met_piece[rows], kind="stable")]
    first, last = (np.searchsorted(met_piece[rows], piece, side) for side in ("left", "right"))
    asked = np.repeat(np.arange(len(piece)), last - first)
    step = np.arange(len(asked)) - np.repeat(np.cumsum(last - first) - (last - first), last - first)
    at = rows[first[asked] + step]
    pairs = named["outing"].astype(np.int64) << 32 | named["line"]
    whole = np.isin(outing[at].astype(np.int64) << 32 | line[asked], pairs)
    np.minimum.at(found, asked[whole], order[at[whole]])
