"""Pieces that somebody met: what they are, and what is on them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.demo.factory import YEARS
from footring.demo.ware import World

Index = NDArray[np.int64]
Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
OUTSIDE_CLAY, OUTSIDE_PRINTED, OUTSIDE_LABEL = 0.4, 0.7, 0.2
"""Shares of outside pieces with a mark in the clay, a printed one, a label."""


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Truth of pieces, an array each. -1: none, or the piece is from outside.

    Parameters
    ----------
    cell, maker, size, year, potted, printed, in_clay, number, label, customer, reader : int arrays, shape (pieces,)
        `maker` is 0 for the factory; `number` is a row of the world's codes as written on the piece.
    readings : list of dict
        Column to text, as a collector types it.
    """

    cell: Index
    maker: Index
    size: Index
    year: Index
    potted: Index
    printed: Index
    in_clay: Index
    number: Index
    label: Index
    customer: Index
    reader: Index
    readings: list[dict[str, str]]


def draw_pieces(world: World, rng: np.random.Generator, pieces: int, chosen: Floats | None = None) -> Pieces:
    """Draw pieces that nobody has read yet.

    Parameters
    ----------
    chosen : array, shape (cells,), or None
        How likely a collector is to pick a piece of each cell out, against the others; None: nobody chose.
    """
    p = world.p
    rate = world.rate if chosen is None else world.rate * chosen
    cell = np.asarray(rng.choice(len(rate), size=pieces, p=rate / rate.sum()))
    outside = rng.random(pieces) < p.outside_share
    maker = np.where(outside, rng.integers(1, p.outside_makers + 1, pieces), 0)
    year = pick(rng, world.when[cell])
    potted = np.maximum(year - rng.choice(len(world.lag), size=pieces, p=world.lag), world.since[world.cells[cell, 0]])
    line = world.treatments[world.cells[cell, 1], 0]
    own = {
        "printed": _from(rng, world.marks.printed[line, :, year]),
        "in_clay": _from(rng, world.marks.in_clay[line, :, potted]),
        "label": _from(rng, world.labels.share[:, year].T),
        "size": _sizes(world, rng, world.cells[cell, 0]),
        "number": _numbers(world, rng, world.cells[cell, 1]),
        "customer": _customers(world, cell, year),
    }
    theirs = {name: np.full(pieces, -1) for name in own} | _on_outside(world, rng, maker)
    kept = {name: np.where(outside, theirs[name], of) for name, of in own.items()}
    reader = rng.integers(0, p.readers, pieces)
    return Pieces(
        cell=np.where(outside, -1, cell), maker=maker, year=year, potted=potted, reader=reader, readings=[], **kept
    )


def pick(rng: np.random.Generator, p: Floats) -> Index:
    """One column of each row of chances."""
    upto = np.cumsum(p, axis=1)
    return np.asarray((upto < rng.random((len(p), 1)) * upto[:, -1:]).sum(axis=1))


def _from(rng: np.random.Generator, p: Floats) -> Index:
    """One column of each row of chances; the last, none, is -1."""
    found = pick(rng, p)
    return np.where(found == p.shape[1] - 1, -1, found)


def _on_outside(world: World, rng: np.random.Generator, maker: Index) -> dict[str, Index]:
    """What an outside maker's pieces bear: each has one mark of a kind and one label."""
    of = {(mark.maker, mark.in_clay): m for m, mark in enumerate(world.marks.marks) if mark.maker}
    clay, printed = (np.array([of.get((int(m), side), -1) for m in maker], np.int64) for side in (True, False))
    label = len(world.labels.own) + maker - 1
    shares = {"in_clay": (clay, OUTSIDE_CLAY), "printed": (printed, OUTSIDE_PRINTED), "label": (label, OUTSIDE_LABEL)}
    return {name: np.where(rng.random(len(maker)) < share, what, -1) for name, (what, share) in shares.items()}


def _customers(world: World, cell: Index, year: Index) -> Index:
    found = np.full(len(cell), -1)
    for of, when, customer in world.batches:
        found[(cell == of) & (YEARS[year] == when)] = customer
    return found


def _sizes(world: World, rng: np.random.Generator, form: Index) -> Index:
    of = [[s for s, size in enumerate(world.things.sizes) if size.form == f] for f in range(len(world.things.forms))]
    return np.array([of[f][int(rng.integers(0, len(of[f])))] for f in form.tolist()], np.int64)


def _numbers(world: World, rng: np.random.Generator, treatment: Index) -> Index:
    """Row of the code written on each piece; -1 none; now and then the number its decoration has on another line."""
    own = world.number_of[treatment]
    sisters: dict[int, list[int]] = {}
    for row, (_, _, _, decoration) in enumerate(world.codes):
        sisters.setdefault(decoration, []).append(row)
    out = np.where(rng.random(len(own)) < world.p.numbered, own, -1)
    for i in np.flatnonzero((out >= 0) & (rng.random(len(own)) < world.p.sister_numbers)):
        line, _, _, decoration = world.codes[out[i]]
        others = [row for row in sisters[decoration] if world.codes[row][0] != line]
        if others:
            out[i] = others[int(rng.integers(0, len(others)))]
    return out
