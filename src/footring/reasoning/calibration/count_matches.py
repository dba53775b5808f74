"""Counting the matches: how many readings fit each recorded cell, turned into probabilities.

The weighted checklist that collectors' lists suggest. Each reading that fits counts one, none counts against, and a
softmax of the count, its temperature fitted on the training pieces (Guo 2017), says how sure that is.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.optimize import minimize_scalar
from scipy.special import logsumexp

from footring.reasoning.calibration.answers import Index
from footring.reasoning.calibration.arrays import Floats
from footring.reasoning.calibration.features import Row, folded
from footring.reasoning.calibration.simulated import JOINT
from footring.reference import Reference

CLOSE = 0.03
"""Share by which a measured size may differ from a form's and still fit."""


class Checklist:
    """Recorded cells, and what a reading fits.

    Parameters
    ----------
    reference : Reference
    cells : int array, shape (cells, 6)
        Distinct settled cells: line, form, body, glaze, decoration, trim.
    """

    def __init__(self, reference: Reference, cells: Index) -> None:
        tables = reference.tables
        self.cells = cells
        forms, sizes, uses = tables["forms"], tables["sizes"], tables["mark_uses"]
        kinds = [folded(str(kind or "")) for kind in forms.text("kind").tolist()]
        self.kind = np.array(kinds)[cells[:, 1]]
        self.across: dict[int, list[float]] = {}
        for form, across in zip(sizes.links["form"].tolist(), sizes.numbers["across_mm"].tolist(), strict=True):
            self.across.setdefault(form, []).append(across)
        pairs = zip(uses.links["mark"].tolist(), uses.links["line"].tolist(), strict=True)
        self.used = {(list(tables["marks"].ids)[mark], line) for mark, line in pairs}
        self.techniques = np.array([str(t) for t in tables["decorations"].text("technique").tolist()] or [""])
        self.effects = np.array([str(t) for t in tables["glazes"].text("effect").tolist()] or [""])
        self.ids = [list(tables[t].ids) for t in ("lines", "forms", "bodies", "glazes", "decorations", "trims")]
        self.fits: dict[tuple[str, str | float], Floats] = {}

    def matches(self, row: Row) -> Floats:
        """How many of a piece's readings fit each cell, shape (cells,)."""
        count = np.zeros(len(self.cells))
        for name, value in row.items():
            key = (name, round(value) if isinstance(value, float) else value)
            if key not in self.fits:
                self.fits[key] = self._fits(name, value)
            count += self.fits[key]
        return count

    def _fits(self, name: str, value: str | float) -> Floats:
        cells = self.cells
        if not isinstance(value, str):
            near = [f for f, of in self.across.items() if any(abs(value - mm) <= CLOSE * mm for mm in of)]
            return np.isin(cells[:, 1], near).astype(float) if name == "across" else np.zeros(len(cells))
        if name in JOINT:
            which = JOINT.index(name)
            found = cells[:, which] == (self.ids[which].index(value) if value in self.ids[which] else -1)
            return np.asarray(found | (self.kind == value) if name == "form" else found, float)
        if name.startswith("mark") and "_" not in name:
            return np.array([(value, line) in self.used for line in cells[:, 0].tolist()], float)
        return self._looks(name, value)

    def _looks(self, name: str, value: str) -> Floats:
        cells = self.cells
        if name == "number stands for":
            said = [self.ids[4].index(one) for one in value.split() if one in self.ids[4]]
            return np.isin(cells[:, 4], said).astype(float)
        if name == "technique":
            return np.asarray(self.techniques[cells[:, 4]] == value, float)
        if name == "effect":
            return np.asarray(self.effects[cells[:, 3]] == value, float)
        return np.zeros(len(cells))


def fitted_temperature(matches: Floats, truth: Index) -> float:
    """The temperature under which training pieces come out likeliest (Guo 2017).

    Parameters
    ----------
    matches : array, shape (pieces, cells)
        Counts.
    truth : int array, shape (pieces,)
        Column of the true cell.

    Examples
    --------
    >>> fitted_temperature(np.array([[5.0, 0.0], [5.0, 0.0]]), np.array([0, 0])) < 0.5
    True
    """
    rows = np.arange(len(matches))

    def loss(x: float) -> float:
        log = matches / np.exp(x)
        return float((logsumexp(log, axis=1) - log[rows, truth]).mean())

    return float(np.exp(minimize_scalar(loss, bounds=(-4.0, 3.0), method="bounded").x))


def counted(checklist: Checklist, rows: Sequence[Row], truth: Index, asked: Sequence[Row]) -> Floats:
    """Probability of each cell for each piece asked, shape (asked, cells).

    Parameters
    ----------
    rows, truth : of the training pieces
        Columns, and the number of each one's own cell.
    """
    few = slice(None, None, max(1, len(rows) // 1000))
    temperature = fitted_temperature(np.array([checklist.matches(row) for row in rows[few]]), truth[few])
    log = np.array([checklist.matches(row) for row in asked]) / temperature
    return np.asarray(np.exp(log - logsumexp(log, axis=1, keepdims=True)))
