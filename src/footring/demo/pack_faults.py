"""Faults of the making and damage noted on met pieces, and readings that were found to be wrong."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from footring.demo.meeting import Pieces
from footring.demo.rows_out import truth_names
from footring.demo.ware import World
from footring.demo.words import words
from footring.rows import collection as c

STAMP: dict[str, Any] = {"recorded_at": "2026-03-01", "recorded_by": "demo"}
PLACES = ("rim", "foot", "well", "wall")
SECOND, DAMAGED, FOUND_OUT = 0.05, 0.08, 0.15
"""Shares: of pieces with a fault of the making, and with damage noted; of misread names that someone corrected."""
CORRECTED = {"form": "forms", "glaze": "glazes", "decoration": "decorations"}


def conditions(met: Pieces, rng: np.random.Generator) -> Iterator[c.Condition]:
    """What is noted of the state of met pieces; nothing of it bears on what they are."""
    for kind, share in (("making", SECOND), ("damage", DAMAGED)):
        of = [row["what"] for row in words("faults") if row["kind"] == kind]
        for i in np.flatnonzero(rng.random(len(met.cell)) < share):
            yield c.Condition(
                f"qt.{kind}{i}",
                piece=f"qt.x{i}",
                kind=kind,
                what=str(rng.choice(of)),
                place=str(rng.choice(PLACES)),
                **STAMP,
            )


def corrections(
    world: World, met: Pieces, readings: list[c.Reading], rng: np.random.Generator
) -> Iterator[c.Correction]:
    """Some of the names that were misread, and what was there."""
    kinds = {form.kind for form in world.things.forms}
    for reading in readings:
        if reading.name not in CORRECTED or reading.value is None or reading.value in kinds or reading.sure is not None:
            continue
        i = int(reading.piece.removeprefix("qt.x"))
        right = truth_names(world, met, i).get(reading.name)
        is_colour = reading.value.startswith("Lab(")
        if right and right != "Undecorated" and right != reading.value and not is_colour and rng.random() < FOUND_OUT:
            yield c.Correction(
                f"{reading.id}-c", reading=reading.id, value=right, reason="seen again in better light", **STAMP
            )
