"""What is unusual about the leading answer: each thing about it that fewer than one in twenty of its kind have."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import log2

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.examination import Examination
from footring.reasoning.leader import Leader
from footring.reasoning.marginals import PARTS
from footring.reasoning.model import Model
from footring.reasoning.piece_years import SIDES
from footring.reasoning.thing_names import TABLE_OF, thing_name

SELDOM = 0.05
MOST_BITS = 60.0
_TABLE = dict(TABLE_OF) | dict.fromkeys(SIDES, "marks")
Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Unusual:
    """One thing that is seldom so.

    Parameters
    ----------
    what : str
        form, treatment, glaze, decoration, trim, size, mark or number.
    value : str
        Which one it is.
    given : str
        Among what it is seldom.
    bits : float
        -log2 of its chance there; at most 60.
    met, of : float
        Pieces met that have it, of those met there. Where pieces were met through channels that favour some, less
        than their number.
    says : str
        In words.
    """

    what: str
    value: str
    given: str
    bits: float
    met: float
    of: float
    says: str


def explain_unusual(examination: Examination, leader: Leader) -> tuple[Unusual, ...]:
    """What is unusual about the leading answer, the rarest first; nothing of an answer from outside.

    Parameters
    ----------
    examination : Examination
    leader : Leader
        From `leading`.

    Returns
    -------
    tuple of Unusual
        Sizes, marks and numbers only where something was read of them.
    """
    if leader.form < 0:
        return ()
    looked = _Looked(examination, leader)
    found = [one for one in looked.everything() if one is not None]
    return tuple(sorted(found, key=lambda one: (-one.bits, one.what)))


class _Looked:
    """The leading answer beside what was met of its line and form."""

    def __init__(self, examination: Examination, leader: Leader) -> None:
        self.model: Model = examination.model
        self.examination, self.leader = examination, leader
        self.line = int(self.model.form_line[leader.form])
        self.slots = examination.ways[int(examination.shares.argmax())].weighed.slots
        known = self.model.known
        self.here: Mask = self.model.cell_line == self.line
        self.pieces = known.pieces[self.here]
        self.treatments = known.treatments[known.cell_treatment[self.here], 1:]

    def everything(self) -> Iterator[Unusual | None]:
        model, form = self.model, self.leader.form
        known = model.known
        counts = (float(known.form_pieces[form]), float(known.line_pieces[self.line]))
        yield self._seldom("form", form, self._named("line", self.line), float(model.shares.form[form]), counts)
        yield self._treatment()
        if self.leader.treatment >= 0:
            yield from self._parts()
            yield self._number()
        yield self._size()
        yield from (self._mark(side) for side in SIDES)

    def _named(self, slot: str, row: int) -> str:
        return thing_name(self.model.reference, _TABLE[slot], row)

    def _seldom(self, what: str, row: int, given: str, p: float, counts: tuple[float, float]) -> Unusual | None:
        return _seldom("mark" if what in SIDES else what, self._named(what, row), given, p, counts)

    def _treatment(self) -> Unusual | None:
        form, leader, known = self._named("form", self.leader.form), self.leader, self.model.known
        of = float(known.form_pieces[leader.form])
        if leader.cell < 0:
            share = self.model.shares.form_rest[leader.form]
            p = leader.own + leader.free if leader.treatment >= 0 else float(share)
            says = f"this treatment on {form}: not recorded before"
            return Unusual("treatment", "this treatment", form, _bits(p), 0.0, of, says)
        p, met = leader.own + leader.free, float(known.pieces[leader.cell])
        return _seldom("treatment", "this treatment", form, p, (met, of))

    def _parts(self) -> Iterator[Unusual | None]:
        _, glaze, decoration, trim = self.model.known.treatments[self.leader.treatment, 1:].tolist()
        parts, line, pair = self.model.shares.parts, self._named("line", self.line), self._pair(decoration)
        if glaze >= 0:
            yield self._part("glaze", glaze, line, float(parts.glaze[self.line, glaze]), None)
        if decoration >= 0 and glaze >= 0:
            met = float(parts.met_share[(parts.met_pair == pair) & (parts.met_glaze == glaze)].sum())
            p = met + float(parts.glaze_rest[self.line, glaze] * parts.pair_share[pair])
            under = f"{line} in {self._named('glaze', glaze)}"
            yield self._part("decoration", decoration, under, p, ("glaze", glaze))
        if trim >= 0 and decoration >= 0:
            edge = float(parts.edge_share[(parts.edge_pair == pair) & (parts.edge_trim == trim)].sum())
            p = edge + float(parts.edge_rest[pair] * parts.trim[self.line, trim])
            beside = f"{line} with {self._named('decoration', decoration)}"
            yield self._part("trim", trim, beside, p, ("decoration", decoration))

    def _pair(self, decoration: int) -> int:
        parts = self.model.shares.parts
        found = np.flatnonzero((parts.pair_line == self.line) & (parts.pair_decoration == decoration))
        return int(found[0]) if len(found) else -1

    def _part(self, what: str, row: int, given: str, p: float, among: tuple[str, int] | None) -> Unusual | None:
        there = np.ones(len(self.pieces), bool)
        if among:
            there = self.treatments[:, PARTS.index(among[0])] == among[1]
        has = there & (self.treatments[:, PARTS.index(what)] == row)
        return self._seldom(what, row, given, p, (float(self.pieces[has].sum()), float(self.pieces[there].sum())))

    def _size(self) -> Unusual | None:
        model, form = self.model, self.leader.form
        sizes = np.flatnonzero(model.size_form == form)
        if "size" not in self.slots or not len(sizes):
            return None
        row = int(sizes[np.argmax(self.examination.marginals["size"][sizes])])
        counts = (float(model.known.size_pieces[row]), float(model.known.size_pieces[sizes].sum()))
        return self._seldom("size", row, self._named("form", form), float(model.size_share[row]), counts)

    def _number(self) -> Unusual | None:
        if "number" not in self.slots:
            return None
        slot, numbering, k = self.slots["number"], self.model.numbering, self.leader.treatment
        line, absent = self._named("line", self.line), float(numbering.absent[k])
        if slot.none > float(slot.log.max()):
            return _seldom("number", "no number", line, absent, (0.0, 0.0))
        row = int(slot.log[:-1].argmax()) if len(slot.log) > 1 else -1
        if row < 0 or slot.log[row] <= slot.log[-1]:
            return _seldom("number", "a number your reference does not have", line,
                           (1.0 - absent) * float(numbering.unknown[k]), (0.0, 0.0))  # fmt: skip
        mine = slice(*numbering.own.indptr[k : k + 2])
        own = float(numbering.own.data[mine][numbering.own.indices[mine] == row].sum())
        p = (1.0 - absent) * max(own, float(numbering.unknown[k]) / max(len(slot.log) - 1, 1))
        return self._seldom("number", row, f"{line} in this treatment", p, (0.0, 0.0))

    def _mark(self, side: str) -> Unusual | None:
        slot = self.slots.get(side)
        if slot is None or len(slot.log) < 2 or slot.log[:-1].max() <= max(slot.none, float(slot.log[-1])):
            return None
        row, classes = int(slot.log[:-1].argmax()), self.model.classes
        marks = self.model.marks.in_clay if side == SIDES[0] else self.model.marks.printed
        only = np.where(np.arange(marks.marks) == row, 0.0, -np.inf)
        window = self.leader.own_window
        by_year = marks.likelihood(only, -np.inf, -np.inf)[classes.e_group[window]]
        given = f"{self._named('line', self.line)} of those years"
        return self._seldom(side, row, given, float(by_year @ classes.windows[window]), (0.0, 0.0))


def _bits(p: float) -> float:
    return round(min(-log2(p), MOST_BITS), 2) if p > 0.0 else MOST_BITS


def _seldom(what: str, value: str, given: str, p: float, counts: tuple[float, float]) -> Unusual | None:
    if p >= SELDOM:
        return None
    met, of = counts
    counted = f"{met:,.0f} of {of:,.0f} met" if of >= 0.5 else f"expected on {_times(p)}"
    return Unusual(what, value, given, _bits(p), met, of, f"{value} on {given}: {counted}")


def _times(p: float) -> str:
    return f"about one in {1.0 / p:,.0f}" if p > 1e-6 else "fewer than one in a million"
