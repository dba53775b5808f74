"""What decoration number a piece of each treatment carries.

Of the numbered pieces most carry a number of their own line that stands for their treatment; some a sister line's;
a few one that was used again. Where several stand for it each is as likely.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from footring.reasoning.parameters import Parameters
from footring.reasoning.recorded import Recorded
from footring.reference import Reference
from footring.reference.weights import sums

Floats = NDArray[np.float64]
Index = NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class Numbering:
    """Shares of numbers by treatment; what a product of parts carries is a number the reference does not hold.

    Parameters
    ----------
    own : sparse matrix, shape (treatments, numbers)
        p(number | treatment, numbered).
    unknown : array, shape (treatments,)
        Share of numbers that the reference does not hold.
    absent, line_absent : array, shape (treatments,) and (lines,)
        Share without a number, of a treatment and of what is no treatment recorded.
    """

    own: csr_matrix
    unknown: Floats
    absent: Floats
    line_absent: Floats
    line_of: NDArray[np.int32]

    def likelihood(self, log: Floats, none: float, new: float) -> tuple[Floats, Floats]:
        """P(reading | treatment) and p(reading | line, something else), up to what is taken off the logs."""
        carried = self.own @ np.exp(log) + self.unknown * np.exp(new)
        without = float(np.exp(none))
        by_line = self.line_absent * without + (1.0 - self.line_absent) * float(np.exp(new))
        return self.absent * without + (1.0 - self.absent) * carried, by_line


def compile_numbering(reference: Reference, known: Recorded, parameters: Parameters, trust: Floats) -> Numbering:
    """Match numbers to treatments.

    Parameters
    ----------
    trust : array, shape (numbers,)
        How far each row of the table numbers is believed; 0 where it is superseded.
    """
    table = reference.tables["numbers"]
    maker = reference.tables["lines"].links["maker"]
    patterns = np.stack([table.links[c] for c in ("line", "body", "glaze", "decoration", "trim")], axis=1)
    k, n = _fitting(patterns, known.treatments, maker, trust > 0)
    own = patterns[n, 0] == known.treatments[k, 0]
    has = np.zeros(len(known.treatments), bool)
    has[k[own]] = True
    sister, reused = parameters.sister_number, parameters.reused_number
    shares = np.empty(len(k))
    for chosen, share in ((own, 1.0 - sister - reused), (~own, sister)):
        total = sums(k[chosen], trust[n[chosen]], len(has))
        shares[chosen] = share * trust[n[chosen]] / np.maximum(total[k[chosen]], 1.0)
    own_matrix = csr_matrix((shares, (k, n)), shape=(len(known.treatments), len(table)))
    unknown = np.maximum(0.0, 1.0 - np.asarray(own_matrix.sum(axis=1)).ravel())
    ids = list(reference.tables["lines"].ids)
    some, none = (
        np.array([rates.get(line, rates[""]) for line in ids])
        for rates in (parameters.unnumbered, parameters.unnumbered_else)
    )
    line_of = known.treatments[:, 0]
    absent = np.where(has, some[line_of], none[line_of]) if len(line_of) else np.zeros(0)
    return Numbering(own_matrix, unknown, absent, none, line_of)


def _fitting(patterns: Index, treatments: Index, maker: Index, believed: NDArray[np.bool_]) -> tuple[Index, Index]:
    """Treatments and the numbers that stand for them, of the same maker, one pair each; a part not said fits any."""
    found = [np.zeros((0, 2), np.intp)]
    for said in product((False, True), repeat=4):
        n = np.flatnonzero(believed & ((patterns[:, 1:] >= 0) == said).all(axis=1))
        k = np.flatnonzero((treatments[:, 1:][:, said] >= 0).all(axis=1))
        keys = np.concatenate([rows[:, [True, *said]] for rows in (patterns[n], treatments[k])])
        keys[:, 0] = maker[keys[:, 0]]
        code = np.unique(keys, axis=0, return_inverse=True)[1].ravel()
        order = np.argsort(code[: len(n)], kind="stable")
        first, last = (np.searchsorted(code[order], code[len(n) :], side) for side in ("left", "right"))
        times = last - first
        at = np.repeat(first - np.cumsum(times) + times, times) + np.arange(times.sum())
        found.append(np.stack([np.repeat(k, times), n[order][at]], axis=1))
    pairs = np.concatenate(found).astype(np.int32)
    return pairs[:, 0], pairs[:, 1]
