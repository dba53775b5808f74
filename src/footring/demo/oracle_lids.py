"""Whether a lid came from elsewhere, for an oracle that knew how often they do and what was issued together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.demo.lids import IN_ITS_OWN_GLAZE, lids_of
from footring.demo.oracle import Oracle

Floats = NDArray[np.float64]


@dataclass(eq=False)
class LidOracle:
    """Scores lids, given what their bases may be."""

    oracle: Oracle

    def __post_init__(self) -> None:
        world = self.oracle.world
        lid_of = lids_of(world)
        self.lid = lid_of[self.oracle.form]
        self.stray = np.where(np.isin(self.oracle.form, lid_of[lid_of >= 0]), world.rate, 0.0)
        self.stray /= max(float(self.stray.sum()), 1e-300)

    def married(self, read: Mapping[str, str], reader: int, cells: Floats) -> float | None:
        """Chance of a marriage; None when no lid was read.

        Parameters
        ----------
        read : mapping of column to text
        cells : array, shape (cells,)
            p(cell, readings of the base), as the oracle gives it.
        """
        form, glaze = (self._typed(read, name, reader) for name in ("form", "glaze"))
        if form is None and glaze is None:
            return None
        p, oracle = self.oracle.world.p.marriages, self.oracle
        of_form = np.ones(len(self.lid)) if form is None else form[self.lid]
        base = np.where(self.lid >= 0, cells, 0.0)
        issued = (base * of_form * (1.0 if glaze is None else self._issued(glaze))).sum()
        stray = self.stray * (1.0 if form is None else form[oracle.form])
        strange = (stray * (1.0 if glaze is None else glaze[oracle.glaze])).sum() * base.sum()
        return float(p * strange / (p * strange + (1.0 - p) * issued))

    def _typed(self, read: Mapping[str, str], name: str, reader: int) -> Floats | None:
        return self.oracle.named(name, read[f"lid.{name}"], reader) if f"lid.{name}" in read else None

    def _issued(self, glaze: Floats) -> Floats:
        """p(glaze as typed | cell of the base, issued together)."""
        found: Floats = glaze[self.oracle.glaze]
        for lid, (own, base) in self.oracle.world.pairs.items():
            here = (self.lid == lid) & (self.oracle.glaze == base)
            found[here] = IN_ITS_OWN_GLAZE * glaze[own] + (1.0 - IN_ITS_OWN_GLAZE) * glaze[base]
        return found
