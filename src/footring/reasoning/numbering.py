"""What decoration number a piece of each treatment carries.

Of the numbered pieces most carry a number of their own line that stands for their treatment; some a sister line's;
a few one that was used again. Where several stand for it each is as likely.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from footring.reasoning.parameters import Parameters
from footring.reasoning.recorded import Recorded
from footring.reference import Reference

Floats = NDArray[np.float64]


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
    by_decoration: dict[int, list[int]] = defaultdict(list)
    for n in np.flatnonzero(trust > 0).tolist():
        by_decoration[int(patterns[n, 3])].append(n)
    of_line: dict[int, list[int]] = defaultdict(list)
    for n in np.flatnonzero(trust > 0).tolist():
        of_line[int(patterns[n, 0])].append(n)
    rows, columns, shares = [], [], []
    has = np.zeros(len(known.treatments), bool)
    sister, reused = parameters.sister_number, parameters.reused_number
    for k, treatment in enumerate(known.treatments.tolist()):
        near = by_decoration.get(treatment[3], []) + (by_decoration.get(-1, []) if treatment[3] >= 0 else [])
        fits = [n for n in near if _stands_for(patterns[n], treatment)]
        own = [n for n in fits if patterns[n, 0] == treatment[0]]
        others = [n for n in fits if patterns[n, 0] != treatment[0] and maker[patterns[n, 0]] == maker[treatment[0]]]
        has[k] = bool(own)
        for found, share in ((own, 1.0 - sister - reused), (others, sister)):
            total = sum(float(trust[n]) for n in found)
            for n in found:
                rows.append(k)
                columns.append(n)
                shares.append(share * float(trust[n]) / max(total, 1.0))
    own_matrix = csr_matrix((shares, (rows, columns)), shape=(len(known.treatments), len(table)))
    unknown = np.maximum(0.0, 1.0 - np.asarray(own_matrix.sum(axis=1)).ravel())
    ids = list(reference.tables["lines"].ids)
    some, none = (
        np.array([rates.get(line, rates[""]) for line in ids])
        for rates in (parameters.unnumbered, parameters.unnumbered_else)
    )
    line_of = known.treatments[:, 0]
    absent = np.where(has, some[line_of], none[line_of]) if len(line_of) else np.zeros(0)
    return Numbering(own_matrix, unknown, absent, none, line_of)


def _stands_for(pattern: NDArray[np.int32], treatment: list[int]) -> bool:
    return all(want in (-1, given) for want, given in zip(pattern[1:].tolist(), treatment[1:], strict=True))
