"""The years of one piece: marks, date codes and whatever else dates it, summed over everything but its window."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.gaps import gaps
from footring.reasoning.mark_years import PieceDates
from footring.reasoning.model import Model
from footring.reasoning.slots import Slot

Floats = NDArray[np.float64]
SIDES = ("mark_in_clay", "mark_printed")


@dataclass(frozen=True, slots=True, eq=False)
class PieceYears:
    """Messages over the years, by mark group; each of shape (groups, years).

    Parameters
    ----------
    potted, decorated : array
        p(what speaks of that date | group, year).
    total : array
        p(everything dated | group, year of decorating).
    """

    potted: Floats
    decorated: Floats
    total: Floats


def piece_years(model: Model, slots: dict[str, Slot], dates: PieceDates) -> PieceYears | None:
    """Messages of one piece; None when nothing that was read tells of years."""
    if not dates.speaks and not any(side in slots for side in SIDES):
        return None
    potted, decorated = (_side(model, side, slots.get(side), dates) for side in SIDES)
    between = gaps(len(model.eras.years))
    if dates.evidence:
        potted = potted * (dates.own["potted"] * (between.form_age @ dates.own["form_designed"]))
        pattern = between.pattern_age @ dates.own["pattern_designed"]
        decorated = decorated * (dates.own["decorated"] * pattern * (between.sale_lag @ dates.own["sold"]))
    of_potting = dates.evidence or "mark_in_clay" in slots or "mark_in_clay" in dates.codes
    return PieceYears(potted, decorated, decorated * (potted @ between.lag.T) if of_potting else decorated)


def _side(model: Model, side: str, slot: Slot | None, dates: PieceDates) -> Floats:
    marks = model.marks.in_clay if side == "mark_in_clay" else model.marks.printed
    code = dates.codes.get(side)
    if slot is None and code is None:
        return np.ones((len(marks.none), len(model.eras.years)))
    log = slot.log if slot is not None else np.zeros(marks.marks + 1)
    none = slot.none if slot is not None else 0.0
    return marks.likelihood(log[:-1], none, float(log[-1]), **side_told(side, slot, dates))


def side_told(side: str, slot: Slot | None, dates: PieceDates) -> dict[str, Any]:
    """What dates the marks of one kind, as `MarkSide` takes it; lettering only where it may be of that kind."""
    code, new = dates.codes.get(side), dates.new.get(side)
    if code is None:
        return {"new_by_year": None if slot is None else new}
    told = np.ones(1) if new is None else new
    return {"by_year": code.by_year, "else_by_year": code.otherwise, "new_by_year": code.otherwise * told}
