"""How much of the posterior stands on each window, and what the years are before anything dated was read."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from footring.reasoning.posterior import Weighed

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Chosen:
    """Which part of each thing's mass is asked for, 0 to 1; None is all of it.

    Parameters
    ----------
    forms, treatments : array, shape (forms,) and (treatments,)
    pairs, others : array, shape (pairs,) and (lines,)
        Of the treatments nobody recorded: by line and decoration, and with decorations not recorded on the line.
    """

    forms: Floats | None = None
    treatments: Floats | None = None
    pairs: Floats | None = None
    others: Floats | None = None


def window_masses(weighed: Weighed, chosen: Chosen | None = None) -> Floats:
    """Mass on each window, without what dates the piece; shape (windows,).

    Times `weighed.e` and summed it is `weighed.total`, where all is chosen.
    """
    chosen = chosen or Chosen()
    classes, cells = weighed.model.classes, weighed.model.cells
    e = weighed.e[cells.e]
    cell = np.divide(weighed.cell, e, out=np.zeros(len(e)), where=e > 0)
    cell = cell * _of(chosen.forms, cells.form) * _of(chosen.treatments, cells.treatment)
    windows = len(classes.e_group)
    met = meeting_masses(weighed, chosen)
    return np.asarray(np.bincount(cells.e, cell, windows) + np.bincount(classes.meeting_e, met, windows), np.float64)


def meeting_masses(weighed: Weighed, chosen: Chosen) -> Floats:
    """Mass of what is not recorded, by meeting of classes."""
    m, shares, classes = weighed.model, weighed.model.shares, weighed.model.classes
    room = weighed.form * shares.form_rest * _of(chosen.forms, slice(None))
    free_room = room * shares.line_rest[m.form_line] * weighed.body
    listed = shares.treatment * weighed.treatment * _of(chosen.treatments, slice(None))
    count, forms = m.class_of_treatment.shape[0], int(classes.form.max(initial=-1)) + 1
    of_free = np.bincount(classes.pair, weighed.free.pair * _of(chosen.pairs, slice(None)), count)
    of_free = of_free + np.bincount(classes.line, weighed.free.other * _of(chosen.others, slice(None)), count)
    i, j = classes.meeting_form, classes.meeting_treatment
    if len(i) == 0:
        return np.zeros(0)
    met = np.bincount(classes.form, room, forms)[i] * (m.class_of_treatment @ listed)[j]
    met = met + np.bincount(classes.form, free_room, forms)[i] * of_free[j]
    cells, form = m.cells, (weighed.form * _of(chosen.forms, slice(None)))[m.cells.form]
    read, product = (a * _of(chosen.treatments, slice(None)) for a in (weighed.treatment, weighed.product))
    met = met - np.bincount(cells.meeting, form * cells.listed * read[cells.treatment], len(i))
    gone = np.bincount(cells.product, form * cells.free * product[cells.treatment], len(i))
    return np.asarray(np.maximum(met - gone, 0.0))


def _of(part: Floats | None, which: slice | NDArray[np.intp]) -> Floats | float:
    return 1.0 if part is None else part[which]


def years_before(weighed: Weighed, chosen: Chosen | None = None) -> Floats:
    """Mass by mark group and year of decorating, without what dates the piece; shape (groups, years)."""
    classes = weighed.model.classes
    mass = window_masses(weighed, chosen)
    shape = (len(weighed.model.marks.in_clay.none), len(mass))
    return np.asarray(csr_matrix((mass, (classes.e_group, np.arange(len(mass)))), shape=shape) @ classes.windows)
