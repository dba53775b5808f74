"""What a piece may be, cell by cell: the answers that a finding keeps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from footring.marks.readings import Reading
from footring.reasoning.channels.factor import SLOTS
from footring.reasoning.examination import Examination, examine_part
from footring.reasoning.lids import lid_forms, restricted
from footring.reasoning.model import Model

MOST = 10
LEAST = 0.001
"""Cells less likely than this are not told."""
_NAMED = ("line", "form", "body", "glaze", "decoration", "trim")


@dataclass(frozen=True, slots=True)
class RankedCell:
    """One answer.

    Parameters
    ----------
    outcome : {"recorded", "unrecorded", "outside"}
        Whether pieces or documents name the cell; all that nobody recorded is one answer, and so is all outside.
    p : float
        Its probability.
    ids : mapping of str to str
        Ids of line, form, body, glaze, decoration and trim; without what is not said. Empty unless recorded.
    """

    outcome: str
    p: float
    ids: Mapping[str, str]


def ranked_cells(model: Model, readings: Sequence[Reading], part: str | None = None) -> tuple[RankedCell, ...]:
    """The likeliest cells, the likeliest first, with what nobody recorded and what is outside.

    Parameters
    ----------
    model : Model
    readings : sequence of Reading
        Of the whole piece.
    part : {None, "lid"}
        Whose answers: of the lid, or of all but the lid.

    Returns
    -------
    tuple of RankedCell
        At most ten cells and the two others. They sum to at most 1: what is left are cells not told.
    """
    lids = lid_forms(model)
    forms = restricted(model, lids if part == "lid" else ~lids) if any(r.part == "lid" for r in readings) else None
    own = [replace(r, part=None) if r.part == "lid" else r for r in readings if (r.part == "lid") == (part == "lid")]
    examination = examine_part(model, own, forms)
    found = [*_recorded(examination), RankedCell("unrecorded", examination.unrecorded, {}),
             RankedCell("outside", examination.outside, {})]  # fmt: skip
    return tuple(sorted(found, key=lambda cell: -cell.p))


def _recorded(examination: Examination) -> list[RankedCell]:
    cells = examination.cells
    rows = np.argsort(-cells, kind="stable")[:MOST]
    return [
        RankedCell("recorded", float(cells[row]), _ids(examination.model, int(row)))
        for row in rows.tolist()
        if cells[row] >= LEAST
    ]


def _ids(model: Model, cell: int) -> dict[str, str]:
    line, *parts = model.known.treatments[model.known.cell_treatment[cell]].tolist()
    rows = zip(_NAMED, (line, int(model.known.cell_form[cell]), *parts), strict=True)
    tables = model.reference.tables
    return {name: str(tables[SLOTS[name]].text("id").value(row)) for name, row in rows if row >= 0}
