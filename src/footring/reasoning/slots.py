"""The readings of a piece, put together by what they speak of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.channels.build import Alternatives
from footring.reasoning.channels.factor import Factor

Floats = NDArray[np.float64]
MOST_CHOICES = 16
"""Ways of taking doubtful readings that are summed; beyond it the later ones are taken in their likeliest way."""


@dataclass(frozen=True, slots=True, eq=False)
class Slot:
    """All readings of one hidden attribute, multiplied; the largest of `log` and `none` is 0.

    Parameters
    ----------
    log : array, shape (values + 1,)
        The last is a value that the reference does not hold.
    none : float
        No such thing.
    taken : float
        What was taken off to make the largest 0.
    """

    log: Floats
    none: float
    taken: float

    @property
    def p(self) -> Floats:
        """Not in logs."""
        return np.exp(self.log)


def choices(alternatives: Sequence[Alternatives]) -> Iterator[tuple[float, list[Factor]]]:
    """Every way of taking the readings: log weight, and factors."""
    ways, room = [], MOST_CHOICES
    for several in alternatives:
        kept = several if room >= len(several) else (max(several, key=lambda one: one[0]),)
        room //= len(kept)
        ways.append(kept)
    for chosen in product(*ways):
        yield sum(weight for weight, _ in chosen), [factor for _, factors in chosen for factor in factors]


def by_slot(factors: Iterable[Factor]) -> tuple[dict[str, Slot], float]:
    """Slots that were read, and the log probability of it all for a piece from outside."""
    summed: dict[str, list[Factor]] = {}
    for factor in factors:
        summed.setdefault(factor.slot, []).append(factor)
    outside = sum(factor.outside for of_slot in summed.values() for factor in of_slot)
    return {name: _slot(of_slot) for name, of_slot in sorted(summed.items())}, outside


def _slot(factors: Sequence[Factor]) -> Slot:
    first, *more = factors
    rows, none, new = first.log, first.none, first.new
    for factor in more:
        rows, none, new = rows + factor.log, none + factor.none, new + factor.new
    taken = float(max(rows.max(initial=-np.inf), none, new))
    whole = np.concatenate([rows, [new]]) - taken
    return Slot(whole, none - taken, taken)


def mixed(logs: Sequence[float]) -> float:
    """Log of a sum of exponentials."""
    top = max(logs)
    return top + log(sum(exp(one - top) for one in logs)) if top > -np.inf else -np.inf
