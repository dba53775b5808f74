"""What documents and pieces that someone chose count for, and how shares lean: by how well pieces are foretold."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.level_fit import FEWEST, fit_levels, foretold, leaving
from footring.reasoning.parameters import Parameters
from footring.reasoning.recorded import Recorded, recorded
from footring.reasoning.shares import sizes_of
from footring.reasoning.source_records import cell_documents
from footring.reference import Reference

Floats = NDArray[np.float64]
COUNTS_FOR = (0.0, 0.1, 0.2, 0.3, 0.45, 0.6, 0.8, 1.0)
DOCUMENTS = (0.1, 0.2, 0.3, 0.5, 0.75, 1.0)
ENOUGH_NAT = 1.0
"""A channel or the documents change only for this much of a gain."""


def fit_weights(reference: Reference, start: Parameters) -> Parameters:
    """Fit `channels`, `document` and `levels` on the unselected confirmed pieces, each foretold from all the others.

    Too few such pieces leave everything as it was.
    """
    fit = _Fit(reference, start)
    if fit.pieces(fit.known(start)).sum() < FEWEST:
        return start
    found = fit.levels(start)
    found = fit.best(found, [replace(found, document=d) for d in DOCUMENTS])
    found = fit.best(found, [replace(found, channels={**found.channels, "": c}) for c in COUNTS_FOR])
    table = reference.tables["channels"]
    for row in np.flatnonzero(table.numbers["selected"] == 1).tolist():
        name = str(table.text("id").value(row))
        found = fit.best(found, [replace(found, channels={**found.channels, name: c}) for c in COUNTS_FOR])
    return fit.levels(found)


class _Fit:
    def __init__(self, reference: Reference, start: Parameters) -> None:
        tables = reference.tables
        self.reference, self.start = reference, start
        self.documents = cell_documents(reference)
        self.sizes = sizes_of(reference)
        self.names = [*tables["channels"].ids, ""]

    def known(self, parameters: Parameters) -> Recorded:
        factor = np.array([parameters.channels.get(name, parameters.channels[""]) for name in self.names])
        counts = self.reference.counts
        return recorded(self.reference, counts, factor, *(parameters.document * t for t in self.documents))

    def pieces(self, known: Recorded) -> Floats:
        return unselected(self.reference, known)

    def levels(self, parameters: Parameters) -> Parameters:
        known = self.known(parameters)
        fitted = fit_levels(known, self.pieces(known), self.sizes, self.start.levels)
        return replace(parameters, levels=fitted)

    def gain(self, parameters: Parameters) -> float:
        known = self.known(parameters)
        of = leaving(known, self.pieces(known), self.sizes)
        return float(of.pieces @ np.log(np.maximum(foretold(of, parameters.levels), 1e-300)))

    def best(self, now: Parameters, tried: list[Parameters]) -> Parameters:
        gains = [self.gain(parameters) for parameters in tried]
        at = int(np.argmax(gains))
        return tried[at] if gains[at] > self.gain(now) + ENOUGH_NAT else now


def unselected(reference: Reference, known: Recorded) -> Floats:
    """Unselected confirmed pieces of each recorded cell, shape (cells,)."""
    cells = zip(known.cell_form.tolist(), known.treatments[known.cell_treatment].tolist(), strict=True)
    at = {(form, *treatment): i for i, (form, treatment) in enumerate(cells)}
    counts = reference.counts
    found = np.zeros(len(known.cell_form))
    weights = counts.per_cell("confirmed", unselected=True)
    for row in np.flatnonzero(weights > 0).tolist():
        line, form, _, *parts = counts.cells[row].tolist()
        place = at.get((form, line, *parts))
        if place is not None:
            found[place] += weights[row]
    return found
