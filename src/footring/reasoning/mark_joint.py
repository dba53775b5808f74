"""Which two marks a piece of one window carries, together: both hang on the years."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.examination import Examination, Way
from footring.reasoning.gaps import gaps
from footring.reasoning.mark_side import MarkSide
from footring.reasoning.piece_years import SIDES, side_told
from footring.reasoning.thing_names import NEW, NONE

Floats = NDArray[np.float64]
Index = NDArray[np.int32]


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
    told = side_told(side, slot, examination.dates)
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


class MarkPairs:
    """Which two marks pieces of each window carry, after everything read; worked out when asked for, and kept."""

    def __init__(self, examination: Examination) -> None:
        self._examination, self._between = examination, gaps(len(examination.model.eras.years))
        self._marks: dict[tuple[int, str, int], Marks] = {}
        self._carried: dict[tuple[int, int], Floats] = {}
        self._pairs: dict[tuple[int, int], Floats] = {}

    def of(self, way: int, window: int) -> tuple[Index, Index, Floats]:
        """Marks in the clay, marks on top, and the chance of each pair, shape (in clay, on top), which sum to 1.

        Parameters
        ----------
        way : int
            Which way of taking the readings.
        window : int
            Row of `Classes.windows`; those of one mark group have the same marks, in the same order.
        """
        group = int(self._examination.model.classes.e_group[window])
        if (way, window) not in self._pairs:
            self._pairs[way, window] = self._joint(way, group, self._examination.model.classes.windows[window])
        return self._side(way, SIDES[0], group).which, self._side(way, SIDES[1], group).which, self._pairs[way, window]

    def _side(self, way: int, side: str, group: int) -> Marks:
        if (way, side, group) not in self._marks:
            found = marks_of_group(self._examination, self._examination.ways[way], side, group)
            self._marks[way, side, group] = found
        return self._marks[way, side, group]

    def _joint(self, way: int, group: int, window: Floats) -> Floats:
        own, between = self._examination.dates.own, self._between
        if (way, group) not in self._carried:
            potted = own["potted"] * (between.form_age @ own["form_designed"])
            self._carried[way, group] = (self._side(way, SIDES[0], group).years * potted) @ between.lag.T
        decorated = own["decorated"] * (between.pattern_age @ own["pattern_designed"])
        seen = decorated * (between.sale_lag @ own["sold"]) * window
        pairs = self._carried[way, group] @ (self._side(way, SIDES[1], group).years * seen).T
        return np.asarray(pairs / max(float(pairs.sum()), 1e-300))
