"""What is known of a world: the pieces met, and documents that have come down, as the tables of a pack."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from footring.demo.channels import CHANNELS
from footring.demo.meeting import Pieces
from footring.demo.pack_faults import conditions, corrections
from footring.demo.pack_paper import paper_rows
from footring.demo.pack_things import things_rows
from footring.demo.ware import World
from footring.marks.readings import read_reading
from footring.rows import TABLES, RowTable
from footring.rows import collection as c

Rows = dict[str, list[Any]]
STAMP: dict[str, Any] = {"recorded_at": "2026-03-01", "recorded_by": "demo"}
OUTINGS = 60


def pack_tables(
    world: World, met: Pieces, channel: np.ndarray[Any, Any], rng: np.random.Generator
) -> dict[str, RowTable]:
    """Tables of the pack.

    Parameters
    ----------
    met : Pieces
        The pieces met.
    channel : int array, shape (pieces,)
        Row of `CHANNELS` each was met through.
    """
    rows: Rows = {name: [] for name in TABLES}
    things_rows(rows, world)
    for table, found in paper_rows(world).items():
        rows[table] += found
    _meetings(rows, world, met, channel, rng)
    rows["conditions"] += conditions(met, rng)
    rows["corrections"] += corrections(world, met, rows["readings"], rng)
    return {name: RowTable.from_rows(TABLES[name], found) for name, found in rows.items() if found}


def _meetings(rows: Rows, world: World, met: Pieces, channel: np.ndarray[Any, Any], rng: np.random.Generator) -> None:
    rows["channels"] += _channels()
    for i in range(OUTINGS):
        kind = "fair" if i % 3 else "eye"
        rows["outings"].append(
            c.Outing(f"qt.o{i}", held=f"{2001 + i // 4}-0{1 + i % 9}", channel=f"qt.ch-{kind}",
                     logged="everything" if kind == "fair" else "caught_eye", hours=4.0, **STAMP)
        )  # fmt: skip
    rows["people"] += [c.Person(f"qt.reader{i}", name=f"Reader {i + 1}", **STAMP) for i in range(world.p.readers)]
    whole, eye = ([i for i in range(OUTINGS) if bool(i % 3) == fair] for fair in (True, False))
    for i in range(len(met.cell)):
        piece, name = f"qt.x{i}", CHANNELS[channel[i]][0]
        outing = {"fair": whole, "eye": eye}.get(name)
        rows["pieces"].append(c.Piece(piece, **STAMP))
        rows["encounters"].append(
            c.Encounter(f"qt.e{i}", piece=piece, channel=f"qt.ch-{name}",
                        outing=f"qt.o{outing[i % len(outing)]}" if outing else None, **STAMP)
        )  # fmt: skip
        rows["readings"] += _readings(i, piece, met.readings[i], int(met.reader[i]))
        if met.cell[i] >= 0 and rng.random() < world.p.settled:
            rows["attributions"].append(_attribution(world, met, i, piece))


def _channels() -> Iterator[c.Channel]:
    for name, says, selected in CHANNELS:
        yield c.Channel(f"qt.ch-{name}", name=says, selected=selected, **STAMP)


def _readings(i: int, piece: str, read: dict[str, str], reader: int) -> Iterator[c.Reading]:
    for number, (name, text) in enumerate(read.items()):
        found = read_reading(name, text)
        if found is not None:
            yield c.Reading(f"qt.r{i}-{number}", piece=piece, name=name, value=None if found.absent else found.value,
                            absent=found.absent, sure=found.p if found.p < 1 else None, read_by=f"qt.reader{reader}",
                            **STAMP)  # fmt: skip


def _attribution(world: World, met: Pieces, i: int, piece: str) -> c.Attribution:
    form, treatment = world.cells[met.cell[i]].tolist()
    line, body, glaze, decoration, trim = world.treatments[treatment].tolist()
    marks: dict[str, Any] = {
        f"mark_{side}": f"qt.k{m}"
        for side, m in (("in_clay", int(met.in_clay[i])), ("printed", int(met.printed[i])))
        if m >= 0
    }
    if met.customer[i] >= 0:
        marks["customer"] = f"qt.c{met.customer[i]}"
    return c.Attribution(
        f"qt.a{i}", piece=piece, line=f"qt.l{line}", form=f"qt.f{form}", size=f"qt.s{met.size[i]}", body=f"qt.b{body}",
        glaze=f"qt.g{glaze}", decoration=f"qt.d{decoration}", trim=f"qt.t{trim}", weight=1.0, basis="confirmed",
        **marks, **STAMP,
    )  # fmt: skip
