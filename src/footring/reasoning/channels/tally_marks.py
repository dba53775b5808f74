"""Marks and numbers as read, counted beside what the mark or number is known to be."""

from __future__ import annotations

from collections import Counter
from difflib import SequenceMatcher
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from footring.marks.mark_words import said
from footring.marks.readings import Reading
from footring.reasoning.channels.heard import Rows, steps
from footring.reasoning.channels.lettering import characters, plain_characters
from footring.reasoning.channels.marks import marks_read
from footring.reasoning.channels.named import word_key
from footring.reference import TREATMENT
from footring.terms.errors import BadInput

if TYPE_CHECKING:
    from footring.reasoning.channels.build import Channels

Tally = Counter[tuple[str, ...]]
_SLOTS = ("in_clay", "printed")
_ANOTHER = 0.5
"""Likeness below which two texts are taken for different ones; common practice, no source."""


def tally_marks(tally: Tally, channels: Channels, rows: Rows) -> None:
    """Count how marks and decoration numbers were read; adds to `tally`."""
    _marks(tally, channels, rows)
    _numbers(tally, channels, rows)
    for seen in rows.alike_untold("label"):
        tally["looked", "label"] += seen.weight
        tally["nothing found", "label"] += seen.weight * seen.absent


def _marks(tally: Tally, channels: Channels, rows: Rows) -> None:
    table = channels.reference.tables["marks"]
    letterings = [plain_characters(text or "") for text in table.text("lettering").tolist()]
    kinds = _of_marks(rows, "mark_kind")
    colours = _of_marks(rows, "mark_colour")
    marks = rows.by_name.get("mark", np.empty(0, np.intp))
    known = {slot: rows.mark(slot, marks) for slot in _SLOTS}
    weights = rows.weight(marks)
    for i, row in enumerate(marks.tolist()):
        typed, absent = rows.typed(row)
        kind = kinds.get(rows.place(row))
        where = _where(typed, absent, kind)
        weight = steps(float(weights[i]))
        truths = {slot: int(known[slot][i]) for slot in _SLOTS if where in (slot, None)}
        _presence(tally, where, absent, truths, weight)
        if where is None or absent or truths[where] < 0:
            continue
        truth = truths[where]
        _read(tally, "mark", letterings[truth], typed, weight)
        if kind:
            _said(tally, channels, "mark_kind", kind, truth, weight)
        if colour := colours.get(rows.place(row)):
            _said(tally, channels, "mark_colour", said(colour).colour or colour, truth, weight)


def _of_marks(rows: Rows, name: str) -> dict[tuple[int, int, int], str]:
    """What was said of each mark: by piece, part and index."""
    found = {}
    for row in rows.by_name.get(name, np.empty(0, np.intp)).tolist():
        typed, absent = rows.typed(row)
        if typed and not absent:
            found[rows.place(row)] = typed
    return found


@lru_cache(maxsize=65536)
def _where(typed: str, absent: bool, kind: str | None) -> str | None:
    """The slot a mark is of when it is of one and no more."""
    try:
        read = marks_read(Reading("mark", typed, absent=absent), Reading("mark_kind", kind) if kind else None)
    except BadInput:
        return None
    return read[0].where if len(read) == 1 and read[0].where in _SLOTS else None


def _presence(tally: Tally, where: str | None, absent: bool, truths: dict[str, int], weight: int) -> None:
    tally["looked", "mark"] += weight
    tally["nothing found", "mark"] += weight * absent
    if where is None:
        return
    if not absent:
        tally["mark", where] += weight
    if truths[where] >= 0:
        tally["there", "mark"] += weight
        tally["there, read absent", "mark"] += weight * absent


def _said(tally: Tally, channels: Channels, reading: str, typed: str, truth: int, weight: int) -> None:
    words = channels.vocabulary(reading)
    if words.bare[truth]:
        return
    typed = _technique(typed) if reading == "mark_kind" else typed
    tally["told", reading] += weight
    if not words.kinds_of(truth, word_key(typed)):
        tally["misread" if word_key(typed) in words.named.words else "unknown", reading] += weight


@lru_cache(maxsize=4096)
def _technique(typed: str) -> str:
    return said(typed).technique or typed


def _numbers(tally: Tally, channels: Channels, rows: Rows) -> None:
    """Numbers of pieces whose line and treatment only one number of the reference stands for."""
    codes = _CodeOf(channels)
    found = rows.by_name.get("number", np.empty(0, np.intp))
    weights = rows.weight(found)
    for i, row in enumerate(found.tolist()):
        typed, absent = rows.typed(row)
        weight = steps(float(weights[i]))
        tally["looked", "number"] += weight
        tally["nothing found", "number"] += weight * absent
        if absent or rows.attribution[row] < 0:
            continue
        if code := codes.of(int(rows.attribution[row])):
            _read(tally, "number", code, typed, weight)


class _CodeOf:
    """The one number that stands for what a piece is known to be."""

    def __init__(self, channels: Channels) -> None:
        tables = channels.reference.tables
        table = tables["numbers"]
        self._codes = [plain_characters(code or "") for code in table.text("code").tolist()]
        self._treatment = np.stack([table.links[c] for c in TREATMENT], axis=1)
        self._by_line: dict[int, list[int]] = {}
        for i, line in enumerate(table.links["line"].tolist()):
            if table.current[i]:
                self._by_line.setdefault(line, []).append(i)
        links = tables["attributions"].links
        self._cells = np.stack([links[c] for c in TREATMENT], axis=1)
        self._lines = links["line"]
        self._known: dict[tuple[int, ...], str] = {}

    def of(self, attribution: int) -> str:
        """Its characters; empty where none or several fit."""
        cell = (int(self._lines[attribution]), *map(int, self._cells[attribution]))
        if cell not in self._known:
            rows = np.array(self._by_line.get(cell[0], []), np.intp)
            pattern: NDArray[np.int32] = self._treatment[rows]
            fits = {self._codes[i] for i in rows[((pattern < 0) | (pattern == np.array(cell[1:]))).all(axis=1)]}
            self._known[cell] = fits.pop() if len(fits) == 1 else ""
        return self._known[cell]


def _read(tally: Tally, reading: str, stands: str, typed: str, weight: int) -> None:
    """How one text was read, by the likeliest alignment of what stands and what was typed."""
    read = characters(typed)
    if not stands or not read or "?" in read or "." in read:
        return
    tally["told", reading] += weight
    happened = _slips(stands, read)
    if happened is None:
        tally["unknown", reading] += weight
        return
    for what, count in happened:
        tally["slips", reading, what] += weight * count


@lru_cache(maxsize=65536)
def _slips(stands: str, read: str) -> tuple[tuple[str, int], ...] | None:
    """How many characters stood, were read as another, and were left out or added in runs; None for another text."""
    if stands == read:
        return (("stood", len(stands)),)
    matcher = SequenceMatcher(None, stands, read, autojunk=False)
    if matcher.ratio() < _ANOTHER:
        return None
    found = Counter({"stood": len(stands)})
    for what, a, b, c, d in matcher.get_opcodes():
        if what == "equal":
            continue
        found["changed"] += min(b - a, d - c)
        lost, added = max(0, (b - a) - (d - c)), max(0, (d - c) - (b - a))
        found.update({"lost runs": lost > 0, "lost": lost, "added runs": added > 0, "added": added})
    return tuple(sorted(found.items()))
