"""A slow and obvious twin of the posterior: dictionaries, loops, one weight for every combination there is.

Taken as given are what other tests hold to account: what each reading is likely to be (factors), what dates a foot, the
yearly shares of marks, the years of a line, and what each document counts for.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from functools import cache, cached_property
from itertools import product
from math import exp, log, prod
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.marks.foot import Foot
from footring.marks.readings import Reading, feet
from footring.reasoning.channels.factor import SLOTS
from footring.reasoning.eras import not_before, reweighted, window_height
from footring.reasoning.gaps import gaps
from footring.reasoning.model import Model
from footring.reasoning.slots import choices
from tests.reasoning.twin_shares import PARTS, TwinShares, share_of

Floats = NDArray[np.float64]
MOST_SPECIFIC_FIRST = ("bgdt", "gdt", "bgd", "gd", "bdt", "dt", "bd", "d", "bgt", "gt", "bg", "g", "bt", "t", "b")


class Network:
    """Every combination of one reference, weighed one at a time."""

    def __init__(self, model: Model) -> None:
        self.model, self.reference = model, model.reference
        self.shares = TwinShares(model)
        self.lines, self.forms = self.shares.lines, self.shares.forms
        self.years = model.eras.years
        self.nothing = model.rules.piece_dates(Foot())

    # ---- years

    @cache  # noqa: B019
    def window(self, line: str, form: str, parts: Sequence[str | None], how: str) -> Floats:
        """p(decorated): `how` says where the combination comes from, "cell", "treatment" or "product"."""
        d = self.forms[form].designed
        decoration = parts[2]
        designed = self.shares.rows["decorations"][decoration].designed if decoration not in (None, "NEW") else None
        of_pair = decoration is not None and (line, decoration) in self.shares.pairs
        known = [None, None, decoration if of_pair else None, None] if how == "product" else parts
        said = self.said(line, form, known) if how == "cell" else []
        said = said or self.said(line, None, known) or self.documents.get((line, form, None, None, None, None), [])
        dated = self.model.parameters.dated
        base = self.model.eras.line_density[self.shares.at["lines", line]]
        line_base = base
        shown = known[2] if how == "product" else decoration
        for name in (f"{line}/{shown}", f"{line}//{form}"):
            if name in dated:
                base = reweighted(line_base, dated[name], self.years)
                break
        density = base
        if said:
            height = np.max([window_height(text, self.years) for text, _ in said], axis=0) * base
            trust = 1 - prod(1 - weight for _, weight in said)
            density = trust * height / height.sum() + (1 - trust) * base
        edges = [d] if d else []
        edges += [designed] if designed and shown is not None else []
        cut = density * prod((not_before(text, self.years) for text in set(edges)), start=np.ones(len(self.years)))
        kept = cut if cut.sum() >= 1e-6 else density
        return kept / kept.sum()

    @cached_property
    def documents(self) -> dict[tuple[Any, ...], list[tuple[str, float]]]:
        found: dict[tuple[Any, ...], list[tuple[str, float]]] = defaultdict(list)
        for row, weight in self.shares.trusted("productions"):
            if row.made and weight > 0 and row.customer is None:
                named = (row.line, row.form, row.body, row.glaze, row.decoration, row.trim)
                found[named].append((row.made, weight * self.model.parameters.window_trust))
        return found

    def said(self, line: str, form: str | None, parts: Sequence[str | None]) -> list[tuple[str, float]]:
        for named in MOST_SPECIFIC_FIRST:
            wanted = [part if letter in named else None for letter, part in zip("bgdt", parts, strict=True)]
            all_said = all(part is not None for letter, part in zip("bgdt", parts, strict=True) if letter in named)
            if all_said and (line, form, *wanted) in self.documents:
                return self.documents[line, form, *wanted]
        return []

    # ---- a piece

    def weigh(self, readings: Sequence[Reading]) -> dict[str, Any]:
        """p of outside, of every recorded cell and of every other combination."""
        dates = self.model.rules.piece_dates(feet(readings)[None])
        inside: dict[tuple[Any, ...], float] = defaultdict(float)
        outside = 0.0
        ways = list(choices(self.model.channels.factors(readings)))
        top = max((_top(factors) for _, factors in ways), default=0.0)
        for weight, factors in ways:
            for cell, p in self.one_way(factors, dates).items():
                inside[cell] += exp(weight + _top(factors) - top) * p
            outside += exp(weight + sum(f.outside for f in factors) + dates.outside.log - top)
        prior = self.model.parameters.outside
        found = {cell: (1 - prior) * p for cell, p in inside.items()}
        total = sum(found.values()) + prior * outside
        return {
            "cells": {cell: p / total for cell, p in found.items()},
            "outside": prior * outside / total,
            "log_evidence": log(total) + top,
        }

    def spread(self, readings: Sequence[Reading], line: str, part: str, value: str) -> float:
        """Share of a value in what is not said of a treatment of a line, after what was read."""
        ((_, factors),) = choices(self.model.channels.factors(readings))
        read = Read(self.model, factors)
        everything = [*self.shares.values[part], "NEW"]
        of = {one: share_of(self.shares, line, part, one) * read.part(self, line, part, one) for one in everything}
        return of[value] / sum(of.values())

    def one_way(self, factors: Sequence[Any], dates: Any) -> dict[tuple[Any, ...], float]:
        read = Read(self.model, factors)
        over_years = {group: self.joint(group, read, dates) for group in set(self.model.marks.group_of_form.tolist())}
        speaks = dates.speaks or bool({"mark_in_clay", "mark_printed"} & set(read.slots))
        found: dict[tuple[Any, ...], float] = defaultdict(float)
        for form in self.forms:
            line = self.forms[form].line
            group = int(self.model.marks.group_of_form[self.shares.at["forms", form]])
            start = self.shares.line[line] * self.shares.form[form] * self.of_form(read, line, form)
            for how, parts, share in self.shares.ways_to(form):
                recorded = (form, *parts) in self.shares.cells
                window = self.window(line, form, parts, "cell" if recorded else how)
                when = float(window @ over_years[group]) if speaks else 1.0
                number = 1.0
                if "number" in read.slots:
                    number = self.number(read, line, None if how == "product" else parts)
                seen = prod(read.part(self, line, name, part) for name, part in zip(PARTS, parts, strict=True))
                found[form, *parts] += start * share * seen * number * when
        return found

    def of_form(self, read: Read, line: str, form: str) -> float:
        at = self.shares.at
        found = read.p("line", at["lines", line]) * read.p("form", at["forms", form])
        found *= read.p("maker", at["makers", self.shares.rows["lines"][line].maker])
        for slot in ("customer", "label"):
            table = getattr(self.model, slot)[at["lines", line]]
            several = [read.p(slot, i) for i in range(len(table) - 2)] + [read.new(slot), read.none(slot)]
            found *= float(table @ np.array(several)) if slot in read.slots else 1.0
        sizes = [s for s in self.shares.rows["sizes"].values() if s.form == form]
        pieces = {s.id: 1.0 + self.shares.sizes[s.id] for s in sizes}
        of = sum(pieces[s] / sum(pieces.values()) * read.p("size", at["sizes", s]) for s in pieces)
        return found * (of if sizes else read.new("size"))

    def number(self, read: Read, line: str, parts: Sequence[str | None] | None) -> float:
        """p(what was read of the number): own numbers, a sister line's, one of nobody's, or none."""
        p = self.model.parameters
        fits = [(row, weight) for row, weight in self.shares.trusted("numbers") if weight > 0 and parts is not None
                and all(w is None or w == g for w, g in zip(_parts(row), parts, strict=True))]  # fmt: skip
        maker = self.shares.rows["lines"][line].maker
        own = [(row, weight) for row, weight in fits if row.line == line]
        sister = [(row, weight) for row, weight in fits
                  if row.line != line and self.shares.rows["lines"][row.line].maker == maker]  # fmt: skip
        carried, left = 0.0, 1.0
        for of, share in ((own, 1 - p.sister_number - p.reused_number), (sister, p.sister_number)):
            for row, weight in of:
                one = share * weight / max(1.0, sum(w for _, w in of))
                carried += one * read.p("number", self.shares.at["numbers", row.id])
                left -= one
        rates = p.unnumbered if own else p.unnumbered_else
        absent = rates.get(line, rates[""])
        return absent * read.none("number") + (1 - absent) * (carried + left * read.new("number"))

    def joint(self, group: int, read: Read, dates: Any) -> Floats:
        """p(all that dates | group, decorated): every in-clay mark, printed mark and year of potting."""
        between, own = gaps(len(self.years)), dates.own
        after = own["decorated"] * (between.pattern_age @ own["pattern_designed"]) * (between.sale_lag @ own["sold"])
        before = own["potted"] * (between.form_age @ own["form_designed"])
        clay, printed = (self.marks(group, side, read, dates) for side in ("mark_in_clay", "mark_printed"))
        return sum(
            after * in_print * (between.lag @ (before * in_clay)) for in_clay, in_print in product(clay, printed)
        )

    def marks(self, group: int, side: str, read: Read, dates: Any) -> list[Floats]:
        """p(mark, what was read of it | group, year) of every mark, none and new."""
        m = self.model.marks.in_clay if side == "mark_in_clay" else self.model.marks.printed
        code = dates.codes.get(side)
        by_rule = dates.new.get(side, 1.0) if code or side in read.slots else 1.0
        otherwise = code.otherwise if code else 1.0
        found = [m.none[group] * read.none(side) * otherwise, m.new[group] * read.new(side) * by_rule * otherwise]
        for mark in range(m.marks):
            share = np.zeros(len(self.years))
            for g, one, row in zip(m.pair_group, m.pair_mark, m.share, strict=True):
                share = share + row * (g == group and one == mark)
            for g, one, row in zip(m.maker_pair_maker, m.maker_pair_mark, m.maker_share, strict=True):
                share = share + m.other[group] * row * (g == m.group_maker[group] and one == mark)
            found.append(share * read.p(side, mark) * (code.by_year.get(mark, otherwise) if code else 1.0))
        return found


class Read:
    """What was read of each slot, not in logs; the largest of each slot is 1."""

    def __init__(self, model: Model, factors: Sequence[Any]) -> None:
        self.model = model
        self.slots = {factor.slot for factor in factors}
        self.of = {s: [f for f in factors if f.slot == s] for s in self.slots}
        self.parts: dict[tuple[str, str, str | None], float] = {}
        self.tops = {slot: _top(of) for slot, of in self.of.items()}

    def _sum(self, slot: str, value: Any) -> float:
        return exp(sum(value(f) for f in self.of[slot]) - self.tops[slot]) if slot in self.slots else 1.0

    def p(self, slot: str, row: int) -> float:
        return self._sum(slot, lambda f: f.log[row])

    def none(self, slot: str) -> float:
        return self._sum(slot, lambda f: f.none)

    def new(self, slot: str) -> float:
        return self._sum(slot, lambda f: f.new)

    def part(self, network: Network, line: str, name: str, value: str | None) -> float:
        """What was read of a part; of one that is not said, as such parts are on its line."""
        if name not in self.slots:
            return 1.0
        if (line, name, value) not in self.parts:
            self.parts[line, name, value] = self._part(network, line, name, value)
        return self.parts[line, name, value]

    def _part(self, network: Network, line: str, name: str, value: str | None) -> float:
        if value is not None:
            return self.new(name) if value == "NEW" else self.p(name, network.shares.at[SLOTS[name], value])
        everything = [*network.shares.rows[SLOTS[name]], "NEW"]
        return sum(
            share_of(network.shares, line, name, one) * self.part(network, line, name, one) for one in everything
        )


def _top(factors: Sequence[Any]) -> float:
    slots = defaultdict(list)
    for f in factors:
        slots[f.slot].append(f)
    return sum(
        max(*np.sum([f.log for f in of], axis=0).tolist(), sum(f.none for f in of), sum(f.new for f in of))
        for of in slots.values()
    )


def _parts(row: Any) -> list[str | None]:
    return [getattr(row, name) for name in PARTS]
