"""Which marks a piece of a line, form and year carries: shares that are normalised at every year.

    p(mark | line, form, year) -> p(mark | line, year) -> p(mark | maker, year)

A mark's window enters here and nowhere else.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.reference.weights import sums

Floats = NDArray[np.float64]
Index = NDArray[np.int32]
ByYear = Mapping[int, Floats]


@dataclass(frozen=True, slots=True, eq=False)
class MarkSide:
    """Marks of one kind, in the clay or on top, and none, at each year, for every group.

    At every year, a group's `share` rows, `other`, `none` and `new` sum to 1; so do the `maker_share` rows of a maker.

    Parameters
    ----------
    pair_group, pair_mark : int32 array, shape (pairs,)
        Group and mark of each pair that uses or pieces name; ascending, each once.
    share : array, shape (pairs, years)
        p(mark | group, year) of its own.
    other : array, shape (groups, years)
        Share left to the marks of the maker; `maker_share` says which.
    none, new : array, shape (groups, years)
        No such mark; one that the reference does not hold.
    group_maker : int32 array, shape (groups,)
        Row of the maker.
    maker_pair_maker, maker_pair_mark : int32 array, shape (maker pairs,)
    maker_share : array, shape (maker pairs, years)
        p(mark | some mark of the maker, year).
    marks : int
        Rows of the table marks.
    """

    pair_group: Index
    pair_mark: Index
    share: Floats
    other: Floats
    none: Floats
    new: Floats
    group_maker: Index
    maker_pair_maker: Index
    maker_pair_mark: Index
    maker_share: Floats
    marks: int

    def likelihood(
        self,
        log: Floats,
        none: float,
        new: float,
        *,
        by_year: ByYear | None = None,
        else_by_year: float = 1.0,
        new_by_year: Floats | None = None,
    ) -> Floats:
        """P(readings | group, year): summed over all marks, none and new.

        Parameters
        ----------
        log : array, shape (marks,)
            Natural logarithm of p(reading | mark), up to a constant that `none` and `new` share: take the largest
            away first, or a long lettering is 0 everywhere.
        none, new : float
            The same for no mark and for a mark not in the reference.
        by_year : mapping of mark row to array, shape (years,)
            What a date code says at each year if it belongs to that mark (`CodeYears.by_year`).
        else_by_year : float
            The same for every mark that is not in the mapping, and for none.
        new_by_year : array, shape (years,), or None
            The same for a mark not in the reference, and what its wording says; None for 1.

        Returns
        -------
        array, shape (groups, years)
        """
        own, of_maker = self._rows(log, by_year, else_by_year)
        total = self.none * (np.exp(none) * else_by_year) + self.new * (np.exp(new) * _or_one(new_by_year))
        _add_groups(total, self.share * own, self.pair_group)
        pooled = np.zeros((self._makers, total.shape[1]))
        _add_groups(pooled, self.maker_share * of_maker, self.maker_pair_maker)
        return np.asarray(total + self.other * pooled[self.group_maker])

    def mark_posterior(
        self,
        weights: Floats,
        log: Floats,
        none: float,
        new: float,
        *,
        by_year: ByYear | None = None,
        else_by_year: float = 1.0,
        new_by_year: Floats | None = None,
    ) -> Floats:
        """Mass of each mark, of none and of new, given the weight of everything else at each group and year.

        Parameters
        ----------
        weights : array, shape (groups, years)
            p(group, year, all other readings). The rest is as for `likelihood`.

        Returns
        -------
        array, shape (marks + 2,)
            The last two are none and new. It sums to the sum of `weights` x `likelihood`.
        """
        own, of_maker = self._rows(log, by_year, else_by_year)
        left = np.zeros((self._makers, weights.shape[1]))
        np.add.at(left, self.group_maker, weights * self.other)
        pairs = (self.share * own * weights[self.pair_group]).sum(axis=1)
        pooled = (self.maker_share * of_maker * left[self.maker_pair_maker]).sum(axis=1)
        mass = sums(self.pair_mark, pairs, self.marks) + sums(self.maker_pair_mark, pooled, self.marks)
        no_mark = float((weights * self.none).sum()) * np.exp(none) * else_by_year
        a_new = float((weights * self.new * _or_one(new_by_year)).sum()) * np.exp(new)
        return np.append(mass, [no_mark, a_new])

    @property
    def _makers(self) -> int:
        """Makers of any group or any mark: a maker may have marks and no line."""
        return max(int(self.group_maker.max(initial=-1)), int(self.maker_pair_maker.max(initial=-1))) + 1

    def _rows(self, log: Floats, by_year: ByYear | None, else_by_year: float) -> tuple[Floats, Floats]:
        """p(readings | mark) of each pair and maker pair, shape (pairs, 1) or (pairs, years)."""
        plain = np.exp(log)[:, None]
        if not by_year:
            return plain[self.pair_mark] * else_by_year, plain[self.maker_pair_mark] * else_by_year
        rows = sorted(by_year)
        spoken = np.stack([by_year[row] for row in rows] + [np.full(self.none.shape[1], else_by_year)])
        at = np.full(self.marks, len(rows))
        at[rows] = np.arange(len(rows))
        own, of_maker = self.pair_mark, self.maker_pair_mark
        return plain[own] * spoken[at[own]], plain[of_maker] * spoken[at[of_maker]]


def _or_one(array: Floats | None) -> Floats | float:
    return 1.0 if array is None else array


def _add_groups(total: Floats, rows: Floats, group: Index) -> None:
    """Add each run of rows of one group to that group's row of the total."""
    if len(group):
        first = np.flatnonzero(np.diff(group, prepend=-1))
        total[group[first]] += np.add.reduceat(rows, first, axis=0)


@dataclass(frozen=True, slots=True, eq=False)
class MarksInUse:
    """Marks of both kinds.

    Parameters
    ----------
    years : int array, shape (years,)
    in_clay, printed : MarkSide
        `in_clay` over the year of potting, `printed` over the year of decorating.
    group_of_line, group_of_form : int32 array, shape (lines,) and (forms,)
        A line's group is its own row; a form with marks of its own has a group after those.
    """

    years: NDArray[np.int64]
    in_clay: MarkSide
    printed: MarkSide
    group_of_line: Index
    group_of_form: Index
