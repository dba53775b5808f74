"""One slot of the treatment with other readings in it: its marginal times what the readings there change."""

from __future__ import annotations

from functools import lru_cache
from math import log

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.examination import Examination
from footring.reasoning.slots import Slot
from footring.reference.weights import sums

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
    own, other = _carriers(examination)
    (was_own, was_line), (now_own, now_line) = (_carries(examination, slot) for slot in (before, after))
    whole = own @ _ratio(now_own, was_own) + other @ _ratio(now_line, was_line)
    return float(whole / max(1.0 - examination.outside, _TINY))


@lru_cache(maxsize=2)
def _carriers(examination: Examination) -> tuple[Floats, Floats]:
    """Probability by treatment for what the treatment itself has, by line for the product of the parts.

    What was last asked, and what is asked again and again: the examination of a piece of which nothing was read.
    """
    m = examination.model
    known, classes, shares = m.known, m.classes, m.shares
    form, k, line, lines = known.cell_form, known.cell_treatment, m.cell_line, len(m.line_maker)
    product = shares.form_rest[form] * shares.line_rest[line] * shares.cell_product
    first = examination.ways[0].weighed
    e = np.asarray(sum(s * way.weighed.e for s, way in zip(examination.shares, examination.ways, strict=True)))
    free = first.form[form] * e[classes.cell_e] * product * first.plain[k] * first.else_number[line]
    own = sums(k, np.maximum(examination.cells - free, 0.0), len(known.treatments)) + examination.listed
    of_line = sums(line, examination.cells, lines)
    of_line = of_line + sums(m.form_line, examination.unrecorded_forms, lines)
    return own, np.maximum(of_line - sums(m.numbering.line_of, own, lines), 0.0)


def _carries(examination: Examination, slot: Slot | None) -> tuple[Floats, Floats]:
    numbering = examination.model.numbering
    if slot is None:
        return np.ones(len(numbering.absent)), np.ones(len(numbering.line_absent))
    return numbering.likelihood(slot.log[:-1], slot.none, float(slot.log[-1]))
