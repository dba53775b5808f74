"""Rows of the files beside the pack: readings, truth, cells and sales."""

from __future__ import annotations

from collections.abc import Iterator
from math import log
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.demo.channels import CHANNELS
from footring.demo.factory import YEARS
from footring.demo.lids import Lids
from footring.demo.meeting import Pieces
from footring.demo.ware import World
from footring.marks.readings import NAMES

THINGS = ("line", "form", "size", "body", "glaze", "decoration", "trim", "number", "mark_in_clay", "mark_printed")
DATES = ("form_designed", "pattern_designed", "potted", "decorated")


def readings_rows(asked: Pieces, by: NDArray[np.int64]) -> Iterator[dict[str, str]]:
    """Of pieces.csv: what was read, by channel (rows of `CHANNELS`), shape (pieces,)."""
    used = {name for read in asked.readings for name in read}
    columns = [n for name in NAMES for n in (name, f"{name}.2", f"lid.{name}") if n in used]
    columns.sort(key=lambda name: name.startswith("lid."))
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


def truth_rows(
    world: World, asked: Pieces, recorded: NDArray[np.bool_], lids: Lids | None = None
) -> Iterator[dict[str, Any]]:
    """Of truth.csv: what each piece is; `recorded`, shape (cells,): whether the pack names the cell."""
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
            **_of_sale(world, asked, i),
            **_of_lid(world, lids, i),
        }


def truth_names(world: World, pieces: Pieces, i: int) -> dict[str, str]:
    """Name of everything that a piece is; empty texts when it is from outside."""
    return {name: value for name, (value, _) in zip(THINGS, _names(world, pieces, i), strict=True)}


def _of_sale(world: World, asked: Pieces, i: int) -> dict[str, str]:
    customer, label = int(asked.customer[i]), int(asked.label[i])
    none = "" if asked.cell[i] < 0 else "none"
    own = label if label < len(world.labels.own) else -1
    return {
        "customer": world.things.customers[customer] if customer >= 0 else none,
        "label": world.labels.own[own]["name"] if own >= 0 else none,
        "customer_id": f"qt.c{customer}" if customer >= 0 else "",
        "label_id": f"qt.label{own}" if own >= 0 else "",
    }


def _of_lid(world: World, lids: Lids | None, i: int) -> dict[str, Any]:
    """Form and glaze of the lid beside a piece, and whether it is married; empty where there is none."""
    if lids is None or lids.form[i] < 0:
        return dict.fromkeys(("lid_form", "lid_glaze", "married", "lid_form_id", "lid_glaze_id"), "")
    form, glaze = int(lids.form[i]), int(lids.glaze[i])
    return {
        "lid_form": world.things.forms[form].name, "lid_glaze": world.things.glazes[glaze]["name"],
        "married": int(lids.married[i]), "lid_form_id": f"qt.f{form}", "lid_glaze_id": f"qt.g{glaze}",
    }  # fmt: skip


def cells_rows(world: World) -> Iterator[dict[str, Any]]:
    """Of cells.csv: everything that was made, whether it was on the lists, and its share of all pieces."""
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


def sales_rows(world: World, met: Pieces, rng: np.random.Generator) -> Iterator[dict[str, Any]]:
    """Of sales.csv: what was paid for some of the met pieces, more for what is rare."""
    for i in np.flatnonzero((met.cell >= 0) & (rng.random(len(met.cell)) < 0.15)).tolist():
        rare = -0.3 * log(world.rate[met.cell[i]])
        amount = 6.0 * float(np.exp(rare - 2.0 + 0.45 * rng.standard_normal()))
        yield {"piece": f"qt.x{i}", "date": f"{rng.integers(2001, 2016)}", "channel": "fair", "amount": f"{amount:.2f}",
               "currency": "GBP"}  # fmt: skip
