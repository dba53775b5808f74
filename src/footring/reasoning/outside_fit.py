"""How often the next piece is of a line that the reference does not hold, by how often lines turned up as new."""

from __future__ import annotations

from math import fsum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.parameters import Parameters
from footring.reference import Reference
from footring.rows import TABLES

Flags = NDArray[np.bool_]
Index = NDArray[np.int64]

LOTS = 10.0
"""Lots that what is believed beforehand counts for; common practice, no source."""
_EVERYTHING = (TABLES["outings"].column("logged").choices or ()).index("everything")
_CONFIRMED = (TABLES["attributions"].column("basis").choices or ()).index("confirmed")
_DOCUMENTS = ("productions", "mark_uses", "numbers")


def fit_outside(reference: Reference, start: Parameters) -> float:
    """Prior of a maker or line that the reference does not hold.

    Parameters
    ----------
    reference : Reference
        Its outings and encounters, and who settled what of the pieces met there.
    start : Parameters
        Its `outside` is what is believed beforehand; its rates say how many pieces nobody settled are from outside.

    Returns
    -------
    float
        Above 0 and below 1.

    Notes
    -----
    What turned up once tells how often something turns up that was not met before (Good 1953). Pieces of one outing
    came together, so it is told by outings: of each, how many of its pieces are of a line that nothing but this outing
    knows, neither another piece nor a document; the mean over the outings, each alike. With one piece an outing that is
    Good's n1 / n. A piece met without an outing is one of its own. Only pieces met where nobody chose count; of those
    that nobody has settled the share that `fit_rates` takes to be from outside does. *Not* for a reference whose lines
    were entered from books without saying so: those met once are then taken for new.

    Examples
    --------
    >>> from footring.reasoning.parameters import default_parameters
    >>> from footring.reference import compile_reference
    >>> fit_outside(compile_reference({}), default_parameters())
    0.02
    """
    lot = _lots(reference)
    attributed, read = (_named(reference, table) for table in ("attributions", "readings"))
    counted = (lot >= 0) & (attributed | read)
    _, which = np.unique(lot[counted], return_inverse=True)
    new, unsettled = (np.bincount(which, of[counted]) for of in (_first_met(reference, lot), ~attributed))
    shares = (new + start.rates.of("unsettled", "outside") * unsettled) / np.bincount(which)
    return (fsum(shares.tolist()) + LOTS * start.outside) / (len(shares) + LOTS)


def _lots(reference: Reference) -> Index:
    """Number of the outing at which each piece was met and nobody chose, or one of its own; -1 for others."""
    tables = reference.tables
    met, outings = tables["encounters"].links, tables["outings"]
    channel = np.where(met["channel"] >= 0, met["channel"], _at(outings.links["channel"], met["outing"]))
    open_to_all = _at(tables["channels"].numbers["selected"], channel) == 0
    rows = np.flatnonzero(open_to_all | (_at(outings.links["logged"], met["outing"]) == _EVERYTHING))
    piece, outing, pieces = met["piece"][rows], met["outing"][rows], len(tables["pieces"])
    by_id = np.argsort(np.argsort(np.array(list(outings.ids), str)))
    found = np.full(pieces, len(outings) + pieces)
    np.minimum.at(found, piece, np.where(outing >= 0, _at(by_id, outing), len(outings) + piece))
    return np.where(found < len(outings) + pieces, found, -1)


def _named(reference: Reference, table: str) -> Flags:
    """Pieces of which the table has a current row."""
    rows = reference.tables[table]
    found = np.zeros(len(reference.tables["pieces"]), bool)
    found[rows.links["piece"][rows.current]] = True
    return found


def _first_met(reference: Reference, lot: Index) -> Flags:
    """Pieces of lines that nothing but their own lot knows."""
    table = reference.tables["attributions"]
    rows = np.flatnonzero(table.current & (table.links["basis"] == _CONFIRMED))
    piece, line = table.links["piece"][rows], table.links["line"][rows]
    pairs = np.unique(np.stack([line, np.where(lot[piece] >= 0, lot[piece], -1 - piece)]), axis=1)
    lots = np.bincount(pairs[0], minlength=len(reference.tables["lines"]))
    known = (lots > 1) | _documented(reference)
    found = np.zeros(len(lot), bool)
    found[piece] = True
    found[piece[known[line]]] = False
    return found


def _documented(reference: Reference) -> Flags:
    """Lines that a document, a mark's use or a number names."""
    found = np.zeros(len(reference.tables["lines"]), bool)
    for name in _DOCUMENTS:
        table = reference.tables[name]
        found[table.links["line"][table.current & (table.links["line"] >= 0)]] = True
    return found


def _at(values: NDArray[Any], where: NDArray[np.integer[Any]]) -> Index:
    """Values at some places; -1 at place -1."""
    found: Index = np.append(values.astype(np.int64), -1)[where]
    return found
