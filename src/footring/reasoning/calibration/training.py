"""The pack's settled pieces, as training pieces for other methods."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from footring.reasoning.calibration.answers import TABLES, Index
from footring.reasoning.calibration.features import Lookups, Row, features
from footring.reasoning.calibration.simulated import JOINT, Simulated
from footring.reasoning.piece_readings import settled_readings


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """Training pieces and pieces to be told, laid out alike.

    Parameters
    ----------
    rows, asked : list of columns
        Of the settled pieces met, and of all test pieces not from outside.
    truth : int array, shape (training pieces, 6)
        Rows of line, form, body, glaze, decoration and trim; -1 not known.
    sizes : tuple of int
        Values of each in the reference.
    """

    rows: list[Row]
    truth: Index
    asked: list[Row]
    sizes: tuple[int, ...]


def laid(world: Simulated) -> Laid:
    """Lay out a world's pieces; the training part is every piece with a confirmed attribution and a reading."""
    lookups = Lookups(world.reference)
    tables = world.reference.tables
    links = tables["attributions"].links
    settled = settled_readings(world.reference)
    of = np.array([[links[name][row] for name in JOINT] for row in settled], dtype=np.int64).reshape(-1, len(JOINT))
    inside = np.flatnonzero(~world.outside).tolist()
    return Laid(
        [features(readings, lookups) for readings in settled.values()], of,
        [features(world.readings[i], lookups) for i in inside], tuple(len(tables[TABLES[name]]) for name in JOINT),
    )  # fmt: skip
