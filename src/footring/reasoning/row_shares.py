"""Sizes of a form and numbers of a treatment, after everything that was read of them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix, diags_array

from footring.reasoning.examination import Examination
from footring.reasoning.thing_names import NEW, NONE, UNKNOWN

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

    def largest(self, way: int) -> tuple[Floats, Floats, Floats]:
        """Share of the likeliest size of each form, and of the likeliest number of each treatment and each line."""
        m, slots = self._model, self._slots[way]
        share = m.size_share * (slots["size"].p[:-1] if "size" in slots else 1.0)
        of_form, size = np.bincount(m.size_form, share, len(m.form_line)), np.zeros(len(m.form_line))
        np.maximum.at(size, m.size_form, share)
        size = np.where(m.unsized, 1.0, size / np.maximum(of_form, 1e-300))
        n, slot = m.numbering, slots.get("number")
        read = np.ones(n.own.shape[1]) if slot is None else np.exp(slot.log[:-1])
        none, new = (1.0, 1.0) if slot is None else np.exp([slot.none, slot.log[-1]])
        own = csr_matrix(n.own @ diags_array(read))
        top = own.max(axis=1).toarray().ravel() if own.nnz else np.zeros(own.shape[0])
        numbered = (1.0 - n.absent) * np.array([top, n.unknown * new])
        whole = n.absent * none + (1.0 - n.absent) * (np.asarray(own.sum(axis=1)).ravel() + n.unknown * new)
        of_treatment = np.maximum(numbered.max(axis=0), n.absent * none) / np.maximum(whole, 1e-300)
        on_line = np.array([n.line_absent * none, (1.0 - n.line_absent) * new])
        return size, of_treatment, on_line.max(axis=0) / np.maximum(on_line.sum(axis=0), 1e-300)

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
