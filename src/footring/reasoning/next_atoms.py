"""What a piece may be, as a short list that the worth of a reading not yet made can be worked out on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.examination import Examination, Way
from footring.reasoning.piece_years import SIDES
from footring.reference import TREATMENT

Floats = NDArray[np.float64]
Index = NDArray[np.intp]
MOST_CELLS, MOST_FORMS = 240, 40


@dataclass(frozen=True, slots=True, eq=False)
class Atoms:
    """The likeliest recorded cells, forms in what nobody recorded, all else together, and outside last.

    Parameters
    ----------
    p : array, shape (atoms,)
        Probabilities; they sum to 1.
    form, treatment : int arrays, shape (atoms,)
        Rows; -1 where it is not one of them.
    window : int array, shape (atoms,)
        Row of `Classes.windows` of each cell; -1 for others.
    told : mapping of str to array
        Where atoms were told apart by "size", "number" or "years": what each has of it.
    """

    examination: Examination
    p: Floats
    form: Index
    treatment: Index
    window: Index
    told: Mapping[str, Floats] = field(default_factory=dict)

    @property
    def likeliest_way(self) -> Way:
        """The likeliest way of taking the readings."""
        return self.examination.ways[int(self.examination.shares.argmax())]

    def rows(self, slot: str) -> Index:
        """Row of each atom in the table of a slot that form or treatment settle; -1 where they do not."""
        m = self.examination.model
        if slot == "form":
            return self.form
        if slot in ("line", "maker"):
            line = np.where(self.form >= 0, m.form_line[self.form], -1)
            return line if slot == "line" else np.where(line >= 0, np.append(m.line_maker, -1)[line], -1)
        column = m.known.treatments[:, 1 + TREATMENT.index(slot)]
        return np.where(self.treatment >= 0, np.append(column, -1)[self.treatment], -1).astype(np.intp)

    def values(self, slot: str) -> Floats:
        """p(value of a slot | atom), shape (atoms, values + 1), a new one last.

        Atoms that do not settle it have what the marginal leaves; outside has nothing.
        """
        marginal = self.examination.marginals[slot]
        count = len(marginal) + (slot in ("line", "maker", "form", "size"))
        found = np.zeros((len(self.p), count))
        rows = self.rows(slot)
        known = np.flatnonzero(rows >= 0)
        found[known, rows[known]] = 1.0
        open_ = np.flatnonzero(rows[:-1] < 0)
        whole = np.append(marginal, [0.0] * (count - len(marginal))) * (1.0 - self.p[-1])
        left = np.maximum(whole - self.p[known] @ found[known], 0.0)
        found[open_] = left / left.sum() if left.sum() > 1e-12 else whole / max(float(whole.sum()), 1e-300)
        return found

    def sizes(self) -> Floats:
        """p(size | atom), shape (atoms, sizes + 1); the last is one that the reference does not hold."""
        if "size" in self.told:
            return self.told["size"]
        m, slots = self.examination.model, self.examination.ways[0].weighed.slots
        share = m.size_share * (slots["size"].p[:-1] if "size" in slots else 1.0)
        found = np.zeros((len(self.p), len(share) + 1))
        for atom, form in enumerate(self.form.tolist()):
            of = np.flatnonzero(m.size_form == form) if form >= 0 else np.zeros(0, int)
            found[atom, of if len(of) else -1] = share[of] / max(float(share[of].sum()), 1e-300) if len(of) else 1.0
        found[-1] = 0.0
        return found

    def numbers(self) -> tuple[Floats, Floats]:
        """p(number | atom) for all the reference holds, and p(none | atom); what is left is a new one."""
        if "number" in self.told:
            return self.told["number"][:, :-2], self.told["number"][:, -2]
        numbering, m = self.examination.model.numbering, self.examination.model
        found, none = np.zeros((len(self.p), numbering.own.shape[1])), np.full(len(self.p), 0.5)
        for atom, (k, form) in enumerate(zip(self.treatment.tolist(), self.form.tolist(), strict=True)):
            if k >= 0:
                none[atom] = float(numbering.absent[k])
                found[atom] = (1.0 - none[atom]) * numbering.own[[k]].toarray()[0]
            elif form >= 0:
                none[atom] = float(numbering.line_absent[m.form_line[form]])
        return found, none

    def years(self) -> Floats:
        """p(year decorated | atom) after what was read of years, shape (atoms, years); the average where not known."""
        if "years" in self.told:
            return self.told["years"]
        classes, seen = self.examination.model.classes, self.likeliest_way.years
        found = np.zeros((len(self.p), classes.windows.shape[1]))
        known = self.window >= 0
        e = self.window[known]
        found[known] = classes.windows[e] * (1.0 if seen is None else seen.total[classes.e_group[e]])
        found /= np.maximum(found.sum(axis=1, keepdims=True), 1e-300)
        mean = self.p[known] @ found[known]
        flat = np.full(found.shape[1], 1.0 / found.shape[1])
        found[~known] = mean / mean.sum() if mean.sum() > 0.0 else flat
        return found

    def marks(self, side: str) -> tuple[Floats, Floats]:
        """p(mark | atom), shape (atoms, marks), and p(none | atom), averaged over its years."""
        m = self.examination.model
        marks = m.marks.in_clay if side == SIDES[0] else m.marks.printed
        years = self.years()
        found, none = np.zeros((len(self.p), marks.marks)), np.full(len(self.p), 0.5)
        for atom in np.flatnonzero(self.window >= 0).tolist():
            group, when = int(m.classes.e_group[self.window[atom]]), years[atom]
            own = marks.pair_group == group
            found[atom, marks.pair_mark[own]] += marks.share[own] @ when
            of_maker = marks.maker_pair_maker == marks.group_maker[group]
            other = marks.maker_share[of_maker] @ (when * marks.other[group])
            np.add.at(found[atom], marks.maker_pair_mark[of_maker], other)
            none[atom] = float(marks.none[group] @ when)
        return found, none


def atoms(examination: Examination) -> Atoms:
    """The short list of one examination."""
    m, cells, open_ = examination.model, examination.cells, examination.unrecorded_forms
    top = _largest(cells, MOST_CELLS)
    forms = _largest(open_, MOST_FORMS)
    told = np.concatenate([cells[top], open_[forms]])
    rest = max(1.0 - examination.outside - float(told.sum()), 0.0)
    none = np.full(len(forms), -1)
    return Atoms(
        examination,
        np.concatenate([told, [rest, examination.outside]]),
        np.concatenate([m.known.cell_form[top], forms, [-1, -1]]).astype(np.intp),
        np.concatenate([m.known.cell_treatment[top], none, [-1, -1]]).astype(np.intp),
        np.concatenate([m.classes.cell_e[top], none, [-1, -1]]).astype(np.intp),
    )


def _largest(p: Floats, most: int) -> Index:
    few = np.argpartition(-p, most)[:most] if len(p) > most else np.arange(len(p))
    return few[np.argsort(-p[few], kind="stable")]
