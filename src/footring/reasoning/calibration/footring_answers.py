"""Footring's own answers to simulated pieces, in the form every method is compared in."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import cast

import numpy as np

from footring.reasoning.calibration.answers import (
    ATTRIBUTES,
    Answers,
    Index,
    answers,
    joint_answers,
    together,
    truths,
)
from footring.reasoning.calibration.arrays import Flags, Floats
from footring.reasoning.calibration.coverage import covered
from footring.reasoning.calibration.pit import randomised_pit
from footring.reasoning.calibration.simulated import JOINT, Simulated
from footring.reasoning.date_finding import DateAnswer
from footring.reasoning.date_marginals import piece_dates
from footring.reasoning.examination import Cell, Examination, examine_part
from footring.reasoning.model import Model

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True, eq=False)
class Potted:
    """When pieces were potted; each of shape (pieces,).

    Parameters
    ----------
    pit : array
        Randomised probability integral transforms of the true years.
    covered : bool array
        Whether the 90 % set holds the true year.
    """

    pit: Floats
    covered: Flags

    def only(self, which: Flags) -> Potted:
        """Of some of the pieces."""
        return Potted(self.pit[which], self.covered[which])


@dataclass(frozen=True, slots=True, eq=False)
class Answered:
    """All pieces answered.

    Parameters
    ----------
    of : mapping of attribute to Answers
        Line, form, decoration and joint, on the pieces not from outside.
    outside, unrecorded : array, shape (all pieces,)
        Probabilities.
    potted : Potted
        Of the pieces not from outside.
    """

    of: Mapping[str, Answers]
    outside: Floats
    unrecorded: Floats
    potted: Potted

    def only(self, which: Flags, inside: Flags) -> Answered:
        """Of some of the pieces; `inside` says which of all are not from outside."""
        within = which[inside]
        of = {name: found.only(within) for name, found in self.of.items()}
        return Answered(of, self.outside[which], self.unrecorded[which], self.potted.only(within))


def answer(world: Simulated, model: Model, show: Progress = lambda *_: None) -> Answered:
    """Examine every piece, and keep of each what is scored.

    Parameters
    ----------
    world : Simulated
        With the pieces, and what is true of them.
    model : Model
        Of the same reference.
    show : callable, optional
        Told what is done, how much of it, of how much.
    """
    truth, inside = truths(world), np.cumsum(~world.outside) - 1
    recorded = _whole_cells(model)
    chances = np.empty((len(world), 2))
    found: dict[str, list[Answers]] = {name: [] for name in ATTRIBUTES}
    dates: list[tuple[float, float, bool]] = []
    for i, readings in enumerate(world.readings):
        show("examining", i, len(world))
        examined = examine_part(model, readings)
        chances[i] = examined.outside, examined.unrecorded
        if not world.outside[i]:
            is_so = truth[inside[i]]
            for name, of in found.items():
                of.append(_joint(examined, recorded, is_so) if name == "joint" else _one(examined, name, is_so))
            dates.append(_dated(piece_dates(examined)["potted"], int(world.truth["potted"][i])))
    none = joint_answers([], [], [])
    of_all = {name: together([none, *of]) for name, of in found.items()}
    return Answered(of_all, chances[:, 0], chances[:, 1], _potted(dates))


def _one(examined: Examination, name: str, truth: Index) -> Answers:
    return answers(examined.marginals[name][None], truth[None, JOINT.index(name)])


def _dated(of: DateAnswer, year: int) -> tuple[float, float, bool]:
    """Probability before the true year, and of it; and whether the 90 % set holds it."""
    at = int(np.clip(year - int(of.years[0]), 0, len(of.years) - 1))
    return float(of.density[:at].sum()), float(of.density[at]), bool(covered([of.intervals[90]], [year])[0])


def _potted(dates: list[tuple[float, float, bool]]) -> Potted:
    if not dates:
        return Potted(np.empty(0), np.empty(0, bool))
    below, of_year, held = zip(*dates, strict=True)
    return Potted(randomised_pit(below, of_year), np.array(held))


def _whole_cells(model: Model) -> Index:
    """Line, form, body, glaze, decoration and trim of each recorded cell; -1 throughout where a part is not said."""
    known = model.known
    treatment = known.treatments[known.cell_treatment]
    cells = np.column_stack([treatment[:, 0], known.cell_form, treatment[:, 1:]]).astype(np.int64)
    cells[(cells < 0).any(axis=1)] = -1
    return cells


def _joint(examined: Examination, recorded: Index, truth: Index) -> Answers:
    """First answer: the likeliest whole cell that is recorded."""
    within = max(1.0 - examined.outside, 1e-300)
    of_truth = examined.probability_of(_cell(truth)) / within if (truth >= 0).all() else 0.0
    whole = np.where(recorded[:, 0] >= 0, examined.cells, 0.0)
    if not len(whole):
        return joint_answers([of_truth], [0.0], [False])
    first = recorded[whole.argmax()]
    return joint_answers([of_truth], [examined.probability_of(_cell(first)) / within], [bool((first == truth).all())])


def _cell(row: Index) -> Cell:
    return cast(Cell, tuple(row.tolist()))
