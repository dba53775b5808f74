"""Attributions proposed for pieces that nobody has settled, to a fixed point.

Each round examines every such piece against what people confirmed and what the last round proposed; a cell's proposals
never count for more than its confirmed pieces and documents, so what is proposed cannot feed on itself alone.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from footring.marks.readings import Reading
from footring.reasoning.channels.factor import SLOTS
from footring.reasoning.examination import examine_part
from footring.reasoning.model import Model, compile_model
from footring.reasoning.parameters import Parameters
from footring.reasoning.piece_readings import unsettled_readings
from footring.reasoning.unreadable import check_readings
from footring.reference import Reference, extend
from footring.rows.collection import Attribution

LEAST = 0.05
"""Cells less likely than this are not proposed."""
ROUNDS = 8
CHANGE = 0.01
"""A round that moves no weight by more than this is the last."""
Weights = dict[tuple[str, int], float]
_NAMED = ("line", "form", "body", "glaze", "decoration", "trim")


def propose(reference: Reference, parameters: Parameters) -> list[Attribution]:
    """Proposed attributions of the pieces that have readings and no confirmed attribution.

    Parameters
    ----------
    reference : Reference
        Proposals it holds already are left out of account: they are made anew.
    parameters : Parameters
        As `learn` gives them.

    Returns
    -------
    list of Attribution
        In the order of piece and cell; the same whatever the order of the rows, and started from its own answer.

    Raises
    ------
    ReferenceFaults
        Readings that cannot be read, all of them named.
    """
    check_readings(reference)
    base = without_proposals(reference)
    open_pieces = unsettled_readings(base)
    first = model = compile_model(base, parameters)
    weights: Weights = {}
    for _ in range(ROUNDS):
        if weights:
            rows = [replace(row, id=f"round {row.id}") for row in _rows(first, weights)]
            model = compile_model(extend(base, {"attributions": rows}), parameters)
        found = {piece: _proposed(model, readings) for piece, readings in open_pieces.items()}
        new = {(piece, cell): p for piece, of in found.items() for cell, p in of.items()}
        moved = max((abs(new.get(key, 0.0) - weights.get(key, 0.0)) for key in {*new, *weights}), default=0.0)
        weights = new
        if moved <= CHANGE:
            break
    return _rows(first, weights)


def without_proposals(reference: Reference) -> Reference:
    """The reference as it is without proposed attributions."""
    table = reference.tables["attributions"]
    proposed = np.flatnonzero(table.current & (table.links["basis"] == 1))
    if len(proposed) == 0:
        return reference
    return extend(reference, {}, superseded=[str(table.text("id").value(int(row))) for row in proposed])


def _proposed(model: Model, readings: list[Reading]) -> dict[int, float]:
    """Chance of each recorded cell that is likely enough, by its row in the counts' cells of this model."""
    cells = examine_part(model, readings).cells
    return {int(i): round(float(cells[i]), 3) for i in np.flatnonzero(cells >= LEAST)}


def _rows(model: Model, weights: Weights) -> list[Attribution]:
    """Rows for the weights; their cells are those of the model without proposals, which proposals never change."""
    known, ids = model.known, {name: list(model.reference.tables[SLOTS[name]].ids) for name in _NAMED}
    out = []
    for (piece, cell), weight in sorted(weights.items()):
        line, *parts = known.treatments[known.cell_treatment[cell]].tolist()
        form = int(known.cell_form[cell])
        named = {name: ids[name][row] for name, row in zip(_NAMED, (line, form, *parts), strict=True) if row >= 0}
        row = f"{piece}.proposed-{cell}"
        out.append(Attribution(row, piece=piece, weight=weight, basis="proposed", recorded_by="footring", **named))
    return out
