"""What every examination needs of the recorded cells, worked out once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.classes import Classes
from footring.reasoning.recorded import Recorded
from footring.reasoning.shares import Shares

Floats = NDArray[np.float64]
Places = NDArray[np.intp]


@dataclass(frozen=True, slots=True, eq=False)
class Cells:
    """Places and shares of recorded cells, each of shape (cells,); places as wide as arrays are indexed with fastest.

    Parameters
    ----------
    form, treatment : array of int
    e, meeting, product : array of int
        Window; the meeting it would have unrecorded by its treatment, and by the product of its parts.
    own, listed, free : array
        p(treatment | line, form) by its own pieces and its treatment's; by its treatment's alone, and by the product
        of its parts.
    """

    form: Places
    treatment: Places
    e: Places
    meeting: Places
    product: Places
    own: Floats
    listed: Floats
    free: Floats

    @staticmethod
    def of(known: Recorded, shares: Shares, classes: Classes, form_line: NDArray[np.int32]) -> Cells:
        """The cells of a reference, in the order of `known`."""
        form, k = known.cell_form.astype(np.intp), known.cell_treatment.astype(np.intp)
        rest = shares.form_rest[form]
        listed = rest * shares.treatment[k]
        free = rest * shares.line_rest[form_line[form]] * shares.cell_product
        e, meeting, product = (a.astype(np.intp) for a in (classes.cell_e, classes.cell_meeting, classes.cell_product))
        return Cells(form, k, e, meeting, product, shares.cell + listed, listed, free)
