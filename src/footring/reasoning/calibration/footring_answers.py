"""Footring's own answers to simulated pieces, in the form every method is compared in."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from footring.reasoning.calibration.answers import Answers, Index, answers, joint_answers, truths
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


@dataclass(frozen=True, slots=True, eq=False)
class Answered:
    """All pieces answered.

    Parameters
    ----------
    of : mapping of attribute to Answers
        Line, form, decoration and joint, on the pieces not from outside; empty when all are.
    outside, unrecorded : array, shape (all pieces,)
        Probabilities.
    potted : Potted
        Of the pieces not from outside.
    """

    of: Mapping[str, Answers]
    outside: Floats
    unrecorded: Floats
    potted: Potted


def answer(world: Simulated, model: Model, show: Progress = lambda *_: None) -> Answered:
    """Examine every piece.

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
    chances: list[tuple[float, float]] = []
    found: dict[str, list[Floats]] = {"line": [], "form": [], "decoration": []}
    joint: list[tuple[float, float, bool]] = []
    dates: list[DateAnswer] = []
    for i, readings in enumerate(world.readings):
        show("examining", i, len(world))
        examined = examine_part(model, readings)
        chances.append((examined.outside, examined.unrecorded))
        if not world.outside[i]:
            for name, rows in found.items():
                rows.append(examined.marginals[name])
            joint.append(_joint(examined, recorded, truth[inside[i]]))
            dates.append(piece_dates(examined)["potted"])
    outside, unrecorded = np.array(chances).T
    if not joint:
        return Answered({}, outside, unrecorded, Potted(np.empty(0), np.empty(0, bool)))
    columns = {name: JOINT.index(name) for name in found}
    of = {name: answers(np.array(rows), truth[:, columns[name]]) for name, rows in found.items()}
    return Answered(
        of | {"joint": joint_answers(*zip(*joint, strict=True))}, outside, unrecorded, _potted(world, dates)
    )


def _potted(world: Simulated, dates: Sequence[DateAnswer]) -> Potted:
    years = np.array([int(year) for year, out in zip(world.truth["potted"], world.outside, strict=True) if not out])
    at = [int(np.clip(year - int(of.years[0]), 0, len(of.years) - 1)) for year, of in zip(years, dates, strict=True)]
    below = [float(of.density[:k].sum()) for k, of in zip(at, dates, strict=True)]
    of_year = [float(of.density[k]) for k, of in zip(at, dates, strict=True)]
    return Potted(randomised_pit(below, of_year), covered([of.intervals[90] for of in dates], years))


def _whole_cells(model: Model) -> Index:
    """Line, form, body, glaze, decoration and trim of each recorded cell; -1 throughout where a part is not said."""
    known = model.known
    treatment = known.treatments[known.cell_treatment]
    cells = np.column_stack([treatment[:, 0], known.cell_form, treatment[:, 1:]]).astype(np.int64)
    cells[(cells < 0).any(axis=1)] = -1
    return cells


def _joint(examined: Examination, recorded: Index, truth: Index) -> tuple[float, float, bool]:
    within = max(1.0 - examined.outside, 1e-300)
    whole = np.where(recorded[:, 0] >= 0, examined.cells, 0.0)
    first = int(whole.argmax()) if len(whole) else -1
    cell: Cell = tuple(truth.tolist())
    of_truth = examined.probability_of(cell) if (truth >= 0).all() else 0.0
    if first < 0:
        return of_truth / within, 0.0, False
    return of_truth / within, _p(examined, recorded[first]) / within, bool((recorded[first] == truth).all())


def _p(examined: Examination, cell: Index) -> float:
    return examined.probability_of(tuple(cell.tolist()))
