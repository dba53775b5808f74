"""What is said of the uses of marks, by group: a line, or a form with uses of its own."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.habits import habit
from footring.reasoning.mark_windows import trapezoid, use_window
from footring.reasoning.prior import default_prior
from footring.reference import Reference
from footring.rows.reference_things import Mark
from footring.terms.dates import parse_edtf

Floats = NDArray[np.float64]
Index = NDArray[np.int32]
Years = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Use:
    """One row of the table mark_uses: a group, or -1 for any ware of the maker; when; what it counts for."""

    mark: int
    group: int
    line: int
    used: str | None
    pieces: float


@dataclass(frozen=True, slots=True, eq=False)
class World:
    """Marks, their uses, and how the pieces of each line are spread over the years.

    Groups are the lines, by row, and after them the forms with uses of their own. `form_group` is -1 for others.
    """

    reference: Reference
    years: Years
    marks: tuple[Mark, ...]
    uses: tuple[Use, ...]
    uses_of: Mapping[int, tuple[Use, ...]]
    form_group: Index
    group_line: Index
    group_maker: Index
    line_years: Floats

    @property
    def lines(self) -> int:
        """How many groups are lines."""
        return len(self.reference.tables["lines"])

    @staticmethod
    def of(reference: Reference, years: Years, document: float | Floats | None, line_years: Floats | None) -> World:
        """What a reference says; see `compile_marks`."""
        tables = reference.tables
        form_group, group_line = _groups(reference)
        uses = _uses(reference, form_group, document)
        by_mark: dict[int, list[Use]] = defaultdict(list)
        for use in uses:
            by_mark[use.mark].append(use)
        spread = _line_years(reference, years, uses) if line_years is None else line_years
        marks = tuple(row for row in tables["marks"].rows.rows() if isinstance(row, Mark))
        maker = tables["lines"].links["maker"][group_line]
        of_mark = {mark: tuple(of) for mark, of in by_mark.items()}
        return World(reference, years, marks, uses, of_mark, form_group, group_line, maker, spread)

    def windows(self, mark: Index, group: Index, side: str) -> Floats:
        """Window of each mark on each group by its most specific uses, shape (pairs, years); group -1: any ware."""
        date = "potted" if side == "mark_in_clay" else "decorated"
        known: dict[tuple[int, frozenset[str | None]], Floats] = {}
        rows = np.empty((len(mark), len(self.years)))
        for i, (m, g) in enumerate(zip(mark.tolist(), group.tolist(), strict=True)):
            key = m, self._used(m, g)
            if key not in known:
                known[key] = use_window(key[1], self.marks[m], date, self.years)
            rows[i] = known[key]
        return rows

    def _used(self, mark: int, group: int) -> frozenset[str | None]:
        """When a mark was in use: on the form, else the line, else any ware, else wherever it was."""
        uses = self.uses_of.get(mark, ())
        line = int(self.group_line[group]) if group >= 0 else -1
        levels = ([use for use in uses if use.group == where] for where in (group, line, -1))
        return frozenset(use.used for use in next((level for level in levels if level), uses))

    def maker_years(self) -> Floats:
        """How pieces of each maker are spread over the years, its lines alike, shape (makers, years)."""
        maker = self.reference.tables["lines"].links["maker"]
        total = np.tile(default_prior().density(self.years) * 1e-9, (len(self.reference.tables["makers"]), 1))
        np.add.at(total, maker, self.line_years)
        return np.asarray(total / total.sum(axis=1, keepdims=True))

    def group_years(self) -> Floats:
        """How pieces of each group are spread over the years, shape (groups, years)."""
        return self.line_years[self.group_line]


def _groups(reference: Reference) -> tuple[Index, Index]:
    """Group of each form with uses of its own, else -1; and the line of each group."""
    tables = reference.tables
    uses, forms = tables["mark_uses"], tables["forms"].links["line"]
    own = np.unique(uses.links["form"][uses.current & (uses.links["form"] >= 0)])
    group = np.full(len(forms), -1, np.int32)
    group[own] = len(tables["lines"]) + np.arange(len(own))
    return group, np.append(np.arange(len(tables["lines"]), dtype=np.int32), forms[own])


def _uses(reference: Reference, form_group: Index, document: float | Floats | None) -> tuple[Use, ...]:
    table = reference.tables["mark_uses"]
    pieces = np.broadcast_to(habit("document") if document is None else document, len(table))
    used, form_line = table.text("used").tolist(), reference.tables["forms"].links["line"]
    found = []
    for i in np.flatnonzero(table.current).tolist():
        mark, line, form = (int(table.links[column][i]) for column in ("mark", "line", "form"))
        group = int(form_group[form]) if form >= 0 else line
        found.append(Use(mark, group, int(form_line[form]) if form >= 0 else line, used[i], float(pieces[i])))
    return tuple(found)


def _line_years(reference: Reference, years: Years, uses: Iterable[Use]) -> Floats:
    tables = reference.tables
    made: dict[int, set[str]] = defaultdict(set)
    productions = tables["productions"]
    for i in np.flatnonzero(productions.current).tolist():
        if (when := productions.text("made").value(i)) is not None:
            made[int(productions.links["line"][i])].add(str(when))
    marked: dict[int, set[str]] = defaultdict(set)
    for use in uses:
        if use.used is not None and use.line >= 0:
            marked[use.line].add(use.used)
    active = [tables["makers"].text("active").value(int(maker)) for maker in tables["lines"].links["maker"]]
    usual = default_prior().density(years)
    choices = (
        made.get(line) or marked.get(line) or ({str(when)} if when else set()) for line, when in enumerate(active)
    )
    return np.array([_even(sorted(when), years, usual) for when in choices]).reshape(-1, len(years))


def _even(when: Iterable[str], years: Years, usual: Floats) -> Floats:
    spans = [trapezoid(parse_edtf(text), years) for text in when]
    height = np.max(spans, axis=0) if spans else usual
    return np.asarray(height / height.sum()) if height.sum() > 0 else usual
