"""All ways of taking the readings of one part, weighed together and against a piece from outside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from footring.marks.readings import Reading, feet
from footring.reasoning.marginals import marginals, open_masses
from footring.reasoning.mark_years import PieceDates
from footring.reasoning.model import Model
from footring.reasoning.piece_years import PieceYears, piece_years
from footring.reasoning.posterior import Weighed, weigh
from footring.reasoning.shares import treatment_product
from footring.reasoning.slots import by_slot, choices, mixed
from footring.reference import TREATMENT
from footring.reference.weights import sums

Floats = NDArray[np.float64]
Cell = tuple[int, int, int, int, int, int]


@dataclass(frozen=True, slots=True, eq=False)
class Way:
    """One way of taking the readings: its log probability with the piece inside, and its weights."""

    log: float
    weighed: Weighed
    years: PieceYears | None


@dataclass(frozen=True, eq=False)
class Examination:
    """A posterior over what one part is.

    Parameters
    ----------
    model : Model
    readings : tuple of Reading
    dates : PieceDates
        What dates it, whatever it is.
    ways : tuple of Way
        Every way of taking the readings.
    log_outside : float
        log p(readings | outside).
    forms : array, shape (forms,), or None
        What else was known of the form.
    """

    model: Model
    readings: tuple[Reading, ...]
    dates: PieceDates
    ways: tuple[Way, ...]
    log_outside: float
    forms: Floats | None = None

    @cached_property
    def log_inside(self) -> float:
        """Log p(readings | not outside); -inf where nothing known could have given them."""
        return mixed([way.log for way in self.ways])

    @cached_property
    def log_evidence(self) -> float:
        """Log p(readings)."""
        prior = self.model.parameters.outside
        return mixed([self._prior_inside + self.log_inside, log(prior) + self.log_outside])

    @property
    def _prior_inside(self) -> float:
        known = len(self.model.form_line) > 0
        return log(1.0 - self.model.parameters.outside) if known else -np.inf

    @cached_property
    def outside(self) -> float:
        """Probability of a maker or line that the reference does not hold; 1 where it holds none."""
        return exp(log(self.model.parameters.outside) + self.log_outside - self.log_evidence)

    @cached_property
    def shares(self) -> Floats:
        """Probability of each way, times what its weights are multiplied by to become probabilities."""
        inside = 1.0 - self.outside
        return np.array(
            [
                inside * exp(way.log - self.log_inside) / way.weighed.total if way.weighed.total > 0 else 0.0
                for way in self.ways
            ]
        )

    def _over_ways(self, of: Sequence[Floats]) -> Floats:
        return np.asarray(sum(share * array for share, array in zip(self.shares, of, strict=True)))

    @cached_property
    def cells(self) -> Floats:
        """Probability of each recorded cell."""
        return self._over_ways([way.weighed.cell for way in self.ways])

    @cached_property
    def unrecorded_forms(self) -> Floats:
        """Probability of each form in a cell nobody recorded."""
        return self._over_ways([way.weighed.unrecorded_form for way in self.ways])

    @property
    def unrecorded(self) -> float:
        """Probability of a known line and a cell nobody recorded."""
        return float(self.unrecorded_forms.sum())

    @cached_property
    def marginals(self) -> Mapping[str, Floats]:
        """Probability of each value of each attribute, given not outside."""
        inside = max(1.0 - self.outside, 1e-300)
        of = [marginals(way.weighed) for way in self.ways]
        return {name: self._over_ways([found[name] for found in of]) / inside for name in of[0]}

    @cached_property
    def listed(self) -> Floats:
        """Probability of each treatment of a line on a form where nobody recorded it."""
        return np.maximum(self._over_ways([open_masses(way.weighed)[0] for way in self.ways]), 0.0)

    @cached_property
    def carriers(self) -> tuple[Floats, Floats]:
        """Probability by treatment of what the treatment itself has, and by line of what the product of parts has."""
        model, cells, first = self.model, self.model.cells, self.ways[0].weighed
        e = self._over_ways([way.weighed.e for way in self.ways])
        free = first.form[cells.form] * e[cells.e] * cells.free * first.product[cells.treatment]
        own = sums(cells.treatment, np.maximum(self.cells - free, 0.0), len(model.known.treatments)) + self.listed
        lines = len(model.line_maker)
        of_line = sums(model.cell_line, self.cells, lines) + sums(model.form_line, self.unrecorded_forms, lines)
        return own, np.maximum(of_line - sums(model.numbering.line_of, own, lines), 0.0)

    def probability_of(self, cell: Cell) -> float:
        """Probability that the piece is of one cell, all of whose parts are said.

        Parameters
        ----------
        cell : tuple of int
            Rows of line, form, body, glaze, decoration and trim.
        """
        return float(sum(s * _of_cell(way.weighed, cell) for s, way in zip(self.shares, self.ways, strict=True)))


def examine_part(model: Model, readings: Sequence[Reading], forms: Floats | None = None) -> Examination:
    """Weigh everything that one part could be.

    Parameters
    ----------
    readings : sequence of Reading
        In any order; with none of them the answer is the prior.
    forms : array, shape (forms,), or None
        What else is known of the form, as a factor of its prior; the prior times it sums to 1.
    """
    dates = model.rules.piece_dates(feet(readings)[None])
    ways, outside = [], []
    for weight, factors in choices(model.channels.factors(readings)):
        slots, log_outside = by_slot(factors)
        years = piece_years(model, slots, dates)
        weighed = weigh(model, slots, years, forms)
        taken = sum(slot.taken for slot in slots.values())
        total = weighed.total
        ways.append(Way(weight + taken + (log(total) if total > 0 else -np.inf), weighed, years))
        outside.append(weight + log_outside)
    return Examination(model, tuple(readings), dates, tuple(ways), mixed(outside) + dates.outside.log, forms)


def _of_cell(weighed: Weighed, cell: Cell) -> float:
    model, known = weighed.model, weighed.model.known
    line, form, *parts = cell
    mine = np.flatnonzero(known.treatments[:, 0] == line)
    rows = known.treatments[mine, 1:]
    fits = mine[np.all((rows == parts) | (rows < 0), axis=1)]
    share = np.array([_share_of(weighed, k, parts) for k in fits])
    classes, shares = model.classes, model.shares
    met = weighed.e[classes.meeting_e]
    here = (classes.meeting_form == classes.form[form]).nonzero()[0]
    at = {int(j): float(met[i]) for i, j in zip(here, classes.meeting_treatment[here], strict=True)}
    total = 0.0
    whole = False
    for k, part in zip(fits, share, strict=True):
        i = np.flatnonzero((known.cell_form == form) & (known.cell_treatment == k))
        if len(i):
            total += part * float(weighed.cell[i[0]])
            whole |= bool((known.treatments[k, 1:] >= 0).all())
        else:
            total += part * float(
                weighed.form[form] * shares.form_rest[form] * shares.treatment[k] * weighed.treatment[k]
            ) * at[int(classes.treatment[k])]  # fmt: skip
    if whole:
        return total
    pair = np.flatnonzero((shares.parts.pair_line == line) & (shares.parts.pair_decoration == parts[2]))
    j = int(classes.pair[pair[0]] if len(pair) else classes.line[line])
    product = treatment_product(shares.parts, line, form, parts)
    read = float(np.prod([weighed.part[name][part] for name, part in zip(TREATMENT, parts, strict=True)]))
    free = shares.form_rest[form] * shares.line_rest[line] * product * read * weighed.else_number[line]
    return total + float(weighed.form[form] * free) * at[j]


def _share_of(weighed: Weighed, k: int, parts: Sequence[int]) -> float:
    """How much of a treatment that leaves parts unsaid is the one asked for."""
    share = 1.0
    line, *all_said = weighed.model.known.treatments[k].tolist()
    for name, said, wanted in zip(TREATMENT, all_said, parts, strict=True):
        if said < 0:
            of = weighed.model.on_line[name][line] * weighed.part[name]
            share *= float(of[wanted] / max(of.sum(), 1e-300))
    return share
