"""The leading answer to what a piece is: one form in one treatment, or a piece from outside."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.attribution_parts import open_form
from footring.reasoning.examination import Examination
from footring.reasoning.model import Model
from footring.reasoning.shares import treatment_product
from footring.reasoning.slots import Slot
from footring.reference import TREATMENT

Floats = NDArray[np.float64]
MOST_FORMS = 12
"""Forms in cells nobody recorded that are looked into."""


@dataclass(frozen=True, slots=True)
class Leader:
    """The likeliest line, form and treatment.

    Parameters
    ----------
    p : float
        Its probability.
    form, treatment, cell : int
        Rows, -1 for none: outside has no form; what nobody recorded has no cell; and where not even its treatment is
        recorded on the line, it is the form in everything that nobody recorded of it.
    own, free : float
        Its share by what the treatment itself has, and by the product of its parts.
    own_window, free_window : int
        Rows of `Classes.windows`.
    """

    p: float
    form: int = -1
    treatment: int = -1
    cell: int = -1
    own: float = 0.0
    free: float = 0.0
    own_window: int = 0
    free_window: int = 0

    def of_treatment(self, model: Model, slots: Mapping[str, Slot]) -> tuple[float, float]:
        """`own` and `free`, times what was read of the parts of the treatment and of the number."""
        plain = _read_of_parts(model, slots, self.treatment)
        by_treatment, by_line = 1.0, 1.0
        if "number" in slots:
            by_treatment, by_line = _read_of_number(model, slots["number"], self.treatment)
        return self.own * plain * by_treatment, self.free * plain * by_line


def leading(examination: Examination) -> Leader:
    """The likeliest answer; of two alike, the one outside, then the one recorded, then the first."""
    model, best = examination.model, Leader(examination.outside)
    if len(examination.cells) and float(examination.cells.max()) > best.p:
        best = _recorded(model, int(examination.cells.argmax()), float(examination.cells.max()))
    open_ = examination.unrecorded_forms
    for form in np.argsort(-open_, kind="stable")[:MOST_FORMS].tolist():
        if open_[form] <= best.p:
            break
        best = _open(examination, form, best)
    return best


def _recorded(model: Model, cell: int, p: float) -> Leader:
    form, k, line = int(model.known.cell_form[cell]), int(model.known.cell_treatment[cell]), int(model.cell_line[cell])
    shares, window = model.shares, int(model.classes.cell_e[cell])
    free = float(shares.form_rest[form] * shares.line_rest[line] * shares.cell_product[cell])
    return Leader(p, form, k, cell, float(model.cells.own[cell]), free, window, window)


def _open(examination: Examination, form: int, best: Leader) -> Leader:
    model, bunch = examination.model, open_form(examination, form)
    listed = np.where(bunch.treatment >= 0, bunch.mass, 0.0)
    other = float(bunch.mass.sum() - listed.sum())
    top = float(listed.max(initial=0.0))
    if max(top, other) <= best.p:
        return best
    if other >= top:
        return Leader(float(examination.unrecorded_forms[form]), form)
    i = int(listed.argmax())
    k, line, rest = int(bunch.treatment[i]), int(model.form_line[form]), float(model.shares.form_rest[form])
    parts = model.known.treatments[k, 1:].tolist()
    product = treatment_product(model.shares.parts, line, form, parts) if min(parts) >= 0 else 0.0
    own, free = rest * float(model.shares.treatment[k]), rest * float(model.shares.line_rest[line]) * product
    return Leader(top, form, k, -1, own, free, int(bunch.own_window[i]), int(bunch.free_window[i]))


def _read_of_parts(model: Model, slots: Mapping[str, Slot], k: int) -> float:
    read = 1.0
    line, *parts = model.known.treatments[k].tolist()
    for name, row in zip(TREATMENT, parts, strict=True):
        if name in slots:
            p = slots[name].p
            read *= float(p[row] if row >= 0 else model.on_line[name][line] @ p)
    return read


def _read_of_number(model: Model, slot: Slot, k: int) -> tuple[float, float]:
    numbering, none, new = model.numbering, float(np.exp(slot.none)), float(np.exp(slot.log[-1]))
    mine = slice(*numbering.own.indptr[k : k + 2])
    carried = float(numbering.own.data[mine] @ np.exp(slot.log[numbering.own.indices[mine]]))
    carried += float(numbering.unknown[k]) * new
    line = int(numbering.line_of[k])
    absent, by_line = float(numbering.absent[k]), float(numbering.line_absent[line])
    return absent * none + (1.0 - absent) * carried, by_line * none + (1.0 - by_line) * new
