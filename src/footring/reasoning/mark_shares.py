"""Share of each mark in the totals of a maker, a line or a form, before the years are looked at."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.habits import habit
from footring.reasoning.mark_counts import MarkCounts
from footring.reasoning.mark_world import World
from footring.reference.weights import sums
from footring.rows.reference_things import IN_CLAY

Floats = NDArray[np.float64]
Index = NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class Pairs:
    """Marks by group (or maker), ascending, each pair once.

    `pieces` is what is met and documented, or a share; `met` what was met alone.
    """

    group: Index
    mark: Index
    pieces: Floats
    met: Floats


@dataclass(frozen=True, slots=True, eq=False)
class GroupShares:
    """Shares in the totals of each group: of its pairs, of its maker's other marks, of none and of new; together 1.

    `trust` is how far the shares of a group were counted, 0 to 1.
    """

    pairs: Pairs
    other: Floats
    none: Floats
    new: Floats
    trust: Floats

    def rows(self) -> tuple[Index, Floats]:
        """Group and share of every row: pairs, then other, none and new of each group."""
        each = np.arange(len(self.other), dtype=np.int32)
        shares = np.concatenate([self.pairs.pieces, self.other, self.none, self.new])
        return np.concatenate([self.pairs.group, each, each, each]), shares


def of_kind(world: World, side: str, both: Mapping[str, MarkCounts]) -> Floats:
    """How far each mark is of this kind, shape (marks,): 1 or 0 by its technique.

    One whose technique is not known is half of each, and more of the kind that pieces met carry.
    """
    met = {kind: _pieces(world, counts) for kind, counts in both.items()}
    unsure = (1.0 + met[side]) / (2.0 + sum(met.values()))
    plain = np.array([(mark.technique in IN_CLAY) == (side == "mark_in_clay") for mark in world.marks], bool)
    known = np.array([mark.technique is not None for mark in world.marks], bool)
    return np.where(known, plain * 1.0, unsure)


def _pieces(world: World, met: MarkCounts) -> Floats:
    known = met.mark >= 0
    return sums(met.mark[known], met.pieces[known], len(world.marks))


def groups_met(world: World, met: MarkCounts) -> Index:
    """Group of each attribution counted."""
    own = np.append(world.form_group, np.int32(-1))[met.form]
    return np.where(own >= 0, own, met.line).astype(np.int32)


def own_pieces(world: World, of_kind: Floats, met: MarkCounts) -> Pairs:
    """Pieces and documents of each mark on each group that names it; forms also have the pairs of their line."""
    known = met.mark >= 0
    uses = [use for use in world.uses if use.group >= 0 and of_kind[use.mark] > 0]
    group = np.append(groups_met(world, met)[known], [use.group for use in uses]).astype(np.int32)
    mark = np.append(met.mark[known], [use.mark for use in uses]).astype(np.int32)
    seen = np.append(met.pieces[known], np.zeros(len(uses)))
    papers = np.append(np.zeros(known.sum()), [use.pieces * of_kind[use.mark] for use in uses])
    pairs = _summed(group, mark, seen, papers, len(world.marks))
    chosen = np.where(pairs.pieces > 0, pairs.pieces, habit("document"))
    forms = [(f, line) for f, line in enumerate(world.group_line.tolist()) if f >= world.lines]
    of_line = [(f, pairs.mark[pairs.group == line]) for f, line in forms]
    copies = np.concatenate([np.full(len(marks), f) for f, marks in of_line] or [np.empty(0)]).astype(np.int32)
    marks = np.concatenate([marks for _, marks in of_line] or [np.empty(0)]).astype(np.int32)
    nothing = np.zeros(len(copies))
    group, mark = np.append(pairs.group, copies), np.append(pairs.mark, marks)
    return _summed(group, mark, np.append(pairs.met, nothing), np.append(chosen - pairs.met, nothing), len(world.marks))


def _summed(group: Index, mark: Index, met: Floats, papers: Floats, marks: int) -> Pairs:
    keys, which = np.unique(group.astype(np.int64) * marks + mark, return_inverse=True)
    of_met, of_papers = (sums(which, weight, len(keys)) for weight in (met, papers))
    groups, rows = np.divmod(keys, max(1, marks))
    return Pairs(groups.astype(np.int32), rows.astype(np.int32), of_met + of_papers, of_met)


def maker_shares(world: World, of_kind: Floats, own: Pairs) -> Pairs:
    """Share of each mark among all marks of its maker: lines count alike, and so do the marks nobody met.

    A mark whose uses name other lines only is left a small part of its share; a mark without a maker is one of the
    makers of the lines it was met or documented on.
    """
    line = world.group_line[own.group]
    maker_of_line = world.reference.tables["lines"].links["maker"]
    pieces = sums(line, own.met, world.lines)
    leaning = own.met / (pieces[line] + habit("line"))
    share: dict[tuple[int, int], float] = defaultdict(float)
    on_lines: dict[int, set[int]] = defaultdict(set)
    for maker, mark, where, lean in zip(
        maker_of_line[line].tolist(), own.mark.tolist(), line.tolist(), leaning.tolist(), strict=True
    ):
        share[maker, mark] += lean
        on_lines[mark].add(where)
    for mark, maker in enumerate(world.reference.tables["marks"].links["maker"].tolist()):
        if maker >= 0 and of_kind[mark] > 0:
            share[maker, mark] += 0.0
    return _pooled(world, of_kind, share, on_lines)


def _pooled(world: World, of_kind: Floats, share: dict[tuple[int, int], float], on_lines: dict[int, set[int]]) -> Pairs:
    keys = np.array(sorted(share), np.int32).reshape(-1, 2)
    maker, mark = keys[:, 0], keys[:, 1]
    makers = len(world.reference.tables["makers"])
    kind = np.where(of_kind[mark] > 0, of_kind[mark], 0.5)
    papers = kind * habit("maker") / np.bincount(maker, minlength=makers)[maker]
    at_home = np.array([habit("elsewhere") if _private(world, m, on_lines[m]) else 1.0 for m in mark.tolist()])
    pieces = (np.array([share[key] for key in sorted(share)]) + papers) * at_home
    total = sums(maker, pieces, makers)[maker]
    return Pairs(maker, mark, pieces / total, np.array([share[key] for key in sorted(share)]))


def _private(world: World, mark: int, lines: set[int]) -> bool:
    """Whether uses are recorded of a mark, and they and the pieces met are all of one line."""
    uses = world.uses_of.get(mark, ())
    return bool(uses) and all(use.group >= 0 for use in uses) and len(lines | {use.line for use in uses}) == 1


def group_shares(world: World, side: str, met: MarkCounts, own: Pairs, pool: Pairs) -> GroupShares:
    """Shares of each group: a line leans on its maker, a form with marks of its own on its line."""
    of_maker = np.bincount(pool.group, minlength=len(world.reference.tables["makers"])) > 0
    other = _line_shares(world, of_maker[world.group_maker[: world.lines]], own)
    shares, left = _with_forms(world, own, *other)
    none, new = none_shares(world, side, met), new_shares(world, own)[world.group_maker]
    counted = sums(groups_met(world, met), met.pieces * (met.none + met.marked), len(left))
    named = sums(own.group, shares, len(left)) + left > 0
    marked = (1.0 - none) * np.where(named, 1.0 - new, 0.0)
    pairs = Pairs(own.group, own.mark, shares * marked[own.group], own.met)
    return GroupShares(pairs, left * marked, none, 1.0 - none - marked, counted / (counted + habit("none_pieces")))


def _line_shares(world: World, of_maker: NDArray[np.bool_], own: Pairs) -> tuple[Floats, Floats]:
    """Share of each pair in its line (0 for those of forms), and what is left to the maker's marks."""
    is_line = own.group < world.lines
    total = sums(own.group, own.pieces, len(world.group_line))[: world.lines]
    leans = np.where(of_maker, habit("line"), 0.0)
    whole = total + leans
    safe = np.where(whole > 0, whole, 1.0)
    share = np.where(is_line, own.pieces / safe[np.where(is_line, own.group, 0)], 0.0) if len(own.mark) else own.pieces
    return share, leans / safe


def _with_forms(world: World, own: Pairs, share: Floats, other: Floats) -> tuple[Floats, Floats]:
    """The same with forms: their own pieces, and their line's shares for a few pieces more."""
    pieces = sums(own.group, own.pieces, len(world.group_line))
    of_line = {(g, m): s for g, m, s in zip(own.group.tolist(), own.mark.tolist(), share.tolist(), strict=True)}
    form, leans = own.group >= world.lines, habit("form")
    parent = [
        of_line.get((int(world.group_line[g]), m), 0.0)
        for g, m in zip(own.group.tolist(), own.mark.tolist(), strict=True)
    ]
    mixed = (own.pieces + leans * np.array(parent)) / (pieces[own.group] + leans)
    left = leans * other[world.group_line] / (pieces + leans)
    left[: world.lines] = other
    return np.where(form, mixed, share), left


def none_shares(world: World, side: str, met: MarkCounts) -> Floats:
    """Share of pieces of each group without such a mark: forms lean on lines, lines on makers, makers on the table."""
    groups = len(world.group_line)
    group = groups_met(world, met)
    none = sums(group, met.pieces * met.none, groups)
    looked = sums(group, met.pieces * (met.none + met.marked), groups)
    makers = len(world.reference.tables["makers"])
    usual = np.full(makers, habit(f"none_{side.removeprefix('mark_')}"))
    of_maker = _leaning(sums(world.group_maker, none, makers), sums(world.group_maker, looked, makers), usual)
    of_line = _leaning(none, looked, of_maker[world.group_maker])
    return np.where(np.arange(groups) < world.lines, of_line, _leaning(none, looked, of_line[world.group_line]))


def _leaning(some: Floats, of: Floats, usual: Floats) -> Floats:
    return np.asarray((some + habit("none_pieces") * usual) / (of + habit("none_pieces")))


def new_shares(world: World, own: Pairs) -> Floats:
    """Share of each maker's marks that the reference does not hold, shape (makers,).

    Of the marks that no use records, those met once tell how often a mark is met for the first time (Good 1953).
    """
    makers = len(world.reference.tables["makers"])
    pieces = sums(world.group_maker[own.group], own.met, makers)
    of_mark = sums(own.mark, own.met, len(world.marks))
    once = (of_mark > 0) & (of_mark <= 1) & ~np.isin(np.arange(len(of_mark)), list(world.uses_of))
    first_met = sums(world.group_maker[own.group], own.met * once[own.mark], makers)
    return np.asarray((first_met + habit("new") * habit("new_pieces")) / (pieces + habit("new_pieces")))
