"""The pack's settled pieces, as training pieces for other methods."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from footring.reasoning.calibration.answers import TABLES, Index
from footring.reasoning.calibration.features import Lookups, Row, features
from footring.reasoning.calibration.simulated import JOINT, Simulated
from footring.reasoning.piece_readings import settled_readings

HELD_OUT, MOST_HELD_OUT = 0.25, 500
"""Pieces held out to tune on: a quarter, 500 at most."""


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Columns of pieces, and what each is: values, shape (pieces,), or whole cells, shape (pieces, 6)."""

    rows: Sequence[Row]
    truth: Index

    def __len__(self) -> int:
        return len(self.rows)

    def at(self, which: Index) -> Pieces:
        """Some of them, by their numbers."""
        return Pieces([self.rows[i] for i in which.tolist()], self.truth[which])


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """Training pieces and pieces to be told, laid out alike.

    Parameters
    ----------
    known : Pieces
        The settled pieces met: line, form, body, glaze, decoration and trim of each.
    asked : list of columns
        Of all test pieces not from outside.
    sizes : tuple of int
        Values of each in the reference.
    """

    known: Pieces
    asked: list[Row]
    sizes: tuple[int, ...]

    def of(self, name: str) -> Pieces:
        """Training pieces for one attribute."""
        return Pieces(self.known.rows, self.known.truth[:, JOINT.index(name)])

    def many(self, name: str) -> int:
        """How many values it has in the reference."""
        return self.sizes[JOINT.index(name)]

    @property
    def combinations(self) -> float:
        """How many whole cells there could be; a form says its line."""
        return float(np.prod(self.sizes[1:], dtype=float))


def laid(world: Simulated) -> Laid:
    """Lay out a world's pieces; the training part is every piece with a reading and a confirmed whole attribution."""
    lookups, tables = Lookups(world.reference), world.reference.tables
    links, settled = tables["attributions"].links, settled_readings(world.reference)
    of = np.array([[links[name][row] for name in JOINT] for row in settled], dtype=np.int64).reshape(-1, len(JOINT))
    known = Pieces([features(readings, lookups) for readings in settled.values()], of)
    asked = [features(world.readings[i], lookups) for i in np.flatnonzero(~world.outside).tolist()]
    whole = np.flatnonzero((of >= 0).all(axis=1))
    return Laid(known.at(whole), asked, tuple(len(tables[TABLES[name]]) for name in JOINT))


def held_out(pieces: Pieces) -> tuple[Pieces, Pieces]:
    """Pieces to fit on, and others held out to tune on; the same of as many. A single one has to serve for both."""
    order = np.random.default_rng(1).permutation(len(pieces))
    many = max(1, min(int(HELD_OUT * len(order)), MOST_HELD_OUT))
    return pieces.at(order[many:] if len(order) > 1 else order), pieces.at(order[:many])


def distinct(rows: Index) -> tuple[Index, Index]:
    """Distinct rows, and which of them each is."""
    values, which = np.unique(rows, axis=0, return_inverse=True)
    return values, which.ravel()


def places(values: Index, rows: Index) -> Index:
    """Which of the distinct rows each row is; -1 none.

    Examples
    --------
    >>> places(np.array([[1, 2], [1, 3]]), np.array([[1, 3], [5, 5]])).tolist()
    [1, -1]
    """
    place = {tuple(value): k for k, value in enumerate(values.tolist())}
    return np.array([place.get(tuple(row), -1) for row in rows.tolist()], dtype=np.int64)
