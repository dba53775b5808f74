"""Lids that lie on the pieces to be told: issued with them, sometimes in a glaze of their own, or married to them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.demo.meeting import Pieces
from footring.demo.readers import Vocabulary
from footring.demo.reading_off import in_words
from footring.demo.ware import World

Index = NDArray[np.int64]
THERE, IN_ITS_OWN_GLAZE, LOOKED = 0.3, 0.5, 0.9
"""Shares: of lidded pieces met with a lid; of pairs in two colours among those that might be; of lids read."""


@dataclass(frozen=True, slots=True, eq=False)
class Lids:
    """The lid on each piece; -1: none.

    Parameters
    ----------
    form, glaze : int arrays, shape (pieces,)
    married, own_glaze : bool arrays, shape (pieces,)
        Whether it came from another piece; whether it was issued in another glaze than its base.
    """

    form: Index
    glaze: Index
    married: NDArray[np.bool_]
    own_glaze: NDArray[np.bool_]


def draw_lids(world: World, vocabulary: Mapping[str, Vocabulary], rng: np.random.Generator, pieces: Pieces) -> Lids:
    """Put lids on pieces, and add what is read off them to their readings as `lid.form` and `lid.glaze`."""
    found = _lids(world, rng, pieces)
    for name, value in (("form", found.form), ("glaze", found.glaze)):
        text = in_words(world, rng, pieces.reader, value, name, vocabulary[name])
        for i in np.flatnonzero((found.form >= 0) & (rng.random(len(value)) < LOOKED)):
            pieces.readings[i][f"lid.{name}"] = text[i]
    return found


def lids_of(world: World) -> Index:
    """The lid of each form, shape (forms,); -1: it has none."""
    found = np.full(len(world.things.forms), -1)
    for lid, form in enumerate(world.things.forms):
        if form.base >= 0:
            found[form.base] = lid
    return found


def _lids(world: World, rng: np.random.Generator, pieces: Pieces) -> Lids:
    many, lid_of = len(pieces.cell), lids_of(world)
    form, treatment = world.cells[pieces.cell].T
    there = (pieces.cell >= 0) & (lid_of[form] >= 0) & (rng.random(many) < THERE)
    glaze = world.treatments[treatment, 2]
    for lid, (own, base) in world.pairs.items():
        here = (lid_of[form] == lid) & (glaze == base) & (rng.random(many) < IN_ITS_OWN_GLAZE)
        glaze = np.where(here, own, glaze)
    other = glaze != world.treatments[treatment, 2]
    lids = np.flatnonzero(np.isin(world.cells[:, 0], lid_of[lid_of >= 0]))
    married = there & (rng.random(many) < world.p.marriages)
    if len(lids):
        stray = rng.choice(lids, size=many, p=world.rate[lids] / world.rate[lids].sum())
        form_of, glaze_of = world.cells[stray, 0], world.treatments[world.cells[stray, 1], 2]
    else:
        form_of, glaze_of = lid_of[form], glaze
    return Lids(
        np.where(there, np.where(married, form_of, lid_of[form]), -1),
        np.where(there, np.where(married, glaze_of, glaze), -1),
        married,
        there & ~married & other,
    )
