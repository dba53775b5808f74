"""Pieces that are unusual on purpose, and why."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from footring.demo.factory import YEARS
from footring.demo.lids import Lids
from footring.demo.meeting import Pieces
from footring.demo.ware import World

OLD_BLANK = 5
"""Years between potting and decorating that are worth a word."""


def notable(world: World, pieces: Pieces, lids: Lids, recorded: NDArray[np.bool_]) -> Iterator[tuple[int, str]]:
    """Each piece that has something to it, with what it is.

    Parameters
    ----------
    recorded : bool array, shape (cells,)
        Whether a piece or a document of the pack names the cell.
    """
    inside = pieces.cell >= 0
    why = {
        "an unrecorded combination": inside & ~recorded[pieces.cell],
        "from outside": ~inside,
        "a printed mark used after its time": _late(
            pieces, [mark.last for mark in world.marks.marks], pieces.printed, "mark"
        ),
        "a label used after its time": _late(
            pieces, [int(row["last"]) for row in world.labels.own], pieces.label, "label"
        ),
        "from a new mould": inside & (pieces.potted >= world.replaced[world.cells[pieces.cell, 0]]),
        "an older blank": inside & (pieces.year - pieces.potted >= OLD_BLANK),
        "a near twin, and what tells it was looked at": _twins(world, pieces),
        "made for a customer": inside & (pieces.customer >= 0),
        "a married lid": lids.married,
        "a lid issued in another colour": lids.own_glaze,
    }
    for i in range(len(pieces.cell)):
        for name, is_so in why.items():
            if is_so[i]:
                yield i, name


def _late(pieces: Pieces, last: list[int], borne: NDArray[np.int64], name: str) -> NDArray[np.bool_]:
    """What was used after its time, where it was read."""
    here = (pieces.cell >= 0) & (borne >= 0) & np.array([name in read for read in pieces.readings], bool)
    return np.asarray(here & (YEARS[pieces.year] > np.append(last, YEARS[-1])[np.where(here, borne, -1)]))


def _twins(world: World, pieces: Pieces) -> NDArray[np.bool_]:
    forms = world.things.forms
    found = np.zeros(len(pieces.cell), bool)
    for i in np.flatnonzero(pieces.cell >= 0):
        look_at = forms[int(world.cells[pieces.cell[i], 0])].look_at
        found[i] = bool(look_at) and pieces.readings[i].get("feature", "").startswith(f"{look_at}: ")
    return found
