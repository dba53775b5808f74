"""One slot of the treatment with other readings in it: its marginal times what the readings there change."""

from __future__ import annotations

from math import log

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.examination import Examination
from footring.reasoning.slots import Slot

Floats = NDArray[np.float64]
_TINY = 1e-300


def swapped(examination: Examination, name: str, slot: Slot | None) -> float:
    """Log of how much likelier all readings are, inside, with one slot of the treatment read otherwise.

    Parameters
    ----------
    examination : Examination
    name : str
        body, glaze, decoration, trim or number.
    slot : Slot or None
        In the place of what was read of it; None for nothing.
    """
    before = examination.ways[0].weighed.slots.get(name)
    taken = (slot.taken if slot else 0.0) - (before.taken if before else 0.0)
    if name == "number":
        factor = _number(examination, before, slot)
    else:
        marginal = examination.marginals[name]
        factor = float(marginal @ _ratio(_p(slot, len(marginal)), _p(before, len(marginal))))
    return taken + (log(factor) if factor > 0.0 else -np.inf)


def _p(slot: Slot | None, values: int) -> Floats:
    return np.ones(values) if slot is None else slot.p


def _ratio(after: Floats, before: Floats) -> Floats:
    return np.divide(after, before, out=np.zeros(len(after)), where=before > _TINY)


def _number(examination: Examination, before: Slot | None, after: Slot | None) -> float:
    own, other = examination.carriers
    (was_own, was_line), (now_own, now_line) = (_carries(examination, slot) for slot in (before, after))
    whole = own @ _ratio(now_own, was_own) + other @ _ratio(now_line, was_line)
    return float(whole / max(1.0 - examination.outside, _TINY))


def _carries(examination: Examination, slot: Slot | None) -> tuple[Floats, Floats]:
    numbering = examination.model.numbering
    if slot is None:
        return np.ones(len(numbering.absent)), np.ones(len(numbering.line_absent))
    return numbering.likelihood(slot.log[:-1], slot.none, float(slot.log[-1]))
