"""What every score asks of the arrays it is given."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from footring.terms.errors import BadInput

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def numbers(what: str, given: ArrayLike) -> Floats:
    """A row of numbers, at least one, none missing.

    Raises
    ------
    BadInput
        If there is none, or one is not a number.
    """
    array = np.asarray(given, dtype=float)
    if array.ndim != 1 or array.size == 0:
        raise BadInput(f"{what}: expected a row of at least one number, given an array of shape {array.shape}")
    if np.isnan(array).any():
        raise BadInput(f"{what}: number {int(np.flatnonzero(np.isnan(array))[0]) + 1} is missing; leave the piece out")
    return array


def shares(what: str, given: ArrayLike) -> Floats:
    """A row of probabilities.

    Raises
    ------
    BadInput
        If one lies outside 0 to 1.
    """
    array = numbers(what, given)
    if (array < 0).any() or (array > 1 + 1e-9).any():
        raise BadInput(f"{what}: expected probabilities from 0 to 1, given {array.min():g} to {array.max():g}")
    return array


def flags(what: str, given: ArrayLike) -> Flags:
    """A row of yes and no.

    Raises
    ------
    BadInput
        If one is neither.
    """
    array = numbers(what, given)
    if not np.isin(array, (0.0, 1.0)).all():
        raise BadInput(f"{what}: expected yes or no, 1 or 0, given {array[~np.isin(array, (0.0, 1.0))][0]:g}")
    return np.asarray(array == 1.0)


def same_length(**arrays: NDArray[np.generic]) -> None:
    """All of one length.

    Raises
    ------
    BadInput
        If they are not.
    """
    lengths = {name: len(array) for name, array in arrays.items()}
    if len(set(lengths.values())) > 1:
        raise BadInput(
            "expected one value a piece in each, given "
            + ", ".join(f"{name} {count}" for name, count in lengths.items())
        )
