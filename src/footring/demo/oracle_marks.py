"""What the oracle makes of marks, their codes and labels: chances by line and year, everything enumerated."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.demo.factory import YEARS
from footring.demo.mark_habits import MONTHS
from footring.demo.meeting import OUTSIDE_CLAY, OUTSIDE_LABEL, OUTSIDE_PRINTED
from footring.demo.readers import confused, frayed_chance
from footring.demo.reading_off import NOT_CODED, WORN
from footring.demo.ware import World

Floats = NDArray[np.float64]
DATED = {"mark", "mark.2", "date_code", "label"}


@dataclass(eq=False)
class MarkOracle:
    """Scores what bears on years.

    A run is the forms of one line that were designed in one year, and had their mould replaced in one: blanks are no
    older than their form.
    """

    world: World

    def __post_init__(self) -> None:
        self.letters = tuple(mark.lettering for mark in self.world.marks.marks)
        self.cache: dict[tuple[object, ...], Floats] = {}
        form_line = np.array([form.line for form in self.world.things.forms])
        runs = np.column_stack([form_line, self.world.since, self.world.replaced])
        (self.line, self.since, replaced), self.run_of = _distinct(runs)
        self.lag = np.zeros((len(self.line), len(YEARS), len(YEARS)))
        for apart, share in enumerate(self.world.lag):
            for y in range(len(YEARS)):
                self.lag[np.arange(len(self.line)), y, np.maximum(y - apart, self.since)] += share
        new = np.arange(len(YEARS)) >= replaced[:, None]
        self.from_mould = np.stack([~new, new]).astype(np.float64)

    def weigh(self, read: Mapping[str, str]) -> tuple[Floats, float]:
        """p(mould, marks, code, label | run, year of decorating), shape (2, runs, years); and outside.

        The first mould and the new one of each run. A code is only ever read off a printed mark that was read too.
        """
        printed, clay = self._side(read, ""), self._side(read, ".2")
        found, potted = np.ones((len(self.line), len(YEARS))), np.ones((len(self.line), len(YEARS)))
        outside = np.ones(self.world.p.outside_makers)
        if printed is not None:
            code, uncoded = self._code(read["date_code"]) if "date_code" in read else (np.ones((1, len(YEARS))), 1.0)
            found = np.einsum("my,lmy->ly", printed[:, None] * code, self.world.marks.printed)[self.line]
            outside *= self._of_makers(printed, False, OUTSIDE_PRINTED) * uncoded
        if clay is not None:
            potted = np.einsum("m,lmy->ly", clay, self.world.marks.in_clay)[self.line]
            outside *= self._of_makers(clay, True, OUTSIDE_CLAY)
        if "label" in read:
            label = self._label(read["label"])
            found = found * (label @ self.world.labels.share)
            theirs = label[len(self.world.labels.own) : -1]
            outside *= OUTSIDE_LABEL * theirs + (1.0 - OUTSIDE_LABEL) * label[-1]
        return found * np.einsum("ryq,mrq->mry", self.lag, self.from_mould * potted), float(outside.mean())

    def _of_makers(self, p: Floats, in_clay: bool, share: float) -> Floats:
        found = np.full(self.world.p.outside_makers, (1.0 - share) * p[-1])
        for m, mark in enumerate(self.world.marks.marks):
            if mark.maker > 0 and mark.in_clay == in_clay:
                found[mark.maker - 1] += share * p[m]
        return found

    def _label(self, text: str) -> Floats:
        """p(lettering | label), none last."""
        key = ("label", text)
        if key not in self.cache:
            p = self.world.p
            of = frayed_chance(text, self.world.labels.lettering, p.lettering_noise, p.unreadable, p.letters_lost)
            self.cache[key] = np.append(of, float(text == "none"))
        return self.cache[key]

    def _side(self, read: Mapping[str, str], index: str) -> Floats | None:
        """p(lettering, kind, colour | mark), none last."""
        text = read.get(f"mark{index}")
        if text is None:
            return None
        if text == "none":
            return np.append(np.zeros(len(self.letters)), 1.0)
        key = ("mark", text, read.get(f"mark_kind{index}"), read.get(f"mark_colour{index}"))
        if key not in self.cache:
            p = confused(text, self.letters, self.world.p.lettering_noise, self.world.p.unreadable)
            for m, mark in enumerate(self.world.marks.marks):
                p[m] *= mark.technique == key[2] and (key[3] is None or mark.colour == key[3])
            self.cache[key] = np.append(p, 0.0)
        return self.cache[key]

    def _code(self, text: str) -> tuple[Floats, float]:
        """p(code read | mark, year), and of a mark without one; the last row, of no mark, is never read for a code."""
        uncoded = NOT_CODED if text == "none" else (1.0 - NOT_CODED) * figure_under(text, 100)
        key = ("code", text)
        if key not in self.cache:
            found = np.zeros((len(self.letters) + 1, len(YEARS)))
            by_scheme = {name: self._scheme(name, codes, text) for name, codes in self.world.marks.codes.items()}
            for m, mark in enumerate(self.world.marks.marks):
                found[m] = by_scheme[mark.scheme] if mark.scheme else uncoded
            self.cache[key] = found
        return self.cache[key], uncoded

    def _scheme(self, name: str, codes: tuple[str, ...], text: str) -> Floats:
        if text == "none":
            return np.full(len(YEARS), WORN)
        swap = self.world.p.lettering_noise
        if name != "month year":
            return (1.0 - WORN) * confused(text, codes, swap, 0.0)
        months = [confused(text, tuple(f"{m} {c}" for c in codes), swap, 0.0) for m in range(1, MONTHS + 1)]
        return np.asarray((1.0 - WORN) * np.mean(months, axis=0))


def _distinct(rows: NDArray[np.int64]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    found, where = np.unique(rows, axis=0, return_inverse=True)
    return found.T, where.reshape(-1)


def figure_under(text: str, limit: int) -> float:
    """Chance of a figure drawn evenly from 1 up to, not with, the limit."""
    written = text.isdecimal() and text[0] != "0" and int(text) < limit
    return 1.0 / (limit - 1) if written else 0.0
