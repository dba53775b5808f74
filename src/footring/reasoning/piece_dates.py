"""What dates a piece whatever it is, what its date code says, and what general rules say of marks not known."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from footring.marks.evidence import DATES, Evidence
from footring.marks.readings import Reading, feet
from footring.reasoning.date_mark import foot_evidence
from footring.reasoning.model import Model

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class PieceDates:
    """Likelihoods over the years.

    Parameters
    ----------
    speaks : bool
        Whether anything read tells of years, marks apart.
    own : mapping of date to array, shape (years,)
        What is on the piece whatever it is: a year known from elsewhere, a registration.
    codes : mapping of side to what a date code says with each mark
    new : mapping of side to array, shape (years,)
        What general rules say of a mark that the reference does not hold.
    log_outside : float
        log p(all that is dated | outside).
    evidence : tuple of Evidence
    """

    speaks: bool
    own: Mapping[str, Floats]
    codes: Mapping[str, object] = field(default_factory=dict)
    new: Mapping[str, Floats] = field(default_factory=dict)
    log_outside: float = 0.0
    evidence: tuple[Evidence, ...] = ()


def piece_dates(model: Model, readings: Sequence[Reading]) -> PieceDates:
    """Gather what dates a piece."""
    years = model.eras.years
    own = {name: np.ones(len(years)) for name in DATES}
    if not any(r.name == "made" for r in readings):
        return PieceDates(False, own)
    foot = feet([r for r in readings if r.name == "made"])[None]
    evidence = tuple(foot_evidence(foot))
    for item in evidence:
        for name in item.speaks_of:
            own[name] = own[name] * item.likelihood(years)
    prior = model.prior.density(years)
    return PieceDates(True, own, log_outside=float(np.log(prior @ own["decorated"])), evidence=evidence)
