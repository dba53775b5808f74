"""From how likely a reading is, once made, to a factor: presence, absence and the reader's doubt."""

from __future__ import annotations

from dataclasses import dataclass
from math import log
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.marks.readings import Reading
from footring.reasoning.channels.factor import Factor
from footring.reasoning.channels.rates import Rates

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Likelihood:
    """Log p of what was read, given that something was: for each row, one not held, one outside, and the base rate.

    `without` is the same where there is no such thing and something else was read; None is the base rate.
    """

    rows: Floats
    new: float
    outside: float
    base: float
    without: float | None = None

    @classmethod
    def flat(cls, rows: Floats, base: float, not_held: float | None = None) -> Likelihood:
        """From p for each row; whatever the reference does not hold gets the base rate, or another."""
        new = log(base if not_held is None else not_held)
        return cls(np.log(rows), new, new, log(base))


@dataclass(frozen=True, slots=True)
class Presence:
    """Chances of missing what is there, of imagining what is not, of finding nothing anyhow, and outside.

    `named`: that what stands for there being none ("plain") was called so, when something was typed of it.
    """

    missed: float
    imagined: float
    anyhow: float
    outside: float
    named: float

    @classmethod
    def of(cls, rates: Rates, reading: str) -> Presence:
        """Those of one kind of reading."""
        learned = rates.learned.get(reading, {})
        named = learned.get("plain_named", rates.of("name", "plain_named"))
        missed, imagined, anyhow = (rates.of(reading, rate) for rate in ("missed", "imagined", "absence"))
        return cls(missed, imagined, anyhow, learned.get("outside_absence", anyhow), named)


def absent(
    reading: Reading, slot: str, presence: Presence, count: int, nothing: NDArray[np.bool_] | None = None
) -> Factor:
    """Looked for and not there, over `count` rows, of which some may stand for there being none."""
    missed, none, base = log(presence.missed), log(1.0 - presence.imagined), log(presence.anyhow)
    rows = np.full(count, missed)
    if nothing is not None:
        rows[nothing] = none
    return _factor(reading, slot, rows, (none, missed, log(presence.outside)), base)


def present(
    reading: Reading, slot: str, presence: Presence, found: Likelihood, nothing: NDArray[np.bool_] | None = None
) -> Factor:
    """Something was read."""
    there, imagined, anyhow = log(1.0 - presence.missed), log(presence.imagined), log(1.0 - presence.anyhow)
    rows = found.rows + there
    if nothing is not None:
        called = np.logaddexp(log(presence.named) + found.rows[nothing], log(1.0 - presence.named) + found.base)
        rows[nothing] = imagined + called
    none = imagined + (found.base if found.without is None else found.without)
    outside = log(1.0 - presence.outside) + found.outside
    return _factor(reading, slot, rows, (none, there + found.new, outside), anyhow + found.base)


def _factor(reading: Reading, slot: str, rows: Floats, others: tuple[float, float, float], base: float) -> Factor:
    """With the reader's doubt: p of the channel, and of the base rate the rest."""
    rows = _doubted(reading.p, rows, base)
    rows.setflags(write=False)
    none, new, outside = (float(_doubted(reading.p, other, base)) for other in others)
    return Factor(reading, slot, rows, none, new, outside)


def _doubted(p: float, log_p: Any, base: float) -> Any:
    return log_p if p >= 1.0 else np.logaddexp(log(p) + log_p, log(1.0 - p) + base)
