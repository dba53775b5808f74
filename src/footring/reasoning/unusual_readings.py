"""What is uncommon about the size, number and marks that were read, for the leading answer."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from footring.reasoning.examination import Examination
from footring.reasoning.leader import Leader
from footring.reasoning.piece_years import SIDES
from footring.reasoning.slots import Slot
from footring.reasoning.thing_names import thing_name

Told = tuple[str, float]
ALIKE_NAT = 2.0
"""Marks that a reading tells apart by less than this are counted together."""


def of_readings(examination: Examination, lead: Leader) -> Iterator[Told]:
    """What was read, in words with its counts, and its chance given the leading answer."""
    slots = examination.ways[int(examination.shares.argmax())].weighed.slots
    if "size" in slots:
        yield from _size(examination, lead)
    if lead.treatment >= 0 and "number" in slots:
        yield from _number(examination, lead, slots["number"])
    if lead.treatment >= 0:
        for side in SIDES:
            if side in slots:
                yield from _mark(examination, lead, side, slots[side])


def _size(examination: Examination, lead: Leader) -> Iterator[Told]:
    model = examination.model
    sizes = np.flatnonzero(model.size_form == lead.form)
    if len(sizes) > 1:
        row = int(sizes[np.argmax(examination.marginals["size"][sizes])])
        met, of = float(model.known.size_pieces[row]), float(model.known.size_pieces[sizes].sum())
        names = [thing_name(model.reference, table, i) for table, i in (("sizes", row), ("forms", lead.form))]
        yield f"Size {names[0]} of the {names[1].lower()}: {met:,.0f} of {of:,.0f} met", float(model.size_share[row])


def _number(examination: Examination, lead: Leader, slot: Slot) -> Iterator[Told]:
    model, k = examination.model, lead.treatment
    numbering, line = model.numbering, thing_name(model.reference, "lines", int(model.form_line[lead.form]))
    absent = float(numbering.absent[k])
    if slot.none > float(slot.log.max()):
        yield f"No number on {line} in this treatment: expected on {_one_in(absent)}", absent
        return
    best = int(slot.log.argmax())
    carried = numbering.own[[k]].toarray()[0]
    if best == len(carried) or carried[best] > 0.0:
        return
    code, p = thing_name(model.reference, "numbers", best), (1.0 - absent) * float(numbering.unknown[k])
    yield f"Number {code} is none recorded for this treatment of {line}: expected on at most {_one_in(p)}", p


def _mark(examination: Examination, lead: Leader, side: str, slot: Slot) -> Iterator[Told]:
    model, classes = examination.model, examination.model.classes
    marks = model.marks.in_clay if side == SIDES[0] else model.marks.printed
    row = int(slot.log.argmax())
    if row == marks.marks or slot.log[row] < slot.none:
        return
    alike = slot.log[:-1] > slot.log[row] - ALIKE_NAT
    only = np.where(alike, 0.0, -np.inf)
    by_year = marks.likelihood(only, -np.inf, -np.inf)[classes.e_group[lead.own_window]]
    p = float(by_year @ classes.windows[lead.own_window])
    line = thing_name(model.reference, "lines", int(model.form_line[lead.form]))
    yield f"The mark {thing_name(model.reference, 'marks', row)} on {line} of those years: {_one_in(p)}", p


def _one_in(p: float) -> str:
    return f"about one in {1.0 / p:,.0f}" if p > 1e-6 else "fewer than one in a million"
