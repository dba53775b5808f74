"""What a method made of the test pieces: the probability of each truth, and its first answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.calibration.arrays import Flags, Floats
from footring.reasoning.calibration.simulated import JOINT, OF_INSIDE, Simulated

TABLES = {
    "line": "lines",
    "form": "forms",
    "body": "bodies",
    "glaze": "glazes",
    "decoration": "decorations",
    "trim": "trims",
}
ATTRIBUTES = OF_INSIDE
FLOOR = 1e-12
MOST_CELLS = 4_000_000
Index = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Answers:
    """Of one attribute, on the pieces that are not from outside; every array of shape (pieces,).

    Parameters
    ----------
    log_p : array
        Natural logarithm of the probability that was given to the truth.
    first_p : array
        Probability of the first answer.
    right : bool array
        Whether the first answer is the truth.
    """

    log_p: Floats
    first_p: Floats
    right: Flags

    def only(self, which: Flags) -> Answers:
        """Of some of the pieces."""
        return Answers(self.log_p[which], self.first_p[which], self.right[which])


def truths(world: Simulated) -> Index:
    """Rows of the true line, form, body, glaze, decoration and trim of the pieces not from outside.

    Returns
    -------
    int array, shape (pieces, 6)
        In the order of `JOINT`; -1 where the reference does not hold it.
    """
    inside = np.flatnonzero(~world.outside).tolist()
    ids = {name: world.reference.tables[table].ids for name, table in TABLES.items()}
    found = [[ids[name].find(world.truth[f"{name}_id"][i]) for name in JOINT] for i in inside]
    return np.array(found, dtype=np.int64).reshape(-1, len(JOINT))


def answers(p: Floats, truth: Index) -> Answers:
    """From a table of probabilities.

    Parameters
    ----------
    p : array, shape (pieces, values)
        Each row sums to 1 at most.
    truth : int array, shape (pieces,)
        Column of the truth, -1 for one that no column stands for.

    Examples
    --------
    >>> found = answers(np.array([[0.8, 0.2], [0.5, 0.5]]), np.array([1, 0]))
    >>> found.right.tolist(), found.log_p.round(2).tolist()
    ([False, True], [-1.61, -0.69])
    """
    rows, first = np.arange(len(p)), p.argmax(axis=1)
    of_truth = np.where(truth >= 0, p[rows, truth], 0.0)
    return joint_answers(of_truth, p[rows, first], first == truth)


def joint_answers(of_truth: Sequence[float] | Floats, first_p: Sequence[float] | Floats,
                  right: Sequence[bool] | Flags) -> Answers:  # fmt: skip
    """From the probability of each truth and of each first answer."""
    return Answers(np.log(np.maximum(of_truth, FLOOR)), np.minimum(first_p, 1.0), np.asarray(right, bool))


def together(parts: Iterable[Answers]) -> Answers:
    """Answers to some pieces, then to others, at least one lot, as one."""
    found = list(parts)
    return Answers(*(np.concatenate([getattr(one, name) for one in found]) for name in Answers.__slots__))


def in_parts(pieces: int, values: int) -> Iterator[slice]:
    """Pieces, few enough at a time for a table of probabilities to take no more than `MOST_CELLS`."""
    size = max(1, MOST_CELLS // max(values, 1))
    return (slice(first, first + size) for first in range(0, max(pieces, 1), size))
