"""A reference becomes shares of marks by line, form and year."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.habits import habit
from footring.reasoning.mark_counts import SIDES, MarkCounts, mark_counts
from footring.reasoning.mark_fit import fitted_weights, normalised
from footring.reasoning.mark_shares import Pairs, group_shares, maker_shares, of_kind, own_pieces
from footring.reasoning.mark_side import MarkSide, MarksInUse
from footring.reasoning.mark_world import World
from footring.reference import Reference
from footring.reference.weights import sums

__all__ = ["MarkSide", "MarksInUse", "compile_marks"]

Floats = NDArray[np.float64]
Index = NDArray[np.int32]
Years = NDArray[np.int64]

OUTSIDE_YEARS = 0.02
"""Part of a group's pieces, for each of its marks, that is spread over the mark's window whatever the group's years."""


def compile_marks(
    reference: Reference,
    years: Years,
    document_weight: float | Floats | None = None,
    *,
    line_years: Floats | None = None,
    without_piece: str | None = None,
) -> MarksInUse:
    """Shares of every mark on every line, and on forms that have marks of their own, at each year.

    Parameters
    ----------
    reference : Reference
    years : array of int, shape (years,)
        Annual grid.
    document_weight : float, array of shape (mark_uses,), or None
        Pieces that each row of the table mark_uses counts for; None is `mark_habits.csv`'s.
    line_years : array, shape (lines, years), optional
        How pieces of each line are spread over the years. Without it: even over the line's productions, else over
        the uses of its own marks, else over its maker's active years, else `default_prior`.
    without_piece : str, optional
        Id of a piece to count as if nobody had attributed it.

    Returns
    -------
    MarksInUse

    Raises
    ------
    UnknownName
        If there is no such piece.

    Notes
    -----
    Shares lean on their parent by Dirichlet smoothing: a form with marks of its own on its line, a line on its maker,
    whose shares count lines rather than pieces. A mark whose uses name one line only is left a tenth of its share on
    others. Only confirmed pieces that nobody chose count; chosen ones prove that the mark was used there and count
    as a document does. A mark of no maker that no use and no piece places is met nowhere. A mark of unknown technique
    is half of each kind until a piece says which.
    """
    world = World.of(reference, years, document_weight, line_years)
    both = {side: mark_counts(reference, side, without_piece) for side in SIDES}
    sides = [_side(world, side, both) for side in SIDES]
    own = world.form_group
    of_form = np.where(own >= 0, own, reference.tables["forms"].links["line"]).astype(np.int32)
    return MarksInUse(years, sides[0], sides[1], np.arange(world.lines, dtype=np.int32), of_form)


def _side(world: World, side: str, both: Mapping[str, MarkCounts]) -> MarkSide:
    met, kind = both[side], of_kind(world, side, both)
    own = own_pieces(world, kind, met)
    pool = maker_shares(world, kind, own)
    windows = world.windows(pool.mark, np.full(len(pool.mark), -1), side)
    spread = _reaching(world.maker_years(), windows, pool.group)
    weight = fitted_weights(windows, pool.group, pool.pieces, spread, _lines_trusted(pool, len(spread)))
    in_use = _pooled(weight[:, None] * windows, pool.group, len(spread))
    shares = group_shares(world, side, met, own, pool)
    rows = np.concatenate([world.windows(shares.pairs.mark, shares.pairs.group, side), in_use[world.group_maker]])
    group, target = shares.rows()
    yearly = _yearly(rows, group, target, world.group_years(), shares.trust)
    pairs, groups = len(shares.pairs.mark), len(world.group_maker)
    other, none, new = yearly[pairs:].reshape(3, groups, len(world.years))
    return MarkSide(
        shares.pairs.group, shares.pairs.mark, yearly[:pairs], other, none, new, world.group_maker,
        pool.group, pool.mark, normalised(weight, windows, pool.group), len(world.marks),
    )  # fmt: skip


def _yearly(windows: Floats, group: Index, target: Floats, years: Floats, trust: Floats) -> Floats:
    """Yearly share of each row, in the order given; rows after the windows are in use in every year."""
    height = np.concatenate([windows, np.ones((len(group) - len(windows), windows.shape[1]))])
    years = _reaching(years, windows, group[: len(windows)])
    order = np.argsort(group, kind="stable")
    height, group, target = height[order], group[order], target[order]
    weight = fitted_weights(height, group, target, years, trust)
    shares = np.empty_like(height)
    shares[order] = normalised(weight, height, group)
    return shares


def _lines_trusted(pool: Pairs, makers: int) -> Floats:
    lines = sums(pool.group, pool.met, makers)
    return lines / (lines + habit("maker"))


def _pooled(mass: Floats, group: Index, groups: int) -> Floats:
    """How much of a maker's marks is in use in each year against its best year; 1 for a maker without any."""
    total = np.zeros((groups, mass.shape[1]))
    np.add.at(total, group, mass)
    top = total.max(axis=1, keepdims=True)
    return np.where(top > 0, total / np.where(top > 0, top, 1.0), 1.0)


def _reaching(years: Floats, height: Floats, group: Index) -> Floats:
    """Years of each group as far as some mark is in use in them, and by a small part the windows of its marks.

    A total says nothing of years in which no recorded mark was in use: unmarked pieces of the other years are not
    to be made fewer for them. And no window may lie wholly where nothing was made.
    """
    in_use = np.zeros_like(years)
    np.maximum.at(in_use, group, height)
    reach = years * in_use
    np.add.at(reach, group, OUTSIDE_YEARS * height / height.sum(axis=1, keepdims=True))
    total = reach.sum(axis=1, keepdims=True)
    return np.asarray(np.where(total > 0, reach / np.where(total > 0, total, 1.0), years))
