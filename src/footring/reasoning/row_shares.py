"""Sizes of a form and numbers of a treatment, after everything that was read of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.attribution_parts import UNKNOWN
from footring.reasoning.examination import Examination
from footring.reasoning.mark_joint import NEW, NONE

Floats = NDArray[np.float64]


class RowShares:
    """Shares within one form in one treatment, by way of taking the readings."""

    def __init__(self, examination: Examination) -> None:
        self._model = examination.model
        self._slots = [way.weighed.slots for way in examination.ways]
        self._sizes: dict[int, tuple[list[int], list[Floats]]] = {}

    def sizes(self, form: int) -> tuple[list[int], list[Floats]]:
        """Sizes of a form, and the share of each by way."""
        if form not in self._sizes:
            of = np.flatnonzero(self._model.size_form == form)
            read = [slots.get("size") for slots in self._slots]
            share = [_whole(self._model.size_share[of] * (slot.p[of] if slot else 1.0)) for slot in read]
            without = [NEW if any(read) else UNKNOWN]
            self._sizes[form] = (of.tolist(), share) if len(of) else (without, [np.ones(1) for _ in read])
        return self._sizes[form]

    def numbers(self, treatment: int) -> list[int]:
        """Numbers that a treatment may carry, none and a new one; -1 is no treatment recorded."""
        own = self._model.numbering.own
        here = own.indices[slice(*own.indptr[treatment : treatment + 2])].tolist() if treatment >= 0 else []
        return [*here, NONE, NEW]

    def of_numbers(self, way: int, treatment: int, form: int, count: int) -> Floats:
        """Share of each number, shape (count,); what is no treatment recorded has the last two only."""
        share = self._carried(treatment, form)
        slot = self._slots[way].get("number")
        if slot is not None:
            here = self.numbers(treatment)[:-2]
            share = share * np.exp(np.append(slot.log[:-1][here] if here else [], [slot.none, slot.log[-1]]))
        whole = np.zeros(count)
        whole[count - len(share) :] = _whole(share)
        return whole

    def _carried(self, treatment: int, form: int) -> Floats:
        numbering = self._model.numbering
        if treatment < 0:
            absent = float(numbering.line_absent[self._model.form_line[form]])
            return np.array([absent, 1.0 - absent])
        absent = float(numbering.absent[treatment])
        own = numbering.own.data[slice(*numbering.own.indptr[treatment : treatment + 2])]
        return np.append(own * (1.0 - absent), [absent, float(numbering.unknown[treatment]) * (1.0 - absent)])


def _whole(share: Floats) -> Floats:
    return np.asarray(share / max(float(share.sum()), 1e-300))
