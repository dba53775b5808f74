"""What the rows of a finding are made of: recorded cells, and treatments on a form where nobody recorded them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.examination import Examination, Way
from footring.reasoning.model import Model
from footring.reasoning.shares import treatment_products
from footring.reasoning.thing_names import NEW, UNKNOWN

Floats = NDArray[np.float64]
Index = NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class Bunch:
    """Forms in treatments, before size, number and marks are told apart.

    Parameters
    ----------
    recorded : bool
        Whether pieces or documents name them.
    form, treatment : int32 array, shape (n,)
        Row of the treatment, -1 where it is none recorded on the line.
    parts : int32 array, shape (n, 4)
        Body, glaze, decoration and trim: rows, `UNKNOWN` or `NEW`.
    own, free : array, shape (ways, n)
        Probability by what the treatment itself has, numbers included, and by the product of its parts.
    own_window, free_window : int32 array, shape (n,)
        Rows of `Classes.windows`.
    """

    recorded: bool
    form: Index
    treatment: Index
    parts: Index
    own: Floats
    free: Floats
    own_window: Index
    free_window: Index

    @property
    def mass(self) -> Floats:
        """Probability of each, shape (n,)."""
        return np.asarray((self.own + self.free).sum(axis=0))


def recorded_cells(examination: Examination) -> Bunch:
    """Every recorded cell."""
    m = examination.model
    form, k, line, e = m.known.cell_form, m.known.cell_treatment, m.cell_line, m.classes.cell_e
    product = m.shares.form_rest[form] * m.shares.line_rest[line] * m.shares.cell_product
    outer = np.array([s * w.weighed.form[form] * w.weighed.e[e] for s, w in _ways(examination)])
    own = outer * [m.cells.own * w.weighed.treatment[k] for _, w in _ways(examination)]
    free = outer * [product * w.weighed.plain[k] * w.weighed.else_number[line] for _, w in _ways(examination)]
    return Bunch(True, form, k, _said(m.known.treatments[k, 1:]), own, free, e, e)


def open_form(examination: Examination, form: int) -> Bunch:
    """What one form may be where nothing is recorded.

    Treatments of its line; decorations of its line with the rest not said; other decorations, told apart only where
    one was read. They sum to `Examination.unrecorded_forms`.
    """
    return _joined([_listed(examination, form), *_decorated(examination, form)])


def _listed(examination: Examination, form: int) -> Bunch:
    m = examination.model
    line = int(m.form_line[form])
    everywhere = np.flatnonzero(m.known.treatments[:, 0] == line).astype(np.int32)
    k = np.setdiff1d(everywhere, m.known.cell_treatment[m.known.cell_form == form])
    windows = _windows(m, form)
    own_window = windows[m.classes.treatment[k]]
    free_window = windows[_class_of(m, line, m.known.treatments[k, 3])]
    share = m.shares.treatment[k]
    product = float(m.shares.line_rest[line]) * treatment_products(m.shares.parts, form, m.known.treatments[k])
    own, free = [], []
    for s, way in _ways(examination):
        w = way.weighed
        room = float(s * w.form[form] * m.shares.form_rest[form])
        own.append(room * share * w.treatment[k] * w.e[own_window])
        free.append(room * product * w.plain[k] * float(w.else_number[line]) * w.e[free_window])
    parts = _said(m.known.treatments[k, 1:])
    form_ = np.full(len(k), form, np.int32)
    return Bunch(False, form_, k, parts, np.array(own), np.array(free), own_window, free_window)


def _decorated(examination: Examination, form: int) -> list[Bunch]:
    """What the product of the parts leaves when the treatments of the line are told."""
    m = examination.model
    parts, line = m.shares.parts, int(m.form_line[form])
    pairs = np.flatnonzero(parts.pair_line == line).astype(np.int32)
    windows = _windows(m, form)
    of_pair, of_line = windows[m.classes.pair[pairs]], windows[m.classes.line[line]]
    here = parts.pair_decoration[pairs]
    others = _others(examination, here)
    paired, rest = [], []
    for s, way in _ways(examination):
        w = way.weighed
        room = float(s * w.form[form] * m.shares.form_rest[form] * m.shares.line_rest[line])
        told = room * float(w.else_number[line]) * _told(m, form, pairs, w.plain, w.e)
        body = room * float(w.body[form])
        paired.append(np.maximum(body * w.free.pair[pairs] * w.e[of_pair] - told, 0.0))
        among = np.append(parts.decoration * w.part["decoration"], 1.0)[others]
        rest.append(body * float(w.free.other[line] * w.e[of_line]) * among / max(float(among.sum()), 1e-300))
    last = len(parts.decoration) - 1
    named = np.where(others == last, NEW, np.where(others > last, UNKNOWN, others))
    return [
        _of_decorations(form, here, np.array(paired), of_pair),
        _of_decorations(form, named, np.array(rest), np.full(len(named), of_line)),
    ]


def _others(examination: Examination, here: Index) -> Index:
    """Decorations not recorded on a line, a new one last, told apart where one was read; else all in one."""
    count = len(examination.model.shares.parts.decoration)
    if not any("decoration" in way.weighed.slots for way in examination.ways):
        return np.array([count], np.int32)
    return np.setdiff1d(np.arange(count, dtype=np.int32), here)


def _told(m: Model, form: int, pairs: Index, plain: Floats, e: Floats) -> Floats:
    """The part of the product that is of treatments of the line, by pair."""
    line = int(m.form_line[form])
    k = np.flatnonzero(m.known.treatments[:, 0] == line)
    classes = _class_of(m, line, m.known.treatments[k, 3])
    product = treatment_products(m.shares.parts, form, m.known.treatments[k]) * plain[k] * e[_windows(m, form)[classes]]
    decoration = m.known.treatments[k, 3]
    said = decoration >= 0
    by = np.bincount(decoration[said], product[said], len(m.shares.parts.decoration))
    return np.asarray(by[m.shares.parts.pair_decoration[pairs]], np.float64)


def _of_decorations(form: int, decoration: Index, free: Floats, window: Index) -> Bunch:
    n = len(decoration)
    parts = np.full((n, 4), UNKNOWN, np.int32)
    parts[:, 2] = decoration
    whole = np.full(n, form, np.int32)
    return Bunch(False, whole, np.full(n, -1, np.int32), parts, np.zeros_like(free), free, window, window)


def _windows(m: Model, form: int) -> Index:
    """Window of a form with each class of treatment of its line; 0 for those of other lines."""
    windows = np.zeros(m.class_of_treatment.shape[0], np.int32)
    here = m.classes.meeting_form == m.classes.form[form]
    windows[m.classes.meeting_treatment[here]] = m.classes.meeting_e[here]
    return windows


def _class_of(m: Model, line: int, decorations: Index) -> Index:
    """Class of treatments nobody recorded with each decoration on a line."""
    by = np.full(len(m.shares.parts.decoration) + 1, m.classes.line[line], np.int32)
    pairs = m.shares.parts.pair_line == line
    by[m.shares.parts.pair_decoration[pairs]] = m.classes.pair[pairs]
    return by[decorations]


def _said(parts: Index) -> Index:
    return np.where(parts < 0, UNKNOWN, parts).astype(np.int32)


def _ways(examination: Examination) -> list[tuple[float, Way]]:
    return list(zip(examination.shares.tolist(), examination.ways, strict=True))


def _joined(bunches: list[Bunch]) -> Bunch:
    def one(name: str, axis: int = 0) -> Any:
        return np.concatenate([getattr(bunch, name) for bunch in bunches], axis=axis)

    across = {name: one(name, 1) for name in ("own", "free")}
    return Bunch(False, **across, **{name: one(name) for name in _BY_ROW})


_BY_ROW = ("form", "treatment", "parts", "own_window", "free_window")
