"""How strongly shares lean on their parents, fitted: each unselected piece is foretold from all the others.

Leaving one piece out is exact at every level: a treatment met once is then no longer known on its form, perhaps not on
its line, and its parts are counted once less [stone1974]_.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from footring.reasoning.parameters import Levels
from footring.reasoning.recorded import Recorded
from footring.reasoning.shares import Sizes, seats
from footring.reference.weights import sums

Floats = NDArray[np.float64]
Index = NDArray[np.int32]
_DISCOUNTS = ("cell_discount", "treatment_discount", "table_power")
_FIXED = ("line", "form", "new")
FEWEST = 30
"""Unselected pieces below which the levels stay as they are."""
MOST_CELLS = 20_000


@dataclass(frozen=True, slots=True, eq=False)
class Leaving:
    """Counts round each cell that an unselected piece was met of; every array of shape (cells,)."""

    pieces: Floats
    weight: Floats
    of_form: Floats
    tables_of_form: Floats
    all_weight: Floats
    treatment: Index
    stated: Floats
    line: Index
    here: NDArray[np.intp]
    types_of_line: Floats
    met: dict[str, Floats]
    things: tuple[int, int, int, int]


def leaving(known: Recorded, unselected: Floats, sizes: Sizes) -> Leaving:
    """Gather the counts.

    Parameters
    ----------
    unselected : array, shape (cells,)
        Unselected confirmed pieces of each cell.
    sizes : tuple of int
        Lines, bodies, glazes, decorations and trims.
    """
    weight = known.pieces + known.documents
    once = np.minimum(weight, 1.0)
    k, form, rows = known.cell_treatment, known.cell_form, known.treatments
    tables = sums(k, once, len(rows)) + np.minimum(known.stated, 1.0)
    types = np.minimum(tables, 1.0)
    here = np.flatnonzero((unselected > 0) & (rows[k] >= 0).all(axis=1))[:MOST_CELLS]
    line, forms = rows[:, 0], int(form.max(initial=-1)) + 1
    groups = {
        "l": (0,), "lb": (0, 1), "lg": (0, 2), "ld": (0, 3), "lt": (0, 4), "lgd": (0, 2, 3), "ldt": (0, 3, 4),
        "b": (1,), "g": (2,), "d": (3,), "t": (4,),
    }  # fmt: skip
    met = {name: _group_sum(rows[:, columns], types)[k[here]] for name, columns in groups.items()}
    of_form = _group_sum(np.stack([form, rows[k, 1]], axis=1), once)
    met["fb"], met["all"] = of_form[here], np.full(len(here), types.sum())
    met["f"] = sums(form, once, forms)[form[here]]
    return Leaving(
        unselected[here], weight[here], sums(form, weight, forms)[form[here]], met["f"], weight, k,
        np.minimum(known.stated, 1.0), line, here, met["l"], met, (sizes[1], sizes[2], sizes[3], sizes[4]),
    )  # fmt: skip


def _group_sum(keys: Index, weight: Floats) -> Floats:
    _, which = np.unique(keys, axis=0, return_inverse=True)
    which = which.ravel()
    return np.asarray(sums(which, weight, len(weight))[which])


def foretold(of: Leaving, levels: Levels) -> Floats:
    """p(treatment | line, form) of a piece of each cell, from all pieces but itself; shape (cells,)."""
    left = np.maximum(of.weight - 1.0, 0.0)
    once = np.minimum(of.weight, 1.0) - np.minimum(left, 1.0)
    own, rest = _level(
        left, np.maximum(of.of_form - 1.0, 0.0), of.tables_of_form - once, levels.cell, levels.cell_discount
    )
    whole = sums(of.treatment, seats(of.all_weight, levels.table_power), len(of.line)) + of.stated
    k = of.treatment[of.here]
    less = seats(of.weight, levels.table_power) - seats(left, levels.table_power)
    before = whole[k]
    tables = np.maximum(before - less, 0.0)
    of_line = sums(of.line, whole, len(of.line))[of.line[k]]
    gone = np.minimum(before, 1.0) - np.minimum(tables, 1.0)
    listed, free = _level(tables, of_line - less, of.types_of_line - gone, levels.treatment, levels.treatment_discount)
    return np.asarray(own + rest * (listed + free * _product(of, levels, gone, once)))


def _level(count: Floats, total: Floats, kinds: Floats, strength: float, discount: float) -> tuple[Floats, Floats]:
    below = total + strength
    return (count - discount * np.minimum(count, 1.0)) / below, (strength + discount * kinds) / below


def _product(of: Leaving, levels: Levels, gone: Floats, less: Floats) -> Floats:
    m = {name: np.maximum(count - gone, 0.0) for name, count in of.met.items() if name not in ("f", "fb")}
    bodies, glazes, decorations, trims = ((1.0 - levels.new) / max(n, 1) for n in of.things)
    known = [levels.thing * max(n, 1) for n in of.things]

    def lean(count: Floats, total: Floats, onto: Floats | float, strength: float) -> Floats:
        return np.asarray((count + strength * onto) / (total + strength))

    glaze = lean(m["lg"], m["l"], lean(m["g"], m["all"], glazes, known[1]), levels.glaze)
    of_line = lean(m["ld"], m["l"], lean(m["d"], m["all"], decorations, known[2]), levels.decoration_of_line)
    decoration = lean(m["lgd"], m["lg"], of_line, levels.decoration)
    trim_of_line = lean(m["lt"], m["l"], lean(m["t"], m["all"], trims, known[3]), levels.trim_of_line)
    trim = lean(m["ldt"], m["ld"], trim_of_line, levels.trim)
    of_body = lean(m["lb"], m["l"], bodies, levels.body)
    body = lean(np.maximum(of.met["fb"] - less, 0.0), np.maximum(of.met["f"] - less, 0.0), of_body, levels.body)
    return np.asarray(body * glaze * decoration * trim)


def fit_levels(known: Recorded, unselected: Floats, sizes: Sizes, start: Levels) -> Levels:
    """Levels under which the pieces are best foretold; too few pieces leave them as they were.

    A weak pull towards where it starts keeps what the data does not settle.
    """
    if unselected.sum() < FEWEST:
        return start
    of = leaving(known, unselected, sizes)
    names = [f.name for f in fields(Levels) if f.name not in _FIXED]
    first = _unbounded(start, names)

    def loss(at: Floats) -> float:
        levels = _levels(start, names, at)
        told = -float(of.pieces @ np.log(np.maximum(foretold(of, levels), 1e-300)))
        return told + 0.05 * float(((at - first) ** 2).sum())

    return _levels(start, names, _minimum(loss, first))


def _minimum(loss: Callable[[Floats], float], first: Floats) -> Floats:
    found = minimize(loss, first, method="L-BFGS-B", bounds=[(-6.0, 9.0)] * len(first), options={"maxiter": 60})
    return np.asarray(np.round(found.x, 3))


def _unbounded(levels: Levels, names: list[str]) -> Floats:
    values = np.array([getattr(levels, name) for name in names])
    share = np.array([name in _DISCOUNTS for name in names])
    return np.where(share, np.log(values / (1.0 - np.where(share, values, 0.0))), np.log(values))


def _levels(start: Levels, names: list[str], at: Floats) -> Levels:
    values = {
        name: float(1.0 / (1.0 + np.exp(-x)) if name in _DISCOUNTS else np.exp(x))
        for name, x in zip(names, at, strict=True)
    }
    return replace(start, **values)
