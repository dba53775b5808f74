"""The likeliest things a piece may be, everything said at once, exactly and in order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.attribution_parts import Bunch, open_form, recorded_cells
from footring.reasoning.best_first import Ranked, best_first, ranked
from footring.reasoning.examination import Examination
from footring.reasoning.mark_joint import MarkPairs
from footring.reasoning.model import Model
from footring.reasoning.row_shares import RowShares
from footring.reasoning.thing_names import TABLE_OF, UNKNOWN, Names, Value

Floats = NDArray[np.float64]
Row = tuple[bool, tuple[int, ...]]
NAMES = (
    "maker", "line", "form", "size", "body", "glaze", "decoration", "trim", "number", "in_clay_mark", "printed_mark",
)  # fmt: skip
MASS, MOST = 0.999, 200
"""Rows are told until so much of the probability is accounted for, at most so many of them."""
_ROUNDING = 1.0 + 1e-9


@dataclass(frozen=True, slots=True)
class Attribution:
    """One thing that the piece may be; `recorded` tells whether pieces or documents name such a piece."""

    values: Mapping[str, Value]
    p: float
    recorded: bool


@dataclass(frozen=True, slots=True)
class Attributions:
    """The likeliest, in order, and what all others have together; with what is outside they sum to 1."""

    rows: tuple[Attribution, ...]
    rest: float


def attributions(
    examination: Examination, names: Names | None = None, *, mass: float = MASS, most: int = MOST
) -> Attributions:
    """The likeliest things a piece may be, by everything that was read.

    Parameters
    ----------
    examination : Examination
    names : Names, optional
        Names of the reference's things, where some were looked up before.
    mass : float
        Rows are told until they and `outside` make up this much.
    most : int
        At most so many rows; 0 for none.

    Notes
    -----
    A form in a treatment is taken apart into sizes, numbers and marks only when it is likelier than every row not
    told yet, so that nothing likelier is left out.
    """
    found: list[Attribution] = []
    told = examination.outside
    if len(examination.model.form_line) and told < mass and most > 0:
        names = names or Names(examination.model.reference)
        for p, row in best_first(_Apart(examination, most).everything()):
            found.append(_attribution(examination.model, names, p, row))
            told += p
            if told >= mass or len(found) >= most:
                break
    return Attributions(tuple(found), max(1.0 - told, 0.0))


class _Apart:
    """Takes things apart: forms into treatments, those into sizes, numbers and marks."""

    def __init__(self, examination: Examination, most: int) -> None:
        self.examination, self.most, self.marks = examination, most, MarkPairs(examination)
        self.shares = RowShares(examination)
        self.largest = [self.shares.largest(way) for way in range(len(examination.ways))]

    def everything(self) -> list[Ranked[Row]]:
        unrecorded = self.examination.unrecorded_forms
        return [self._bunch(recorded_cells(self.examination)), ranked(unrecorded, self._open)]

    def _open(self, form: int) -> Row | Ranked[Row]:
        return self._bunch(open_form(self.examination, form))

    def _bunch(self, bunch: Bunch) -> Ranked[Row]:
        def rows(i: int) -> Row | Ranked[Row]:
            return self._rows(bunch, i)

        return ranked(np.minimum(bunch.mass, self._at_most(bunch) * _ROUNDING), rows)

    def _at_most(self, bunch: Bunch) -> Floats:
        """Probability that no row of each form in a treatment exceeds, shape (n,)."""
        most = np.zeros(len(bunch.form))
        line = self.examination.model.form_line[bunch.form]
        for way, (size, number, on_line) in enumerate(self.largest):
            of_number = np.append(number, 1.0)[bunch.treatment]
            most += size[bunch.form] * (bunch.own[way] * of_number + bunch.free[way] * on_line[line])
        return most

    def _rows(self, bunch: Bunch, i: int) -> Ranked[Row]:
        form, k = int(bunch.form[i]), int(bunch.treatment[i])
        sizes, size_p = self.shares.sizes(form)
        numbers = self.shares.numbers(k)
        both = ((bunch.own, bunch.own_window, k), (bunch.free, bunch.free_window, -1))
        whole: Floats | float = 0.0
        for way in range(len(self.examination.ways)):
            for mass, window, treatment in both:
                if mass[way, i] > 0.0:
                    in_clay, printed, marks = self.marks.of(way, int(window[i]))
                    by_number = self.shares.of_numbers(way, treatment, form, len(numbers))
                    ways = np.multiply.outer(mass[way, i] * size_p[way], by_number)
                    whole = whole + np.multiply.outer(ways, marks)
        p = np.asarray(whole)

        def row(place: int) -> Row | Ranked[Row]:
            s, n, c, t = np.unravel_index(place, p.shape)
            last = (numbers[n], int(in_clay[c]), int(printed[t]))
            return bunch.recorded, (form, sizes[s], *bunch.parts[i].tolist(), *last)

        return ranked(p.ravel(), row, self.most)


def _attribution(model: Model, names: Names, p: float, row: Row) -> Attribution:
    recorded, (form, *rest) = row
    line = int(model.form_line[form])
    maker = int(model.line_maker[line])
    rows = (UNKNOWN if maker < 0 else maker, line, form, *rest)
    return Attribution(
        {name: names.value(TABLE_OF[name], of) for name, of in zip(NAMES, rows, strict=True)}, p, recorded
    )
