"""What one reading says of one hidden attribute."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.marks.readings import Reading

SLOTS = {
    "maker": "makers", "line": "lines", "form": "forms", "size": "sizes", "body": "bodies", "glaze": "glazes",
    "decoration": "decorations", "trim": "trims", "number": "numbers", "mark_in_clay": "marks",
    "mark_printed": "marks", "customer": "customers", "label": "labels",
}  # fmt: skip
"""Hidden attributes a reading may speak of, and the table whose rows are their values."""


@dataclass(frozen=True, slots=True, eq=False)
class Factor:
    """Log probabilities of one reading under every value of one slot, all on the same measure.

    Parameters
    ----------
    reading : Reading
        What was read.
    slot : str
        One of `SLOTS`.
    log : float64 array, shape (rows of the slot's table,)
        Natural logarithm of p(reading | the value is that row); a density where lengths or colours were measured.
    none, new, outside : float
        The same where the piece has no such thing; has one that the reference does not hold; is of a factory that
        the reference does not hold.
    """

    reading: Reading
    slot: str
    log: NDArray[np.float64]
    none: float
    new: float
    outside: float
