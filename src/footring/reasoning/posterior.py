"""What a piece is, exactly: every recorded cell and whatever could turn up, each weighed by all readings.

The network is a tree given line and form. Sizes, marks and dates are summed out first, once for each mark group and
window; what is left is a product along the recorded cells, and for what nobody recorded a product of sums.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.model import Model
from footring.reasoning.piece_years import PieceYears
from footring.reasoning.slots import Slot
from footring.reference import TREATMENT
from footring.reference.weights import sums

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Weighed:
    """Weights of one way of taking the readings; all times the same constant.

    Parameters
    ----------
    form : array, shape (forms,)
        p(line) p(form | line) and all that was read of line, form, size, customer and label.
    treatment : array, shape (treatments,)
        What was read of the parts of the treatment and the number.
    part : mapping of part to array
        What was read of each body, glaze, decoration and trim, and of a new one.
    plain : array, shape (treatments,)
        What was read of the parts of each treatment.
    else_number : array, shape (lines,)
        What was read of the number, for what is no treatment recorded.
    e : array, shape (windows,)
        What was read of years.
    """

    model: Model
    slots: Mapping[str, Slot]
    years: PieceYears | None
    form: Floats
    part: Mapping[str, Floats]
    plain: Floats
    treatment: Floats
    else_number: Floats
    e: Floats

    @cached_property
    def unrecorded_form(self) -> Floats:
        """Mass of what is recorded neither by piece nor by document, by form."""
        m, shares = self.model, self.model.shares
        from_treatments = m.class_of_treatment @ (shares.treatment * self.treatment)
        met, classes = self._met, m.classes
        forms = int(classes.form.max(initial=-1)) + 1
        of = classes.meeting_treatment
        listed = sums(classes.meeting_form, met * _take(from_treatments, of), forms)[classes.form]
        free = sums(classes.meeting_form, met * _take(self.free.by_class, of), forms)[classes.form]
        whole = shares.form_rest * (listed + shares.line_rest[m.form_line] * self.body * free)
        gone = sums(m.cells.form, self.listed_part + self.free_part, len(m.form_line))
        return np.maximum(self.form * (whole - gone), 0.0)

    @cached_property
    def listed_part(self) -> Floats:
        """What each recorded cell would have by its treatment's share alone, but for its form's weight."""
        m = self.model
        return m.cells.listed * self.treatment[m.cells.treatment] * self._met[m.cells.meeting]

    @cached_property
    def free_part(self) -> Floats:
        """The same by the product of its parts."""
        m = self.model
        return m.cells.free * self.product[m.cells.treatment] * self._met[m.cells.product]

    @cached_property
    def product(self) -> Floats:
        """What was read of each treatment, if it came about by the product of its parts."""
        return self.plain * self.else_number[self.model.known.treatments[:, 0]]

    @cached_property
    def cell(self) -> Floats:
        """Mass of each recorded cell."""
        cells = self.model.cells
        own = cells.own * self.treatment[cells.treatment] + cells.free * self.product[cells.treatment]
        return self.form[cells.form] * self.e[cells.e] * own

    @cached_property
    def _met(self) -> Floats:
        return self.e[self.model.classes.meeting_e]

    @cached_property
    def body(self) -> Floats:
        """What was read of the body, averaged over the bodies of each form."""
        table = self.model.shares.parts.body
        return np.asarray(table @ self.part["body"]) if "body" in self.slots else np.ones(len(table))

    @cached_property
    def free(self) -> Free:
        """The product of the parts, summed by class of treatment."""
        return free_parts(self.model, self.part, self.else_number)

    @cached_property
    def total(self) -> float:
        """Mass of every recorded and unrecorded cell."""
        return float(self.cell.sum() + self.unrecorded_form.sum())


@dataclass(frozen=True, slots=True, eq=False)
class Free:
    """Sums over the product of the parts of a treatment.

    Parameters
    ----------
    by_class : array, shape (classes,)
    pair, other : arrays, shape (pairs,) and (lines,)
        The same by (line, decoration), and for decorations not recorded on the line.
    glazes : array, shape (lines, glazes + 1)
        p(glaze | line) and what was read of it.
    edge, trims : arrays, shape (pairs,) and (lines,)
        What was read of the trim, averaged by pair and by line.
    """

    by_class: Floats
    pair: Floats
    other: Floats
    glazes: Floats
    edge: Floats
    trims: Floats


def free_parts(model: Model, part: Mapping[str, Floats], else_number: Floats) -> Free:
    """Sum p(glaze) p(decoration | glaze) p(trim | decoration) and what was read of them over everything."""
    parts, classes = model.shares.parts, model.classes
    glaze, decoration, trim = part["glaze"], part["decoration"], part["trim"]
    under = parts.glaze * glaze
    rest = np.einsum("lg,lg->l", under, parts.glaze_rest)
    trims = parts.trim @ trim
    line = parts.pair_line
    edge = sums(parts.edge_pair, parts.edge_share * trim[parts.edge_trim], len(line))
    edge += parts.edge_rest * trims[line]
    met = sums(parts.met_pair, parts.met_share * under[line[parts.met_pair], parts.met_glaze], len(line))
    here = decoration[parts.pair_decoration]
    of_pair = (met + rest[line] * parts.pair_share) * here * edge * else_number[line]
    known = sums(line, parts.decoration[parts.pair_decoration] * here, len(trims))
    left = parts.others * np.maximum(float(parts.decoration @ decoration) - known, 0.0)
    of_other = rest * left * trims * else_number
    count = model.class_of_treatment.shape[0]
    by_class = sums(classes.pair, of_pair, count) + sums(classes.line, of_other, count)
    return Free(by_class, of_pair, of_other, under, edge, trims)


def weigh(model: Model, slots: Mapping[str, Slot], years: PieceYears | None, forms: Floats | None = None) -> Weighed:
    """Weigh every cell by what was read.

    Parameters
    ----------
    slots : mapping of slot to Slot
        From `by_slot`; a slot that nothing speaks of is not there.
    years : PieceYears or None
        From `piece_years`.
    forms : array, shape (forms,), or None
        What else is known of the form, as a factor of its prior.
    """
    part = {name: _part(model, name, slots.get(name)) for name in TREATMENT}
    plain = _plain(model, part, slots)
    treatment, else_number = plain, np.ones(len(model.line_maker))
    if "number" in slots:
        slot = slots["number"]
        by_treatment, else_number = model.numbering.likelihood(slot.log[:-1], slot.none, float(slot.log[-1]))
        treatment = plain * by_treatment
    form, e = form_weights(model, slots, forms), window_weights(model, years)
    return Weighed(model, slots, years, form, part, plain, treatment, else_number, e)


def form_weights(model: Model, slots: Mapping[str, Slot], forms: Floats | None = None) -> Floats:
    """p(line) p(form | line) and all that was read of line, form, size, customer and label; shape (forms,)."""
    form = model.form_prior * _lines(model, slots)[model.form_line] * (1.0 if forms is None else forms)
    if "form" in slots:
        form = form * slots["form"].p[:-1]
    return form * _sizes(model, slots["size"].p) if "size" in slots else form


def window_weights(model: Model, years: PieceYears | None) -> Floats:
    """What was read of years, by window; shape (windows,)."""
    if years is None:
        return np.ones(len(model.classes.e_group))
    return np.asarray(np.einsum("ey,ey->e", model.classes.windows, years.total[model.classes.e_group]))


def _plain(model: Model, part: Mapping[str, Floats], slots: Mapping[str, Slot]) -> Floats:
    """What was read of the parts of each treatment; a part not said takes the average over its line."""
    found = np.ones(len(model.known.treatments))
    for name, column in model.known.places.items():
        if name in slots:
            found *= np.concatenate([part[name], model.on_line[name] @ part[name]])[column]
    return found


def _part(model: Model, name: str, slot: Slot | None) -> Floats:
    return np.ones(model.on_line[name].shape[1]) if slot is None else slot.p


def _lines(model: Model, slots: Mapping[str, Slot]) -> Floats:
    found = np.ones(len(model.line_maker))
    if "line" in slots:
        found = found * slots["line"].p[:-1]
    if "maker" in slots:
        found = found * slots["maker"].p[model.line_maker]
    for name, table in (("customer", model.customer), ("label", model.label)):
        if name in slots:
            found = found * (table @ np.append(slots[name].p, np.exp(slots[name].none)))
    return found


def _sizes(model: Model, p: Floats) -> Floats:
    """Average over the sizes of each form; a form without any takes a size that the reference does not hold."""
    of_form = sums(model.size_form, model.size_share * p[:-1], len(model.form_line))
    return np.where(model.unsized, p[-1], of_form)


def _take(values: Floats, which: NDArray[np.int32]) -> Floats:
    return values[which] if len(values) else np.zeros(len(which))
