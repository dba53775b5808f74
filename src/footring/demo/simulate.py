"""A world, what was met of it, and pieces to be told, with the truth and what an oracle says of them: as files."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Mapping
from math import log
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.demo.factory import YEARS
from footring.demo.meeting import Pieces
from footring.demo.oracle import Oracle
from footring.demo.pack_out import CHANNELS, UNSELECTED, pack_tables
from footring.demo.parameters import Parameters
from footring.demo.readers import Vocabulary, vocabularies
from footring.demo.reading_off import meet
from footring.demo.ware import World, draw_world
from footring.marks.readings import NAMES
from footring.packs import write_pack
from footring.rows import RowTable
from footring.terms.errors import BadInput

Progress = Callable[[str, int, int], None]
THINGS = ("line", "form", "size", "body", "glaze", "decoration", "trim", "number", "mark_in_clay", "mark_printed")
DATES = ("form_designed", "pattern_designed", "potted", "decorated")
ARRAYS = [name for name in Pieces.__slots__ if name != "readings"]
SELECTED = 5
"""The selected set has a fifth as many pieces as the plain one."""


def simulate(
    parameters: Parameters, seed: int, encounters: int, pieces: int, out: Path, progress: Progress | None = None
) -> None:
    """Write a simulated world.

    Parameters
    ----------
    parameters : Parameters
        The world; the same world comes of them whatever the seed.
    seed : int
        Of who met what, and how they read it.
    encounters, pieces : int
        How many pieces were met, for the pack; and how many are to be told.
    out : path
        A folder that is made; it must not exist, or be empty.
    progress : callable or None
        Told what is done, how much of it, of how much.

    Raises
    ------
    BadInput
        If the folder holds something already.
    """
    if out.exists() and any(out.iterdir()):
        raise BadInput(f"{out} is not empty; give a folder that does not exist yet")
    out.mkdir(parents=True, exist_ok=True)
    world = draw_world(parameters)
    vocabulary = vocabularies(parameters, world.things)
    met, channel = _met(world, vocabulary, seed, encounters)
    tables = pack_tables(world, met, channel, np.random.default_rng([seed, 3]))
    write_pack(tables, out / "pack")
    recorded = _recorded(world, tables)
    (out / "world.json").write_text(parameters.as_json(), encoding="utf-8")
    _write(out / "cells.csv", _cells(world))
    _write(out / "sales.csv", _sales(world, met, np.random.default_rng([seed, 5])))
    for name, chosen, many in (("", None, pieces), ("selected_", _taste(world), pieces // SELECTED)):
        rng = np.random.default_rng([seed, 4 + bool(name)])
        asked = meet(world, vocabulary, rng, many, chosen)
        by = rng.integers(UNSELECTED, len(CHANNELS), many) if name else rng.integers(0, UNSELECTED, many)
        _write(out / (f"{name[:-1]}.csv" if name else "pieces.csv"), _readings(asked, by))
        _write(out / f"{name}truth.csv", _truth(world, asked, recorded))
        if not name:
            _write(out / "oracle.csv", _oracle(world, vocabulary, asked, recorded, progress))


def _met(
    world: World, vocabulary: Mapping[str, Vocabulary], seed: int, encounters: int
) -> tuple[Pieces, NDArray[np.int64]]:
    """Pieces met, some of them through channels where someone chose."""
    rng = np.random.default_rng([seed, 2])
    selected = round(encounters * world.p.selected_share)
    plain = meet(world, dict(vocabulary), rng, encounters - selected)
    chosen = meet(world, dict(vocabulary), rng, selected, _taste(world))
    arrays: dict[str, Any] = {name: np.concatenate([getattr(plain, name), getattr(chosen, name)]) for name in ARRAYS}
    channel = np.concatenate(
        [rng.integers(0, UNSELECTED, encounters - selected), rng.integers(UNSELECTED, len(CHANNELS), selected)]
    )
    return Pieces(**arrays, readings=plain.readings + chosen.readings), channel


def _taste(world: World) -> NDArray[np.float64]:
    """Collectors pick out what is uncommon."""
    return np.asarray((world.rate / world.rate.max()) ** (-0.35 * world.p.taste))


def _recorded(world: World, tables: Mapping[str, RowTable]) -> NDArray[np.bool_]:
    """Which cells a piece or a document of the pack names: line, form and every part of the treatment."""
    parts = ("form", "body", "glaze", "decoration", "trim")
    named = set()
    for table in ("attributions", "productions"):
        if table in tables:
            named |= set(zip(*(tables[table].column(part).tolist() for part in parts), strict=True))
    found = []
    for form, treatment in world.cells.tolist():
        _, body, glaze, decoration, trim = world.treatments[treatment].tolist()
        found.append((f"qt.f{form}", f"qt.b{body}", f"qt.g{glaze}", f"qt.d{decoration}", f"qt.t{trim}") in named)
    return np.array(found, bool)


def _write(path: Path, rows: Iterable[Mapping[str, Any]]) -> None:
    rows = list(rows)
    with path.open("w", encoding="utf-8", newline="") as file:
        if rows:
            writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)


def _readings(asked: Pieces, by: NDArray[np.int64]) -> Iterable[dict[str, str]]:
    used = {name for read in asked.readings for name in read}
    columns = [n for name in NAMES for n in (name, f"{name}.2") if n in used]
    for i, read in enumerate(asked.readings):
        yield {"id": f"t{i}", **{name: read.get(name, "") for name in columns}, "channel": CHANNELS[by[i]][1]}


def _names(world: World, asked: Pieces, i: int) -> list[tuple[str, str]]:
    """Name and id of every attribute of a piece."""
    things, cell = world.things, int(asked.cell[i])
    if cell < 0:
        return [("", "")] * len(THINGS)
    form, treatment = world.cells[cell].tolist()
    line, body, glaze, decoration, trim = world.treatments[treatment].tolist()
    number, marks, size = int(asked.number[i]), world.marks.marks, int(asked.size[i])
    named = [
        (things.lines[line].name, f"qt.l{line}"), (things.forms[form].name, f"qt.f{form}"),
        (things.sizes[size].trade, f"qt.s{size}"), (things.bodies[body], f"qt.b{body}"),
        (things.glazes[glaze]["name"], f"qt.g{glaze}"), (things.decorations[decoration].name, f"qt.d{decoration}"),
        (things.trims[trim]["name"], f"qt.t{trim}"),
        (world.codes[number][1], f"qt.n{number}") if number >= 0 else ("none", ""),
    ]  # fmt: skip
    sides = (int(asked.in_clay[i]), int(asked.printed[i]))
    return named + [(marks[m].lettering, f"qt.k{m}") if m >= 0 else ("none", "") for m in sides]


def _truth(world: World, asked: Pieces, recorded: NDArray[np.bool_]) -> Iterable[dict[str, Any]]:
    for i in range(len(asked.cell)):
        cell, outside = int(asked.cell[i]), bool(asked.cell[i] < 0)
        named = _names(world, asked, i)
        form, treatment = world.cells[cell].tolist() if not outside else (0, 0)
        decoration = int(world.treatments[treatment, 3])
        years = (
            world.things.forms[form].designed, world.things.decorations[decoration].designed,
            int(YEARS[asked.potted[i]]), int(YEARS[asked.year[i]]),
        )  # fmt: skip
        yield {
            "id": f"t{i}",
            **{name: value for name, (value, _) in zip(THINGS, named, strict=True)},
            **{name: "" if outside else year for name, year in zip(DATES, years, strict=True)},
            "outside": int(outside),
            "unrecorded": int(not outside and not recorded[cell]),
            **{f"{name}_id": value for name, (_, value) in zip(THINGS, named, strict=True)},
        }


def _cells(world: World) -> Iterable[dict[str, Any]]:
    things = world.things
    for (form, treatment), offered, rate in zip(world.cells.tolist(), world.offered, world.rate, strict=True):
        line, body, glaze, decoration, trim = world.treatments[treatment].tolist()
        names = (
            things.bodies[body],
            things.glazes[glaze]["name"],
            things.decorations[decoration].name,
            things.trims[trim]["name"],
        )
        yield {
            "line": things.lines[line].name, "form": things.forms[form].name, "treatment": "; ".join(names),
            "existed": int(offered), "made": f"{rate:.3e}", "line_id": f"qt.l{line}", "form_id": f"qt.f{form}",
            "body_id": f"qt.b{body}", "glaze_id": f"qt.g{glaze}", "decoration_id": f"qt.d{decoration}",
            "trim_id": f"qt.t{trim}",
        }  # fmt: skip


def _sales(world: World, met: Pieces, rng: np.random.Generator) -> Iterable[dict[str, Any]]:
    for i in np.flatnonzero((met.cell >= 0) & (rng.random(len(met.cell)) < 0.15)).tolist():
        rare = -0.3 * log(world.rate[met.cell[i]])
        amount = 6.0 * float(np.exp(rare - 2.0 + 0.45 * rng.standard_normal()))
        yield {"piece": f"qt.x{i}", "date": f"{rng.integers(2001, 2016)}", "channel": "fair", "amount": f"{amount:.2f}",
               "currency": "GBP"}  # fmt: skip


ATTRIBUTES = ("line", "form", "decoration", "joint", "outside", "unrecorded")


def _oracle(
    world: World,
    vocabulary: Mapping[str, Vocabulary],
    asked: Pieces,
    recorded: NDArray[np.bool_],
    progress: Progress | None,
) -> Iterable[dict[str, Any]]:
    oracle = Oracle(world, vocabulary)
    for i, read in enumerate(asked.readings):
        if progress is not None:
            progress("asking the oracle", i, len(asked.readings))
        cells, outside = oracle.weigh(read, int(asked.reader[i]))
        total = float(cells.sum()) + outside
        chances = {"outside": outside / total, "unrecorded": float(cells[~recorded].sum()) / total}
        cell = int(asked.cell[i])
        if cell >= 0:
            inside = float(cells.sum())
            same = {"line": oracle.line, "form": oracle.form, "decoration": oracle.decoration}
            for name, of in same.items():
                yield _said(i, name, float(cells[of == of[cell]].sum()) / inside)
            yield _said(i, "joint", float(cells[cell]) / inside)
        is_so = {"outside": cell < 0, "unrecorded": cell >= 0 and not recorded[cell]}
        for name, p in chances.items():
            yield _said(i, name, p if is_so[name] else 1.0 - p, p)


def _said(i: int, attribute: str, truth: float, p: float | None = None) -> dict[str, Any]:
    return {
        "id": f"t{i}", "attribute": attribute, "log_p": f"{log(max(truth, 1e-300)):.6f}",
        "p": "" if p is None else f"{p:.6g}",
    }  # fmt: skip
