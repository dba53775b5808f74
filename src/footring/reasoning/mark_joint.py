"""Which two marks a piece of one window carries, together: both hang on the years."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.examination import Examination, Way
from footring.reasoning.gaps import gaps
from footring.reasoning.mark_side import MarkSide
from footring.reasoning.piece_years import SIDES, side_code

Floats = NDArray[np.float64]
Index = NDArray[np.int32]
NONE, NEW = -1, -2
"""In place of a row of the table marks: no such mark; one that the reference does not hold."""


@dataclass(frozen=True, slots=True, eq=False)
class Marks:
    """Marks of one kind that a piece of one group may carry.

    Parameters
    ----------
    which : int32 array, shape (marks,)
        Row of the table marks, `NONE` or `NEW`.
    years : array, shape (marks, years)
        p(mark, everything read of it | year).
    """

    which: Index
    years: Floats


def marks_of_group(examination: Examination, way: Way, side: str, group: int) -> Marks:
    """Every mark of one kind on a piece of one group.

    Parameters
    ----------
    side : {"mark_in_clay", "mark_printed"}
    group : int
        Mark group; see `MarksInUse`.
    """
    slot, code = way.weighed.slots.get(side), examination.dates.codes.get(side)
    marks = examination.model.marks.in_clay if side == SIDES[0] else examination.model.marks.printed
    which, share = _shares(marks, group)
    if slot is not None:
        share *= np.exp(np.append(slot.log[which[:-2]], [slot.none, slot.log[-1]]))[:, None]
    told = side_code(code, examination.dates.new.get(side))
    if code is not None:
        for i, mark in enumerate(which[:-2].tolist()):
            share[i] *= code.by_year.get(mark, code.otherwise)
        share[-2] *= code.otherwise
    if told["new_by_year"] is not None:
        share[-1] *= told["new_by_year"]
    return Marks(which, share)


def _shares(marks: MarkSide, group: int) -> tuple[Index, Floats]:
    """Marks, none and new, and p(mark | group, year) of each."""
    maker = int(marks.group_maker[group])
    own = slice(*np.searchsorted(marks.pair_group, [group, group + 1]))
    pool = slice(*np.searchsorted(marks.maker_pair_maker, [maker, maker + 1]))
    which = np.union1d(marks.pair_mark[own], marks.maker_pair_mark[pool]).astype(np.int32)
    share = np.zeros((len(which) + 2, marks.none.shape[1]))
    share[np.searchsorted(which, marks.maker_pair_mark[pool])] = marks.maker_share[pool] * marks.other[group]
    share[np.searchsorted(which, marks.pair_mark[own])] += marks.share[own]
    share[-2], share[-1] = marks.none[group], marks.new[group]
    return np.append(which, [NONE, NEW]).astype(np.int32), share


def mark_pairs(examination: Examination, way: Way, window: int) -> tuple[Index, Index, Floats]:
    """Chance of each pair of marks of a piece of one window, after everything read.

    Parameters
    ----------
    window : int
        Row of `Classes.windows`.

    Returns
    -------
    tuple of int32 array, int32 array and array of shape (in clay, printed)
        Marks in the clay, marks on top, and the chance of each pair, which sum to 1.
    """
    classes, own = examination.model.classes, examination.dates.own
    group, between = int(classes.e_group[window]), gaps(len(examination.model.eras.years))
    in_clay, printed = (marks_of_group(examination, way, side, group) for side in SIDES)
    potted = own["potted"] * (between.form_age @ own["form_designed"])
    decorated = own["decorated"] * (between.pattern_age @ own["pattern_designed"]) * (between.sale_lag @ own["sold"])
    at_decorating = between.lag @ (in_clay.years * potted).T
    pairs = at_decorating.T @ (printed.years * (decorated * classes.windows[window])).T
    return in_clay.which, printed.which, pairs / max(float(pairs.sum()), 1e-300)
