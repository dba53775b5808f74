"""How likely some of the readings of a piece are, and its leading answer with them; what they share is worked out once.

Everything a piece may be is a sum of products of three sides: what was read of the form, of the treatment, and of
years. With one side exchanged the others' sums stand.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from math import log

import numpy as np
from numpy.typing import NDArray

from footring.marks.readings import Reading, feet
from footring.reasoning.channels.factor import Factor
from footring.reasoning.examination import Examination
from footring.reasoning.leader import Leader
from footring.reasoning.mark_years import PieceDates
from footring.reasoning.model import Model
from footring.reasoning.piece_years import SIDES, PieceYears, piece_years
from footring.reasoning.posterior import form_weights, weigh, window_weights
from footring.reasoning.slots import Slot, by_slot, choices, mixed
from footring.reasoning.window_masses import window_masses
from footring.reference.weights import sums

Floats = NDArray[np.float64]
Key = tuple[int, ...]
_TREATMENT = ("body", "glaze", "decoration", "trim", "number")
_UNDATED = frozenset(
    "line glaze effect decoration technique placement trim feature trade_size across height capacity channel piece_id"
    .split()
)  # fmt: skip
"""Readings that no rule dates a piece by."""


@dataclass(frozen=True, slots=True)
class Told:
    """Natural logarithms of p(readings), p(readings and leading answer), p(readings and outside)."""

    whole: float
    leader: float
    outside: float

    @property
    def p(self) -> float:
        """Probability of the leading answer after these readings."""
        return min(1.0, float(np.exp(self.leader - self.whole))) if self.leader > -np.inf else 0.0


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """What was read of one side: its factors, and slots made of them."""

    key: Key
    slots: Mapping[str, Slot]


class Exchange:
    """Sets of readings against one model and leading answer.

    Parameters
    ----------
    examination : Examination
        Its model, and what else was known of the form.
    leader : Leader
    base : sequence of Reading
        What most of the sets have in common.
    """

    def __init__(self, examination: Examination, leader: Leader, base: Sequence[Reading] = ()) -> None:
        self.model: Model = examination.model
        self.leader, self._given = leader, examination.forms
        self._kept: dict[Key, tuple[Slot, tuple[Factor, ...]]] = {}
        self._dates: dict[tuple[Reading, ...], PieceDates] = {}
        self._forms: dict[Key, Floats] = {}
        self._years: dict[Key, tuple[PieceYears | None, Floats]] = {}
        self._by_form: dict[tuple[Key, Key], tuple[Floats, Floats]] = {}
        self._by_window: dict[tuple[Key, Key], Floats] = {}
        self._told: dict[tuple[Reading, ...], Told] = {}
        ways = list(choices(self.model.channels.factors(base)))
        self._usual = self._side([f for f in ways[0][1] if not _of_years(f) and f.slot not in _TREATMENT]).key

    def of(self, readings: Iterable[Reading]) -> Told:
        """What a set of readings comes to."""
        key = tuple(sorted(readings, key=repr))
        if key not in self._told:
            self._told[key] = self._tell(key)
        return self._told[key]

    def _tell(self, readings: tuple[Reading, ...]) -> Told:
        dates = self._dated(readings)
        inside, leading, outside = [], [], []
        for weight, factors in choices(self.model.channels.factors(readings)):
            total, mine, taken = self._way(factors, dates)
            inside.append(weight + taken + _log(total))
            leading.append(weight + taken + _log(mine))
            outside.append(weight + sum(factor.outside for factor in factors))
        prior = self.model.parameters.outside
        known = log(1.0 - prior) if len(self.model.form_line) else -np.inf
        of_outside = log(prior) + mixed(outside) + dates.outside.log
        whole = mixed([known + mixed(inside), of_outside])
        return Told(whole, of_outside if self.leader.form < 0 else known + mixed(leading), of_outside)

    def _dated(self, readings: tuple[Reading, ...]) -> PieceDates:
        key = tuple(reading for reading in readings if reading.name not in _UNDATED)
        if key not in self._dates:
            self._dates[key] = self.model.rules.piece_dates(feet(key)[None])
        return self._dates[key]

    def _way(self, factors: list[Factor], dates: PieceDates) -> tuple[float, float, float]:
        """Mass of everything, of the leading answer, and the logarithm of what was taken off both."""
        of_years = self._side([f for f in factors if _of_years(f)])
        treatment = self._side([f for f in factors if f.slot in _TREATMENT])
        form = self._side([f for f in factors if not _of_years(f) and f.slot not in _TREATMENT])
        taken = sum(slot.taken for side in (of_years, treatment, form) for slot in side.slots.values())
        dated = replace(of_years, key=(id(dates), *of_years.key))
        return self._total(form, treatment, dated, dates), self._mine(form, treatment, dated, dates), taken

    def _side(self, factors: Sequence[Factor]) -> _Side:
        slots = {}
        ordered = sorted(factors, key=lambda f: f.slot)
        for name, several in groupby(ordered, key=lambda f: f.slot):
            of_slot = tuple(several)
            key = tuple(map(id, of_slot))
            if key not in self._kept:
                self._kept[key] = (by_slot(of_slot)[0][name], of_slot)
            slots[name] = self._kept[key][0]
        return _Side(tuple(map(id, ordered)), slots)

    def _form(self, side: _Side) -> Floats:
        if side.key not in self._forms:
            self._forms[side.key] = form_weights(self.model, side.slots, self._given)
        return self._forms[side.key]

    def _windows(self, side: _Side, dates: PieceDates) -> tuple[PieceYears | None, Floats]:
        if side.key not in self._years:
            years = piece_years(self.model, dict(side.slots), dates)
            self._years[side.key] = (years, window_weights(self.model, years))
        return self._years[side.key]

    def _total(self, form: _Side, treatment: _Side, years: _Side, dates: PieceDates) -> float:
        if form.key == self._usual and self.leader.treatment >= 0:
            return float(self._on_windows(form, treatment) @ self._windows(years, dates)[1])
        return float(self._form(form) @ self._on_forms(treatment, years, dates)[0])

    def _on_windows(self, form: _Side, treatment: _Side) -> Floats:
        key = (form.key, treatment.key)
        if key not in self._by_window:
            weighed = weigh(self.model, {**form.slots, **treatment.slots}, None, self._given)
            self._by_window[key] = window_masses(weighed)
        return self._by_window[key]

    def _on_forms(self, treatment: _Side, years: _Side, dates: PieceDates) -> tuple[Floats, Floats]:
        """Mass on each form, and of what is not recorded of it, for a form of weight 1."""
        key = (treatment.key, years.key)
        if key not in self._by_form:
            weighed = weigh(self.model, treatment.slots, self._windows(years, dates)[0])
            known, prior = self.model.known, np.maximum(self.model.form_prior, 1e-300)
            open_ = weighed.unrecorded_form / prior
            self._by_form[key] = (sums(known.cell_form, weighed.cell, len(prior)) / prior + open_, open_)
        return self._by_form[key]

    def _mine(self, form: _Side, treatment: _Side, years: _Side, dates: PieceDates) -> float:
        """Mass of the leading answer."""
        of = self.leader
        if of.form < 0:
            return 0.0
        weight = float(self._form(form)[of.form])
        if of.treatment < 0:
            return weight * float(self._on_forms(treatment, years, dates)[1][of.form])
        own, free = of.of_treatment(self.model, treatment.slots)
        e = self._windows(years, dates)[1]
        return weight * float(own * e[of.own_window] + free * e[of.free_window])


def _of_years(factor: Factor) -> bool:
    return factor.slot in SIDES


def _log(mass: float) -> float:
    return log(mass) if mass > 0.0 else -np.inf
