"""What is read off pieces, and how it is typed."""

from __future__ import annotations

import zlib
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from footring.demo.factory import YEARS, Things
from footring.demo.mark_habits import MONTHS
from footring.demo.meeting import Pieces, draw_pieces, pick
from footring.demo.readers import Vocabulary, confuse, frayed
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
SPREAD_OUTSIDE = {"across": (4.9, 0.5), "height": (4.4, 0.5)}
"""Mean and standard deviation of the logarithm of an outside piece's measures in millimetres."""
LAB_OUTSIDE = ((15, -40, -40), (95, 40, 50))
"""Least and most of an outside piece's colour; every colour between alike."""
FEATURE_MISREAD = 0.05
DOUBTED = ("decoration", "glaze", "form", "trim")


def meet(
    world: World, vocabulary: dict[str, Vocabulary], rng: np.random.Generator, pieces: int, chosen: Floats | None = None
) -> Pieces:
    """Draw pieces and read them.

    Parameters
    ----------
    chosen : array, shape (cells,), or None
        How likely a collector is to pick a piece of each cell out, against the others; None: nobody chose.
    """
    found = draw_pieces(world, rng, pieces, chosen)
    values = values_of(world, found)
    columns = {name: in_words(world, rng, found.reader, values[name], name, of) for name, of in vocabulary.items()}
    share = {row["reading"]: min(float(row["share"]) * world.p.looks, 0.98) for row in words("readings")}
    looked = {name: rng.random(pieces) < of for name, of in share.items()}
    worn = rng.spawn(1)[0]  # of its own, so that what labels lose moves no other draw
    for i in range(pieces):
        read = {name: columns[name][i] for name in vocabulary if looked[name][i]}
        read |= _others(world, rng, found, i, {n: bool(of[i]) for n, of in looked.items()})
        if found.label[i] >= 0 and "label" in read:
            read["label"] = frayed(worn, read["label"], world.p.letters_lost)
        found.readings.append(read)
    return found


def values_of(world: World, pieces: Pieces) -> dict[str, Index]:
    """Row of the vocabulary's value for each piece; -1 (its last row) outside."""
    form, treatment = world.cells[pieces.cell, 0], world.cells[pieces.cell, 1]
    line, body, glaze, decoration, trim = world.treatments[treatment].T
    found = {
        "line": line, "maker": np.zeros_like(line), "form": form, "body": body, "glaze": glaze, "effect": glaze,
        "decoration": decoration, "technique": decoration, "placement": decoration, "trim": trim,
        "trade_size": pieces.size,
    }  # fmt: skip
    inside = {name: np.where(pieces.cell < 0, -1, rows) for name, rows in found.items()}
    return inside | {"customer": pieces.customer + 1}


def in_words(
    world: World, rng: np.random.Generator, reader: Index, value: Index, name: str, of: Vocabulary
) -> list[str]:
    """What readers say that values are, some of it as doubtful."""
    word = pick(rng, of.p[reader, value])
    text = [of.words[w] for w in word]
    if name in DOUBTED:
        for i in np.flatnonzero(rng.random(len(text)) < world.p.doubtful):
            if rng.random() >= 0.7:
                text[i] = of.words[int(rng.integers(0, len(of.words)))]
            text[i] += " ~0.7"
    return text


def _others(world: World, rng: np.random.Generator, pieces: Pieces, i: int, looked: dict[str, bool]) -> dict[str, str]:
    read = _marks(world, rng, pieces, i, looked)
    inside = bool(pieces.cell[i] >= 0)
    if looked["number"] or looked["numeral"]:
        name = "number" if looked["number"] else "numeral"
        read[name] = _number(world, rng, int(pieces.number[i]), name, not inside)
    read |= _measures(world, rng, int(pieces.size[i]), int(pieces.potted[i]), looked)
    if looked["glaze"] and rng.random() < 0.35:
        read["glaze"] = _colour(world, rng, int(pieces.cell[i]))
    if looked["feature"]:
        read["feature"] = _feature(world, rng, int(world.cells[pieces.cell[i], 0]) if inside else -1)
    if looked["label"]:
        label = int(pieces.label[i])
        text = confuse(rng, world.labels.lettering[label], world.p.lettering_noise, world.p.unreadable)
        read["label"] = text if label >= 0 else "none"
    return read


def _marks(world: World, rng: np.random.Generator, pieces: Pieces, i: int, looked: dict[str, bool]) -> dict[str, str]:
    """The code is read with the mark that it stands in, never alone."""
    read: dict[str, str] = {}
    if looked["printed"]:
        read |= _mark(world, rng, int(pieces.printed[i]), "", "printed", looked["mark_colour"])
    if looked["in_clay"]:
        read |= _mark(world, rng, int(pieces.in_clay[i]), ".2", "impressed", False)
    if looked["date_code"] and looked["printed"] and pieces.printed[i] >= 0:
        read["date_code"] = _code(world, rng, int(pieces.printed[i]), int(pieces.year[i]))
    return read


def _measures(
    world: World, rng: np.random.Generator, size: int, potted: int, looked: dict[str, bool]
) -> dict[str, str]:
    of = world.things.sizes[size]
    form = world.things.forms[of.form]
    change = form.change if form.replaced and YEARS[potted] >= form.replaced else 1.0
    true = {"across": change * of.across, "height": change * of.high}
    return {
        name: _length(world, rng, true[name] if size >= 0 else float(rng.lognormal(*SPREAD_OUTSIDE[name])))
        for name in true
        if looked[name]
    }


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
    return f"{whole} {Fraction(part, 8)} in" if part else f"{whole} in"


def _colour(world: World, rng: np.random.Generator, cell: int) -> str:
    if cell < 0:
        lab = rng.uniform(*LAB_OUTSIDE)
    else:
        glaze = int(world.treatments[world.cells[cell, 1], 2])
        lab = world.things.lab[glaze] + colour_noise(world)[glaze] * rng.standard_normal(3)
    return f"Lab({min(max(lab[0], 1), 99):.0f},{lab[1]:.0f},{lab[2]:.0f})"


def _feature(world: World, rng: np.random.Generator, form: int) -> str:
    """One of the places that tell forms apart, and what is seen there; every form has something at each."""
    place = int(rng.integers(0, len(words("features"))))
    second = bool(rng.random() < 0.5) if form < 0 else seen_second(world.things, form, place)
    row = words("features")[place]
    return f"{row['look_at']}: {row['second'] if second != (rng.random() < FEATURE_MISREAD) else row['first']}"


def colour_noise(world: World) -> Floats:
    """Standard deviation of a reading of each glaze's colour, in CIELAB units."""
    effect = np.array([glaze["effect"] not in ("plain", "matt") for glaze in world.things.glazes])
    return np.asarray(world.p.colour_noise * np.where(effect, EFFECT_NOISE, 1.0))


def seen_second(things: Things, form: int, place: int) -> bool:
    """Whether a form has the second of the two things to be seen at a place."""
    of, row = things.forms[form], words("features")[place]
    if of.look_at == row["look_at"]:
        return of.seen == row["second"]
    return zlib.crc32(f"{of.name.removeprefix('Late ').lower()} {of.line} {place}".encode()) % 2 == 1
