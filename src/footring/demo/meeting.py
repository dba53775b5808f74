"""Pieces that somebody met, and what was read off them."""

from __future__ import annotations

import zlib
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.demo.mark_habits import MONTHS
from footring.demo.readers import Vocabulary, confuse
from footring.demo.ware import World
from footring.demo.words import words

Index = NDArray[np.int64]
Floats = NDArray[np.float64]
NOT_CODED, WORN = 0.97, 0.1
"""Chance of finding no code in a mark that has none, and of not finding one that is there."""
EFFECT_NOISE = 8.0
"""How much wider the colour of an effect glaze spreads than a plain one's."""
OTHER_FIGURE = 0.4
"""Share of figures of unknown kind that are no decoration number."""
SIZE_SPREAD_OUTSIDE = (4.9, 0.5)
"""Mean and standard deviation of the logarithm of an outside piece's width in millimetres."""


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Truth of pieces, an array each. -1: none, or the piece is from outside.

    Parameters
    ----------
    cell, maker, size, year, potted, printed, in_clay, number, reader : int arrays, shape (pieces,)
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
    reader: Index
    readings: list[dict[str, str]]


def meet(
    world: World, vocabulary: dict[str, Vocabulary], rng: np.random.Generator, pieces: int, chosen: Floats | None = None
) -> Pieces:
    """Draw pieces.

    Parameters
    ----------
    chosen : array, shape (cells,), or None
        How likely a collector is to pick a piece of each cell out, against the others; None: nobody chose.
    """
    p = world.p
    rate = world.rate if chosen is None else world.rate * chosen
    cell = rng.choice(len(rate), size=pieces, p=rate / rate.sum())
    outside = rng.random(pieces) < p.outside_share
    maker = np.where(outside, rng.integers(1, p.outside_makers + 1, pieces), 0)
    year = _pick(rng, world.when[cell])
    potted = np.maximum(year - rng.choice(len(world.lag), size=pieces, p=world.lag), 0)
    line = world.treatments[world.cells[cell, 1], 0]
    marks = [_pick(rng, table[line, :, y]) for table, y in ((world.marks.printed, year), (world.marks.in_clay, potted))]
    nothing = len(world.marks.marks)
    printed, in_clay = (np.where(m == nothing, -1, m) for m in marks)
    own = [[m for m, mark in enumerate(world.marks.marks) if mark.maker == k] for k in range(p.outside_makers + 1)]
    for i in np.flatnonzero(outside):
        clay, top = own[maker[i]]
        in_clay[i] = clay if rng.random() < 0.4 else -1
        printed[i] = top if rng.random() < 0.7 else -1
    size = _sizes(world, rng, world.cells[cell, 0])
    number = _numbers(world, rng, world.cells[cell, 1])
    cell = np.where(outside, -1, cell)
    number, size = (np.where(outside, -1, a) for a in (number, size))
    reader = rng.integers(0, p.readers, pieces)
    found = Pieces(cell, maker, size, year, potted, printed, in_clay, number, reader, [])
    columns = {name: _in_words(world, rng, found, name, of) for name, of in vocabulary.items()}
    share = {row["reading"]: float(row["share"]) for row in words("readings")}
    looked = {name: rng.random(pieces) < np.clip(s * p.looks, 0, 0.98) for name, s in share.items()}
    for i in range(pieces):
        read = {name: columns[name][i] for name in vocabulary if looked[name][i]}
        found.readings.append(read | _others(world, rng, found, i, {n: bool(of[i]) for n, of in looked.items()}))
    return found


def _pick(rng: np.random.Generator, p: Floats) -> Index:
    """One column of each row of chances."""
    upto = np.cumsum(p, axis=1)
    return np.asarray((upto < rng.random((len(p), 1)) * upto[:, -1:]).sum(axis=1))


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


def values_of(world: World, cell: Index, size: Index) -> dict[str, Index]:
    """Row of the vocabulary's value for each piece; -1 (its last row) outside."""
    form, treatment = world.cells[cell, 0], world.cells[cell, 1]
    line, body, glaze, decoration, trim = world.treatments[treatment].T
    found = {
        "line": line, "maker": np.zeros_like(line), "form": form, "body": body, "glaze": glaze, "effect": glaze,
        "decoration": decoration, "technique": decoration, "placement": decoration, "trim": trim, "trade_size": size,
    }  # fmt: skip
    return {name: np.where(cell < 0, -1, rows) for name, rows in found.items()}


def _in_words(world: World, rng: np.random.Generator, pieces: Pieces, name: str, of: Vocabulary) -> list[str]:
    value = values_of(world, pieces.cell, pieces.size)[name]
    word = _pick(rng, of.p[pieces.reader, value])
    text = [of.words[w] for w in word]
    if name in ("decoration", "glaze", "form", "trim"):
        for i in np.flatnonzero(rng.random(len(text)) < world.p.doubtful):
            if rng.random() >= 0.7:
                text[i] = of.words[int(rng.integers(0, len(of.words)))]
            text[i] += " ~0.7"
    return text


def _others(world: World, rng: np.random.Generator, pieces: Pieces, i: int, looked: dict[str, bool]) -> dict[str, str]:
    read: dict[str, str] = {}
    if looked["printed"]:
        read |= _mark(world, rng, int(pieces.printed[i]), "", "printed", looked["mark_colour"])
    if looked["in_clay"]:
        read |= _mark(world, rng, int(pieces.in_clay[i]), ".2", "impressed", False)
    if looked["date_code"] and pieces.printed[i] >= 0:
        read["date_code"] = _code(world, rng, int(pieces.printed[i]), int(pieces.year[i]))
    if looked["number"] or looked["numeral"]:
        name = "number" if looked["number"] else "numeral"
        read[name] = _number(world, rng, int(pieces.number[i]), name, pieces.cell[i] < 0)
    inside = pieces.cell[i] >= 0
    size = world.things.sizes[pieces.size[i]] if inside else None
    if looked["across"]:
        read["across"] = _length(world, rng, size.across if size else float(rng.lognormal(*SIZE_SPREAD_OUTSIDE)))
    if looked["glaze"] and rng.random() < 0.35:
        read["glaze"] = _colour(world, rng, int(pieces.cell[i]))
    if looked["feature"]:
        read["feature"] = _feature(world, rng, int(world.cells[pieces.cell[i], 0]) if inside else -1)
    return read


def _mark(world: World, rng: np.random.Generator, mark: int, index: str, kind: str, colour: bool) -> dict[str, str]:
    if mark < 0:
        return {f"mark{index}": "none", f"mark_kind{index}": kind}
    of = world.marks.marks[mark]
    text = confuse(rng, of.lettering, world.p.lettering_noise, world.p.unreadable)
    read = {f"mark{index}": text, f"mark_kind{index}": of.technique}
    return read | ({f"mark_colour{index}": of.colour} if colour and of.colour else {})


def _code(world: World, rng: np.random.Generator, mark: int, year: int) -> str:
    scheme = world.marks.marks[mark].scheme
    if not scheme:
        return "none" if rng.random() < NOT_CODED else str(rng.integers(1, 100))
    if rng.random() < WORN:
        return "none"
    text = world.marks.codes[scheme][year]
    if scheme == "month year":
        text = f"{int(rng.integers(1, MONTHS + 1))} {text}"
    return confuse(rng, text, world.p.lettering_noise, 0.0)


def _number(world: World, rng: np.random.Generator, number: int, name: str, outside: bool) -> str:
    if outside or (name == "numeral" and rng.random() < OTHER_FIGURE):
        return str(rng.integers(1, 1000)) if outside else str(rng.integers(1, 100))
    if number < 0:
        return "none"
    return confuse(rng, world.codes[number][1], world.p.lettering_noise, 0.5 * world.p.unreadable)


def _length(world: World, rng: np.random.Generator, true_mm: float) -> str:
    read = true_mm * (1.0 + world.p.size_spread * rng.standard_normal()) + world.p.instrument_mm * rng.standard_normal()
    if rng.random() < 0.6:
        return f"{round(read)} mm"
    eighths = round(read / 25.4 * 8)
    whole, part = divmod(eighths, 8)
    return f"{whole} {part}/8 in" if part else f"{whole} in"


def _colour(world: World, rng: np.random.Generator, cell: int) -> str:
    if cell < 0:
        lab = rng.uniform((15, -40, -40), (95, 40, 50))
    else:
        glaze = int(world.treatments[world.cells[cell, 1], 2])
        noise = world.p.colour_noise * (EFFECT_NOISE if world.things.glazes[glaze]["effect"] not in ("plain", "matt") else 1.0)
        lab = world.things.lab[glaze] + noise * rng.standard_normal(3)
    return f"Lab({min(max(lab[0], 1), 99):.0f},{lab[1]:.0f},{lab[2]:.0f})"


def _feature(world: World, rng: np.random.Generator, form: int) -> str:
    """One of the places that tell forms apart, and what is seen there; every form has something at each."""
    place = int(rng.integers(0, len(words("features"))))
    second = bool(rng.random() < 0.5) if form < 0 else seen_second(world.things, form, place)
    row = words("features")[place]
    return f"{row['look_at']}: {row['second'] if second != (rng.random() < FEATURE_MISREAD) else row['first']}"


FEATURE_MISREAD = 0.05


def seen_second(things: Things, form: int, place: int) -> bool:
    """Whether a form has the second of the two things to be seen at a place."""
    of, row = things.forms[form], words("features")[place]
    if of.look_at == row["look_at"]:
        return of.seen == row["second"]
    return bool(zlib.crc32(f"{of.name.removeprefix('Late ').lower()} {of.line} {place}".encode()) % 2)
