"""Attributions proposed for pieces that nobody has settled, to a fixed point.

Each round examines every such piece against what people confirmed and what the last round proposed; a cell's proposals
never count for more than its confirmed pieces and documents, so what is proposed cannot feed on itself alone.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from footring.marks.readings import Reading, read_reading
from footring.reasoning.examination import examine_part
from footring.reasoning.model import Model, compile_model
from footring.reasoning.parameters import Parameters
from footring.reference import Reference, extend
from footring.rows.collection import Attribution

LEAST = 0.05
"""Cells less likely than this are not proposed."""
ROUNDS = 8
CHANGE = 0.01
"""A round that moves no weight by more than this is the last."""
Weights = dict[tuple[str, int], float]


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
    """
    base = without_proposals(reference)
    open_pieces = unsettled(base)
    weights: Weights = {}
    for _ in range(ROUNDS):
        rows = [replace(row, id=f"round {row.id}") for row in _rows(base, parameters, weights)]
        model = compile_model(extend(base, {"attributions": rows}) if rows else base, parameters)
        found = {piece: _proposed(model, readings) for piece, readings in open_pieces.items()}
        new = {(piece, cell): p for piece, of in found.items() for cell, p in of.items()}
        moved = max((abs(new.get(key, 0.0) - weights.get(key, 0.0)) for key in {*new, *weights}), default=0.0)
        weights = new
        if moved <= CHANGE:
            break
    return _rows(base, parameters, weights)


def without_proposals(reference: Reference) -> Reference:
    """The reference as it is without proposed attributions."""
    table = reference.tables["attributions"]
    proposed = np.flatnonzero(table.current & (table.links["basis"] == 1))
    if len(proposed) == 0:
        return reference
    return extend(reference, {}, superseded=[str(table.text("id").value(int(row))) for row in proposed])


def unsettled(reference: Reference) -> Mapping[str, list[Reading]]:
    """Readings of the pieces without a confirmed attribution, by piece; parts aside."""
    tables = reference.tables
    attributions, readings = tables["attributions"], tables["readings"]
    settled = set(attributions.links["piece"][attributions.current & (attributions.links["basis"] == 0)].tolist())
    names, values = readings.text("name").tolist(), readings.text("value").tolist()
    pieces, absent, sure = tables["pieces"].text("id"), readings.numbers["absent"], readings.numbers["sure"]
    found: dict[str, list[Reading]] = defaultdict(list)
    for i in np.flatnonzero(readings.current & (readings.links["part"] < 0)).tolist():
        piece = int(readings.links["piece"][i])
        value = "none" if absent[i] == 1 else str(values[i] or "")
        if piece not in settled and (reading := read_reading(str(names[i]), value)) is not None:
            found[str(pieces.value(piece))].append(reading if np.isnan(sure[i]) else replace(reading, p=float(sure[i])))
    return dict(sorted(found.items()))


def _proposed(model: Model, readings: list[Reading]) -> dict[int, float]:
    """Chance of each recorded cell that is likely enough, by its row in the counts' cells of this model."""
    cells = examine_part(model, readings).cells
    return {int(i): round(float(cells[i]), 3) for i in np.flatnonzero(cells >= LEAST)}


def _rows(base: Reference, parameters: Parameters, weights: Weights) -> list[Attribution]:
    """Rows for the weights; cells are those of the base's model, which proposals never change."""
    if not weights:
        return []
    model = compile_model(base, parameters)
    known, ids = (
        model.known,
        {t: list(base.tables[t].ids) for t in ("lines", "forms", "bodies", "glazes", "decorations", "trims")},
    )
    out = []
    for (piece, cell), weight in sorted(weights.items()):
        line, *parts = known.treatments[known.cell_treatment[cell]].tolist()
        named = zip(
            ("body", "glaze", "decoration", "trim"), ("bodies", "glazes", "decorations", "trims"), parts, strict=True
        )
        out.append(
            Attribution(
                f"{piece}.proposed-{cell}", piece=piece, line=ids["lines"][line],
                form=ids["forms"][known.cell_form[cell]], weight=weight, basis="proposed", recorded_by="footring",
                **{name: ids[table][row] for name, table, row in named if row >= 0},
            )
        )  # fmt: skip
    return out
