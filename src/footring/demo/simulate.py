"""A world, what was met of it, and pieces to be told, with the truth and what an oracle says of them: as files."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Mapping
from math import log
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.demo.channels import CHANNELS, UNSELECTED
from footring.demo.lids import Lids, draw_lids
from footring.demo.meeting import Pieces
from footring.demo.notable import notable
from footring.demo.oracle import Oracle
from footring.demo.oracle_lids import LidOracle
from footring.demo.pack_out import pack_tables
from footring.demo.parameters import Parameters
from footring.demo.readers import Vocabulary, vocabularies
from footring.demo.reading_off import meet
from footring.demo.rows_out import cells_rows, readings_rows, sales_rows, truth_rows
from footring.demo.ware import World, draw_world
from footring.packs import write_pack
from footring.rows import RowTable
from footring.terms.errors import BadInput

Progress = Callable[[str, int, int], None]
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
    _write(out / "cells.csv", cells_rows(world))
    _write(out / "sales.csv", sales_rows(world, met, np.random.default_rng([seed, 6])))
    asked = meet(world, vocabulary, np.random.default_rng([seed, 4]), pieces)
    lids = draw_lids(world, vocabulary, np.random.default_rng([seed, 7]), asked)
    by = np.random.default_rng([seed, 8]).integers(0, UNSELECTED, pieces)
    _write(out / "pieces.csv", readings_rows(asked, by))
    _write(out / "truth.csv", truth_rows(world, asked, recorded, lids))
    _write(out / "notable.csv", ({"id": f"t{i}", "why": why} for i, why in notable(world, asked, lids, recorded)))
    _selected(world, vocabulary, seed, pieces // SELECTED, recorded, out)
    _write(out / "oracle.csv", _oracle(world, vocabulary, asked, lids, recorded, progress))


def _selected(
    world: World, vocabulary: dict[str, Vocabulary], seed: int, many: int, recorded: NDArray[np.bool_], out: Path
) -> None:
    """Pieces from channels where someone chose."""
    rng = np.random.default_rng([seed, 5])
    asked = meet(world, vocabulary, rng, many, _taste(world))
    _write(out / "selected.csv", readings_rows(asked, rng.integers(UNSELECTED, len(CHANNELS), many)))
    _write(out / "selected_truth.csv", truth_rows(world, asked, recorded))


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


ATTRIBUTES = ("line", "form", "decoration", "joint", "outside", "unrecorded")


def _oracle(
    world: World,
    vocabulary: Mapping[str, Vocabulary],
    asked: Pieces,
    lids: Lids,
    recorded: NDArray[np.bool_],
    progress: Progress | None,
) -> Iterable[dict[str, Any]]:
    oracle = Oracle(world, vocabulary)
    of_lids = LidOracle(oracle)
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
        is_so = {"outside": cell < 0, "unrecorded": cell >= 0 and not recorded[cell], "married": bool(lids.married[i])}
        married = of_lids.married(read, int(asked.reader[i]), cells)
        chances |= {} if married is None else {"married": married}
        for name, p in chances.items():
            yield _said(i, name, p if is_so[name] else 1.0 - p, p)


def _said(i: int, attribute: str, truth: float, p: float | None = None) -> dict[str, Any]:
    return {
        "id": f"t{i}", "attribute": attribute, "log_p": f"{log(max(truth, 1e-300)):.6f}",
        "p": "" if p is None else f"{p:.6g}",
    }  # fmt: skip
