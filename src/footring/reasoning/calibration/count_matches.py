"""Counting the matches: how many readings fit each recorded cell, turned into probabilities.

The weighted checklist that collectors' lists suggest. Each reading that fits counts one, none counts against, and a
softmax of the count says how sure that is, its temperature and floor fitted on pieces held out of the training part.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.sparse import csr_array
from scipy.special import softmax

from footring.reasoning.calibration.answers import Answers, Index, answers, in_parts, joint_answers, together
from footring.reasoning.calibration.arrays import Flags, Floats
from footring.reasoning.calibration.features import Row, folded
from footring.reasoning.calibration.simulated import JOINT
from footring.reasoning.calibration.smoothing import Smoothing, fit_to_truths
from footring.reasoning.calibration.training import Laid, distinct, held_out, places
from footring.reference import Reference

CLOSE = 0.03
"""Share by which a measured size may differ from a form's and still fit."""


MEASURED = {"across": "across_mm", "height": "high_mm"}
HEADS = ("lines", "forms", "bodies", "glazes", "decorations", "trims")


class Checklist:
    """Recorded cells, and what a reading fits.

    Parameters
    ----------
    reference : Reference
    cells : int array, shape (cells, 6)
        Distinct settled cells: line, form, body, glaze, decoration, trim.
    """

    def __init__(self, reference: Reference, cells: Index) -> None:
        self.cells = cells
        self._tables = reference.tables
        self._ids = [list(self._tables[name].ids) for name in HEADS]
        self._pairs = cells[:, 0] * len(self._ids[4]) + cells[:, 4]
        self._none = np.zeros(len(cells), bool)
        self._fits: dict[tuple[str, str | float], Flags] = {}

    def matches(self, rows: Sequence[Row]) -> Floats:
        """How many of each piece's readings fit each cell, shape (pieces, cells)."""
        count = np.zeros((len(rows), len(self.cells)))
        for of_piece, row in zip(count, rows, strict=True):
            for name, value in row.items():
                of_piece += self.fits(name, value)
        return count

    def fits(self, name: str, value: str | float) -> Flags:
        """Which cells a reading fits, shape (cells,)."""
        key = (name, value if isinstance(value, str) else round(value))
        if key not in self._fits:
            self._fits[key] = self._named(name, value) if isinstance(value, str) else self._measured(name, value)
        return self._fits[key]

    def _measured(self, name: str, value: float) -> Flags:
        """Forms with a size that near."""
        if name not in MEASURED:
            return self._none
        sizes = self._tables["sizes"]
        near = np.abs(sizes.numbers[MEASURED[name]] - value) <= CLOSE * sizes.numbers[MEASURED[name]]
        return np.isin(self.cells[:, 1], sizes.links["form"][near])

    def _named(self, name: str, value: str) -> Flags:
        if name in JOINT:
            return self._kind(value) if name == "form" and value not in self._ids[1] else self._is(name, value)
        if name.endswith("stands for"):
            return np.isin(self.cells[:, 4], [self._ids[4].index(of) for of in value.split() if of in self._ids[4]])
        if name.split(".")[0] == "mark":
            return self._bearing(value)
        if name == "number":
            return self._numbered(value)
        return self._feature(name.removeprefix("feature "), value) | self._looks(name, value)

    def _is(self, name: str, value: str) -> Flags:
        which = JOINT.index(name)
        ids = self._ids[which]
        return np.asarray(self.cells[:, which] == ids.index(value)) if value in ids else self._none

    def _kind(self, value: str) -> Flags:
        return self._of("forms", "kind", 1, value)

    def _looks(self, name: str, value: str) -> Flags:
        if name == "technique":
            return self._of("decorations", "technique", 4, value)
        if name == "effect":
            return self._of("glazes", "effect", 3, value)
        return self._none

    def _of(self, table: str, column: str, which: int, value: str) -> Flags:
        """Things whose column says so."""
        return np.isin(self.cells[:, which], np.flatnonzero(self._says(table, column, value)))

    def _bearing(self, mark: str) -> Flags:
        """Lines that used the mark."""
        uses = self._tables["mark_uses"].links
        return np.isin(self.cells[:, 0], uses["line"][uses["mark"] == self._tables["marks"].ids.find(mark)])

    def _numbered(self, code: str) -> Flags:
        """Decorations on the lines where the number stands for them."""
        rows, links = self._says("numbers", "code", code), self._tables["numbers"].links
        stands = zip(links["line"][rows].tolist(), links["decoration"][rows].tolist(), strict=True)
        return np.isin(self._pairs, [line * len(self._ids[4]) + decoration for line, decoration in stands])

    def _feature(self, look_at: str, seen: str) -> Flags:
        """Forms of which a telltale says so."""
        table, place = self._tables["telltales"], self._says("telltales", "look_at", look_at)
        one, other = (place & self._says("telltales", column, seen) for column in ("seen", "seen_on_other"))
        return np.isin(self.cells[:, 1], np.append(table.links["form"][one], table.links["other_form"][other]))

    def _says(self, table: str, column: str, value: str) -> Flags:
        texts = self._tables[table].text(column).tolist()
        return np.array([text is not None and folded(str(text)) == folded(value) for text in texts], bool)


def fit_counting(matches: Floats, same: Flags, values: float) -> Smoothing:
    """The temperature (Guo 2017) and floor under which held-out pieces come out likeliest.

    Parameters
    ----------
    matches : array, shape (pieces, cells)
        Counts.
    same : bool array, shape (pieces, cells)
        Which cells agree with the truth in what is asked.
    values : float
        How many values that has in the reference; the floor goes evenly to all of them.

    Examples
    --------
    >>> fit_counting(np.array([[5.0, 0.0], [5.0, 0.0]]), np.array([[True, False]] * 2), 2).temperature < 0.5
    True
    """
    return fit_to_truths(lambda temperature: (softmax(matches / temperature, axis=1) * same).sum(axis=1), values)


def count_matches(reference: Reference, data: Laid, truth: Index, names: Sequence[str]) -> dict[str, Answers]:
    """Answers from counts over the settled cells; how sure they make one is told by pieces held out of the list.

    Parameters
    ----------
    data : Laid
        With at least one training piece.
    truth : int array, shape (asked, 6)
        Rows of line, form, body, glaze, decoration and trim.
    names : sequence of str
        Attributes asked for, beside "joint".
    """
    kept, held = held_out(data.known)
    fewer, cells = (distinct(pieces.truth)[0] for pieces in (kept, data.known))
    matches, checklist, found = Checklist(reference, fewer).matches(held.rows), Checklist(reference, cells), {}
    for name in (*names, "joint"):
        columns = list(range(len(JOINT))) if name == "joint" else [JOINT.index(name)]
        many = data.combinations if name == "joint" else data.many(name)
        values, which = distinct(fewer[:, columns])
        same = which == places(values, held.truth[:, columns])[:, None]
        fitted = fit_counting(matches, same, many)
        found[name] = _counted(checklist, fitted, data.asked, truth[:, columns], columns, many)
    return found


def _counted(
    checklist: Checklist, fitted: Smoothing, asked: Sequence[Row], truth: Index, columns: list[int], many: float
) -> Answers:
    values, which = distinct(checklist.cells[:, columns])
    place, of = places(values, truth), csr_array((np.ones(len(which)), (np.arange(len(which)), which)))
    found = together(
        answers(np.asarray(softmax(checklist.matches(asked[part]) / fitted.temperature, axis=1) @ of), place[part])
        for part in in_parts(len(asked), len(which))
    )
    of_truth, first_p = ((1 - fitted.share) * p + fitted.share / many for p in (np.exp(found.log_p), found.first_p))
    return joint_answers(of_truth, first_p, found.right)
