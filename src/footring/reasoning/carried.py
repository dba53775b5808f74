"""Which number, marks and customer a piece carries, whatever else it is."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.examination import Examination, Way
from footring.reasoning.gaps import gaps
from footring.reasoning.marginals import open_masses
from footring.reasoning.piece_years import SIDES, side_told
from footring.reasoning.posterior import Weighed
from footring.reasoning.window_masses import years_before

Floats = NDArray[np.float64]
SIDE_OF = {"in_clay_mark": SIDES[0], "printed_mark": SIDES[1]}


def carried(examination: Examination) -> dict[str, Floats]:
    """Probability of each number and mark, given not outside, and of each customer where one was read.

    Returns
    -------
    dict of name to array, shape (values + 2,)
        The last two are none, and one that the reference does not hold.
    """
    inside = max(1.0 - examination.outside, 1e-300)
    found: dict[str, Floats] = {}
    for share, way in zip(examination.shares, examination.ways, strict=True):
        for name, mass in _of_way(examination, way).items():
            found[name] = found.get(name, np.zeros(1)) + (share / inside) * mass
    return found


def _of_way(examination: Examination, way: Way) -> dict[str, Floats]:
    found = {"number": _numbers(way.weighed), **_marks(examination, way)}
    if any("customer" in one.weighed.slots for one in examination.ways):
        found["customer"] = _customers(way.weighed)
    return {name: mass * (way.weighed.total / max(float(mass.sum()), 1e-300)) for name, mass in found.items()}


def _marks(examination: Examination, way: Way) -> dict[str, Floats]:
    model, own, seen = examination.model, examination.dates.own, way.years
    before = years_before(way.weighed)
    between = gaps(before.shape[1])
    if seen is None:
        weights = {SIDES[0]: before @ between.lag, SIDES[1]: before}
    else:
        potted = own["potted"] * (between.form_age @ own["form_designed"])
        pattern = between.pattern_age @ own["pattern_designed"]
        decorated = own["decorated"] * pattern * (between.sale_lag @ own["sold"])
        weights = {
            SIDES[0]: (before * seen.decorated) @ between.lag * potted,
            SIDES[1]: before * decorated * (seen.potted @ between.lag.T),
        }
    found = {}
    for name, side in SIDE_OF.items():
        slot, marks = way.weighed.slots.get(side), model.marks.printed if side == SIDES[1] else model.marks.in_clay
        read = np.zeros(marks.marks + 1) if slot is None else slot.log
        told = side_told(side, slot, examination.dates)
        none = 0.0 if slot is None else slot.none
        found[name] = marks.mark_posterior(weights[side], read[:-1], none, float(read[-1]), **told)
    return found


def _numbers(w: Weighed) -> Floats:
    """Mass of each number, none and new: by treatment, and by line for the product of the parts."""
    m, known, shares, numbering = w.model, w.model.known, w.model.shares, w.model.numbering
    form, k, line = known.cell_form, known.cell_treatment, m.cell_line
    e = w.e[m.classes.cell_e]
    product = shares.form_rest[form] * shares.line_rest[line] * shares.cell_product
    plain = w.form[form] * e * product * w.plain[k] * w.else_number[line]
    listed, _ = open_masses(w)
    treatment = np.bincount(k, np.maximum(w.cell - plain, 0.0), len(known.treatments)) + np.maximum(listed, 0.0)
    lines = len(m.line_maker)
    of_line = np.bincount(line, w.cell, lines) + np.bincount(m.form_line, w.unrecorded_form, lines)
    other = np.maximum(of_line - np.bincount(numbering.line_of, treatment, lines), 0.0)
    slot = w.slots.get("number")
    log = np.zeros(numbering.own.shape[1] + 1) if slot is None else slot.log
    none = 1.0 if slot is None else float(np.exp(slot.none))
    read, new = np.exp(log[:-1]), float(np.exp(log[-1]))
    by_treatment = numbering.absent * none + (1 - numbering.absent) * (numbering.own @ read + numbering.unknown * new)
    t = np.divide(treatment, by_treatment, out=np.zeros(len(treatment)), where=by_treatment > 0)
    by_line = numbering.line_absent * none + (1 - numbering.line_absent) * new
    n = np.divide(other, by_line, out=np.zeros(lines), where=by_line > 0)
    numbered = t * (1 - numbering.absent)
    without = none * float(t @ numbering.absent + n @ numbering.line_absent)
    unheard = new * float(numbered @ numbering.unknown + n @ (1 - numbering.line_absent))
    return np.append((numbering.own.T @ numbered) * read, [without, unheard])


def _customers(w: Weighed) -> Floats:
    """Mass of each customer, none and new."""
    m, lines = w.model, len(w.model.line_maker)
    of_line = np.bincount(m.form_line, np.bincount(m.known.cell_form, w.cell, len(w.form)) + w.unrecorded_form, lines)
    slot = w.slots.get("customer")
    read = np.ones(m.customer.shape[1]) if slot is None else np.append(slot.p, np.exp(slot.none))
    seen = m.customer * read
    share = of_line[:, None] * seen / np.maximum(seen.sum(axis=1, keepdims=True), 1e-300)
    mass = share.sum(axis=0)
    return np.append(mass[:-2], [mass[-1], mass[-2]])
