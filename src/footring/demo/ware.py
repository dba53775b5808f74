"""What the factory made of it: treatments, cells with their rates and years, numbers and marks in use."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from footring.demo.factory import YEARS, Things, draw_things
from footring.demo.labels import Labels, draw_labels
from footring.demo.mark_habits import Marks, draw_marks
from footring.demo.parameters import Parameters
from footring.demo.words import stream
from footring.terms.errors import BadInput

Floats = NDArray[np.float64]
Index = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class World:
    """A factory and everything it made.

    Parameters
    ----------
    treatments : int array, shape (treatments, 5)
        Line, body, glaze, decoration, trim.
    spans : int array, shape (treatments, 2)
        First and last year of each.
    cells : int array, shape (cells, 2)
        Form and treatment; all that a line could make, samples among them.
    offered : bool array, shape (cells,)
        Whether it was on the lists; others were made as samples only.
    rate : array, shape (cells,)
        Share of all pieces; sums to 1.
    when : array, shape (cells, years)
        p(decorated | cell).
    codes : tuple of (line, code, glaze, decoration)
        Decoration numbers; what has none is left out.
    number_of : int array, shape (treatments,)
        Number of each treatment, -1 none.
    lag : array, shape (21,)
        p(years from potting to decorating).
    batches : tuple of (cell, year, customer)
        Orders; all of a cell that was decorated in that year bears the customer's name. -1: no customer.
    pairs : mapping of the form of a lid to (glaze of the lid, glaze of its base)
        Issued together in two colours.
    """

    p: Parameters
    things: Things
    treatments: Index
    spans: Index
    cells: Index
    offered: NDArray[np.bool_]
    rate: Floats
    when: Floats
    codes: tuple[tuple[int, str, int, int], ...]
    number_of: Index
    marks: Marks
    lag: Floats
    batches: tuple[tuple[int, int, int], ...]
    pairs: dict[int, tuple[int, int]]
    labels: Labels

    @property
    def replaced(self) -> Index:
        """Column of the first year of each form's new mould; a year that never comes where it had one only."""
        return np.array([form.replaced - int(YEARS[0]) if form.replaced else len(YEARS) for form in self.things.forms])

    @property
    def since(self) -> Index:
        """Column of the first year of each form: no blank of it is older. Shape (forms,)."""
        return np.array([form.designed for form in self.things.forms]) - int(YEARS[0])


def draw_world(p: Parameters) -> World:
    """Draw a world."""
    things = draw_things(p)
    treatments, spans, weight = _treatments(p, things)
    things = _designed_in_time(things, treatments, spans)
    cells, offered, rate = _cells(p, things, treatments, spans, weight)
    when = _when(p, things, treatments, spans, cells)
    batches = _batches(p, offered, when)
    for cell, year, _ in batches:
        rate[cell] += rate.sum() * 0.002
        when[cell] = 0.5 * when[cell] + 0.5 * (YEARS == year)
    codes, number_of = _numbers(p, things, treatments)
    return World(
        p, things, treatments, spans, cells, offered, rate / rate.sum(), when, codes, number_of,
        draw_marks(p, things), _lag(p), batches, _pairs(p, things, treatments, cells, rate), draw_labels(p),
    )  # fmt: skip


def _treatments(p: Parameters, things: Things) -> tuple[Index, Index, Floats]:
    rng = stream(p.seed, "treatments")
    rows: list[tuple[int, ...]] = []
    spans, weight = [], []
    per_line = len(things.decorations) // len(things.lines)
    order = 1 + rng.permutation(len(things.decorations) - 1)
    for number, line in enumerate(things.lines):
        shared = rng.choice(order, size=min(10, len(order)), replace=False)
        mine = np.unique(np.concatenate([order[number * per_line : (number + 1) * per_line], shared, [0, 0]]))
        glazes = rng.permutation(len(things.glazes))[: int(rng.integers(5, 10))]
        trims = np.append(0, 1 + rng.permutation(len(things.trims) - 1)[:4])
        popular = (1.0 + np.arange(len(glazes))) ** -0.8
        seen = set()
        for rank in range(p.treatments_a_line):
            decoration = int(rng.choice(mine))
            glaze = int(rng.choice(glazes, p=popular / popular.sum()))
            trim = int(rng.choice(trims, p=[0.45, 0.25, 0.15, 0.1, 0.05]))
            row = (number, int(rng.choice(line.bodies)), glaze, decoration, trim)
            if row in seen:
                continue
            seen.add(row)
            rows.append(row)
            first = max(line.start, min(things.decorations[decoration].designed, line.end - 2))
            start = int(rng.integers(first, line.end + 1)) if rng.random() < 0.5 else first
            spans.append((start, min(line.end, start + 1 + int(rng.exponential(9)))))
            weight.append((rank + 1.0) ** -p.tail)
    return np.array(rows), np.array(spans), np.array(weight)


def _designed_in_time(things: Things, treatments: Index, spans: Index) -> Things:
    """No decoration is younger than its first use."""
    first = np.full(len(things.decorations), YEARS[-1])
    np.minimum.at(first, treatments[:, 3], spans[:, 0])
    early = (replace(d, designed=min(d.designed, int(y))) for d, y in zip(things.decorations, first, strict=True))
    return replace(things, decorations=tuple(early))


def _cells(
    p: Parameters, things: Things, treatments: Index, spans: Index, weight: Floats
) -> tuple[Index, NDArray[np.bool_], Floats]:
    rng = stream(p.seed, "cells")
    form_line = np.array([f.line for f in things.forms])
    pairs = [(f, t) for f in range(len(form_line)) for t in np.flatnonzero(treatments[:, 0] == form_line[f])]
    cells = np.array(pairs)
    share = np.array([line.share for line in things.lines])[treatments[:, 0]]
    of_form = np.array([f.weight for f in things.forms])
    overlap = np.minimum(np.array([f.end for f in things.forms])[cells[:, 0]], spans[cells[:, 1], 1]) - np.maximum(
        np.array([f.designed for f in things.forms])[cells[:, 0]], spans[cells[:, 1], 0]
    )
    breadth = np.clip(p.breadth * np.exp(0.6 * rng.standard_normal(len(treatments))), 0.02, 1.0)
    offered = (rng.random(len(cells)) < breadth[cells[:, 1]]) & (overlap >= 0)
    of_line = treatments[cells[:, 1], 0]
    offered |= (np.bincount(of_line, offered)[of_line] == 0) & (overlap >= 0)
    line_total = np.bincount(treatments[:, 0], weight)[treatments[:, 0]]
    rate = (share * weight / line_total)[cells[:, 1]] * of_form[cells[:, 0]]
    rate = rate * np.exp(p.unevenness * rng.standard_normal(len(cells)))
    real = np.where(offered, rate, 0.0)
    shares = np.array([line.share for line in things.lines])
    real = real / np.maximum(np.bincount(of_line, real), 1e-300)[of_line] * (shares / shares.sum())[of_line]
    sample = np.where(offered | (overlap < 0), 0.0, rate)
    made = real * (1.0 - p.samples_share) + p.samples_share * sample / max(sample.sum(), 1e-12)
    keep = made > 0
    if not offered.any():
        raise BadInput("no form of this world was made while any of its treatments was; give it more of either")
    return cells[keep], offered[keep], made[keep]


def _when(p: Parameters, things: Things, treatments: Index, spans: Index, cells: Index) -> Floats:
    rng = stream(p.seed, "fashion")
    phase, length = rng.uniform(0, 2 * np.pi, len(treatments)), rng.uniform(5, 14, len(treatments))
    wave = 1.0 + p.fashion * np.sin(2 * np.pi * YEARS[None, :] / length[:, None] + phase[:, None])
    start = np.maximum(np.array([f.designed for f in things.forms])[cells[:, 0]], spans[cells[:, 1], 0])
    end = np.minimum(np.array([f.end for f in things.forms])[cells[:, 0]], spans[cells[:, 1], 1])
    inside = (YEARS[None, :] >= start[:, None]) & (YEARS[None, :] <= end[:, None])
    height = np.maximum(wave[cells[:, 1]], 0.02) * inside
    return np.asarray(height / height.sum(axis=1, keepdims=True))


def _batches(p: Parameters, offered: NDArray[np.bool_], when: Floats) -> tuple[tuple[int, int, int], ...]:
    rng = stream(p.seed, "batches")
    chosen = rng.choice(np.flatnonzero(offered), size=min(p.batches, int(offered.sum())), replace=False)
    years = [int(rng.choice(YEARS, p=when[c])) for c in chosen]
    return tuple(
        (int(c), year, i % p.customers if p.customers else -1)
        for i, (c, year) in enumerate(zip(chosen, years, strict=True))
    )


def _pairs(p: Parameters, things: Things, treatments: Index, cells: Index, rate: Floats) -> dict[int, tuple[int, int]]:
    """Some lids were issued in a glaze of their own: lid -> glaze of the lid, glaze of its base."""
    rng = stream(p.seed, "pairs")
    found = {}
    for lid, form in enumerate(things.forms):
        if form.base < 0 or rng.random() < 0.5:
            continue
        share = np.bincount(treatments[cells[:, 1], 2], rate * (cells[:, 0] == form.base), len(things.glazes))
        others = np.unique(treatments[treatments[:, 0] == form.line, 2])
        if share.sum() > 0 and len(others) > 1:
            base = int(rng.choice(len(share), p=share / share.sum()))
            found[lid] = int(rng.choice(others[others != base])), base
    return found


def _numbers(p: Parameters, things: Things, treatments: Index) -> tuple[tuple[tuple[int, str, int, int], ...], Index]:
    rng = stream(p.seed, "numbers")
    number_of = np.full(len(treatments), -1)
    codes: list[tuple[int, str, int, int]] = []
    at: dict[tuple[int, int, int], int] = {}
    running = {line: int(rng.integers(100, 900)) for line in range(len(things.lines))}
    for t, (line, _, glaze, decoration, _) in enumerate(treatments.tolist()):
        habit = things.lines[line].habit
        if habit in ("none", "name"):
            continue
        if (line, glaze, decoration) not in at:
            running[line] += int(rng.integers(1, 7))
            at[line, glaze, decoration] = len(codes)
            codes.append((line, _written(habit, running[line], glaze), glaze, decoration))
        number_of[t] = at[line, glaze, decoration]
    return tuple(codes), number_of


def _written(habit: str, number: int, glaze: int) -> str:
    if habit == "slash":
        return f"{1 + glaze % 9}/{number}"
    if habit == "letter":
        return f"{number} {'MPQR'[glaze % 4]}"
    return f"{number}-{'ABCD'[glaze % 4]}" if habit == "dash" else str(number)


def _lag(p: Parameters) -> Floats:
    apart = np.arange(21)
    tail = np.exp(-apart / 6.0) * (apart > 1)
    near = np.where(apart == 0, 0.62, np.where(apart == 1, 0.38, 0.0))
    return np.asarray((1.0 - p.lag_tail) * near + p.lag_tail * tail / tail.sum())
