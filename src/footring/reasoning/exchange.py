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
from footring.reasoning.examination import Examination, examine_part
from footring.reasoning.leader import Leader
from footring.reasoning.mark_years import PieceDates
from footring.reasoning.model import Model
from footring.reasoning.piece_years import SIDES, PieceYears, piece_years
from footring.reasoning.posterior import Weighed, form_weights, weigh, window_weights
from footring.reasoning.slots import Slot, by_slot, choices, mixed
from footring.reasoning.swap import swapped
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


_LEAST = 1e-15
"""Chances nearer to 0 or 1 cannot be told from rounding."""


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

    @property
    def odds(self) -> float:
        """Logarithm of the odds of the leading answer, within 34.5 either way."""
        p = min(max(self.p, _LEAST), 1.0 - _LEAST)
        return log(p / (1.0 - p))


@dataclass(frozen=True, slots=True, eq=False)
class _Side:
    """What was read of one side: its factors, and slots made of them."""

    key: Key
    slots: Mapping[str, Slot]


Way = tuple[_Side, _Side, _Side]


@dataclass(frozen=True, slots=True, eq=False)
class _Sides:
    """A set of readings: every way of taking them, of form, treatment and years, and the logarithm of outside."""

    dates: PieceDates
    weights: Sequence[float]
    ways: Sequence[Way]
    outside: float


class Exchange:
    """Sets of readings against one model and leading answer.

    Parameters
    ----------
    examination : Examination
        Of readings that most of the sets have in common.
    leader : Leader
    """

    def __init__(self, examination: Examination, leader: Leader) -> None:
        self.model: Model = examination.model
        self.leader, self._base = leader, examination
        self._kept: dict[Key, tuple[Slot, tuple[Factor, ...]]] = {}
        self._dates: dict[tuple[Reading, ...], PieceDates] = {}
        self._forms: dict[Key, Floats] = {}
        self._years: dict[Key, tuple[PieceYears | None, Floats]] = {}
        self._by_form: dict[tuple[Key, Key], tuple[Floats, Floats]] = {}
        self._by_window: dict[tuple[Key, Key], Floats] = {}
        self._told: dict[tuple[Reading, ...], Told] = {}
        self._usual = self._sides(tuple(sorted(examination.readings, key=repr)))
        for (_, _, years), way in zip(self._usual.ways, examination.ways, strict=True):
            self._years[years.key] = (way.years, way.weighed.e)

    def of(self, readings: Iterable[Reading]) -> Told:
        """What a set of readings comes to."""
        key = tuple(sorted(readings, key=repr))
        if key not in self._told:
            self._told[key] = self._tell(key)
        return self._told[key]

    def _tell(self, readings: tuple[Reading, ...]) -> Told:
        read = self._sides(readings)
        prior = self.model.parameters.outside
        known = log(1.0 - prior) if len(self.model.form_line) else -np.inf
        of_outside = log(prior) + read.outside + read.dates.outside.log
        inside = known + self._inside(read)
        mine = [
            w + _taken(way) + _log(self._mine(*way, read.dates)) for w, way in zip(read.weights, read.ways, strict=True)
        ]
        leading = of_outside if self.leader.form < 0 else known + mixed(mine)
        return Told(mixed([inside, of_outside]), leading, of_outside)

    def _sides(self, readings: tuple[Reading, ...]) -> _Sides:
        dates = self._dated(readings)
        weights, ways, outside = [], [], []
        for weight, factors in choices(self.model.channels.factors(readings)):
            of_years = self._side([f for f in factors if f.slot in SIDES])
            treatment = self._side([f for f in factors if f.slot in _TREATMENT])
            form = self._side([f for f in factors if f.slot not in SIDES and f.slot not in _TREATMENT])
            weights.append(weight)
            ways.append((form, treatment, replace(of_years, key=(_content(dates), *of_years.key))))
            outside.append(weight + sum(factor.outside for factor in factors))
        return _Sides(dates, weights, ways, mixed(outside))

    def _inside(self, read: _Sides) -> float:
        (form, treatment, _), (usual_form, usual_treatment, _) = read.ways[0], self._usual.ways[0]
        if form.key == usual_form.key and self._same_years(read):
            if treatment.key == usual_treatment.key:
                return self._base.log_inside
            differ = [n for n in _TREATMENT if treatment.slots.get(n) is not usual_treatment.slots.get(n)]
            if len(differ) == 1:
                return self._base.log_inside + swapped(self._base, differ[0], treatment.slots.get(differ[0]))
        return mixed(
            [
                w + _taken(way) + _log(self._total(*way, read.dates))
                for w, way in zip(read.weights, read.ways, strict=True)
            ]
        )

    def _same_years(self, read: _Sides) -> bool:
        return [way[2].key for way in read.ways] == [way[2].key for way in self._usual.ways]

    def _dated(self, readings: tuple[Reading, ...]) -> PieceDates:
        key = tuple(reading for reading in readings if reading.name not in _UNDATED)
        if key not in self._dates:
            self._dates[key] = self.model.rules.piece_dates(feet(key)[None])
        return self._dates[key]

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
            self._forms[side.key] = form_weights(self.model, side.slots, self._base.forms)
        return self._forms[side.key]

    def _windows(self, side: _Side, dates: PieceDates) -> tuple[PieceYears | None, Floats]:
        if side.key not in self._years:
            years = piece_years(self.model, dict(side.slots), dates)
            self._years[side.key] = (years, window_weights(self.model, years))
        return self._years[side.key]

    def _total(self, form: _Side, treatment: _Side, years: _Side, dates: PieceDates) -> float:
        if form.key == self._usual.ways[0][0].key and self.leader.treatment >= 0:
            return float(self._on_windows(form, treatment) @ self._windows(years, dates)[1])
        return float(self._form(form) @ self._on_forms(treatment, years, dates)[0])

    def _on_windows(self, form: _Side, treatment: _Side) -> Floats:
        key = (form.key, treatment.key)
        if key not in self._by_window:
            weighed = weigh(self.model, {**form.slots, **treatment.slots}, None, self._base.forms)
            self._by_window[key] = window_masses(weighed)
        return self._by_window[key]

    def _on_forms(self, treatment: _Side, years: _Side, dates: PieceDates) -> tuple[Floats, Floats]:
        """Mass on each form, and of what is not recorded of it, for a form of weight 1."""
        key = (treatment.key, years.key)
        if key not in self._by_form:
            weighed = self._at_hand(treatment, years) or weigh(
                self.model, treatment.slots, self._windows(years, dates)[0]
            )
            known, prior = self.model.known, np.maximum(weighed.form, 1e-300)
            open_ = weighed.unrecorded_form / prior
            self._by_form[key] = (sums(known.cell_form, weighed.cell, len(prior)) / prior + open_, open_)
        return self._by_form[key]

    def _at_hand(self, treatment: _Side, years: _Side) -> Weighed | None:
        """What the base has weighed already, unless some form's weight there is too small to be divided by."""
        for (_, usual, of_years), way in zip(self._usual.ways, self._base.ways, strict=True):
            if (usual.key, of_years.key) == (treatment.key, years.key) and way.weighed.form.min(initial=1.0) > 1e-250:
                return way.weighed
        return None

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


def expected(model: Model, forms: Floats | None = None) -> Examination:
    """The examination of a piece of which nothing was read; made once for each model, which keeps it."""
    key = None if forms is None else forms.tobytes()
    if key not in model.unread:
        model.unread[key] = examine_part(model, [], forms)
    found: Examination = model.unread[key]
    return found


def _taken(way: Way) -> float:
    return sum(slot.taken for side in way for slot in side.slots.values())


def _content(dates: PieceDates) -> int:
    """What tells dates apart that say different things."""
    if not dates.speaks:
        return 0
    arrays = [*dates.own.values(), *dates.new.values()]
    codes = [a for code in dates.codes.values() for a in (*code.by_year.values(), np.array([code.otherwise, code.new]))]
    return hash((*(np.asarray(a).tobytes() for a in (*arrays, *codes)), *dates.codes, *dates.new,
                 *(row for code in dates.codes.values() for row in code.by_year)))  # fmt: skip


def _log(mass: float) -> float:
    return log(mass) if mass > 0.0 else -np.inf
