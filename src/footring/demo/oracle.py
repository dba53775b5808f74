"""What the best possible reasoner would have said, who knew everything the simulator knew about how pieces come to be.

Every cell, year and mark is enumerated with the chances the pieces were drawn with. Nothing of the reasoning proper
is used here.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from footring.demo.factory import YEARS
from footring.demo.oracle_marks import DATED, MarkOracle, figure_under
from footring.demo.readers import Vocabulary, confused
from footring.demo.reading_off import (
    DOUBTED,
    FEATURE_MISREAD,
    LAB_OUTSIDE,
    OTHER_FIGURE,
    SPREAD_OUTSIDE,
    colour_noise,
    seen_second,
)
from footring.demo.ware import World
from footring.demo.words import words

Floats = NDArray[np.float64]
_LAB = re.compile(r"Lab\((-?\d+),(-?\d+),(-?\d+)\)")


@dataclass(eq=False)
class Oracle:
    """Scores pieces against everything that could have been.

    Parameters
    ----------
    world : World
    vocabulary : mapping of reading to Vocabulary
    """

    world: World
    vocabulary: Mapping[str, Vocabulary]

    def __post_init__(self) -> None:
        world = self.world
        self.form, self.treatment = world.cells.T
        self.line, self.body, self.glaze, self.decoration, self.trim = world.treatments[self.treatment].T
        self.value = {
            "line": self.line, "maker": 0 * self.line, "form": self.form, "body": self.body, "glaze": self.glaze,
            "effect": self.glaze, "decoration": self.decoration, "technique": self.decoration,
            "placement": self.decoration, "trim": self.trim,
        }  # fmt: skip
        self.size_form = np.array([size.form for size in world.things.sizes])
        of_mould = np.array([[1.0, world.things.forms[form].change] for form in self.size_form]).T
        self.measure = {
            "across": of_mould * [size.across for size in world.things.sizes],
            "height": of_mould * [size.high for size in world.things.sizes],
        }
        self.sizes_of = np.bincount(self.size_form, minlength=len(world.things.forms))
        self.cache: dict[tuple[object, ...], tuple[Floats, float]] = {}
        self.word = {name: {w: i for i, w in enumerate(of.words)} for name, of in self.vocabulary.items()}
        self.marks = MarkOracle(world)
        self.carried = self._carried()
        self.run = self.marks.run_of[self.form]
        self.of_run = [np.flatnonzero(self.run == run) for run in range(len(self.marks.line))]
        self.when_of = [world.when[rows] for rows in self.of_run]
        self.of_mould = self._summed(self.marks.weigh({})[0])

    def _carried(self) -> Floats:
        """p(code row on the piece | treatment), shape (treatments, codes + 1); the last is none."""
        world = self.world
        table = np.zeros((len(world.treatments), len(world.codes) + 1))
        for t, own in enumerate(world.number_of.tolist()):
            if own < 0:
                table[t, -1] = 1.0
                continue
            line, _, _, decoration = world.codes[own]
            others = [r for r, code in enumerate(world.codes) if code[3] == decoration and code[0] != line]
            table[t, -1] = 1.0 - world.p.numbered
            table[t, own] += world.p.numbered * (1.0 - world.p.sister_numbers * bool(others))
            for row in others:
                table[t, row] += world.p.numbered * world.p.sister_numbers / len(others)
        return table

    def weigh(self, read: Mapping[str, str], reader: int) -> tuple[Floats, float]:
        """p(cell, readings) for every cell of the factory, and p(outside, readings).

        Readings of a lid that lies beside a piece are not weighed: the piece is told by what is on itself.
        """
        by_size, outside = self._size(read, reader)
        by_year, elsewhere = self._years(read, reader)
        cells = self.world.rate * (1.0 - self.world.p.outside_share) * (by_size[:, self.form] * by_year).sum(axis=0)
        outside *= self.world.p.outside_share * elsewhere
        for name, text in read.items():
            if name in self.value and not text.startswith("Lab("):
                of = self.named(name, text, reader)
                cells, outside = cells * of[self.value[name]], outside * of[-1]
            elif name == "glaze":
                colour, elsewhere = self._colour(text)
                cells, outside = cells * colour[self.glaze], outside * elsewhere
            elif name in ("number", "numeral"):
                number, elsewhere = self._number(name, text)
                cells, outside = cells * number[self.treatment], outside * elsewhere
            elif name == "feature":
                cells, outside = cells * self._feature(text)[self.form], outside * 0.5
        return cells, float(outside)

    def _summed(self, by_year: Floats) -> Floats:
        """Over the years of each cell, shape (2, cells)."""
        found = np.zeros((2, len(self.line)))
        for run, rows in enumerate(self.of_run):
            found[:, rows] = (self.when_of[run] @ by_year[:, run].T).T
        return found

    def _years(self, read: Mapping[str, str], reader: int) -> tuple[Floats, float]:
        """p(mould, what bears on years | cell), shape (2, cells), and outside."""
        if not (DATED | {"customer"}) & read.keys():
            return self.of_mould, 1.0
        by_year, outside = self.marks.weigh(read)
        found = self._summed(by_year)
        if "customer" not in read:
            return found, outside
        of = self.named("customer", read["customer"], reader)
        found *= of[0]
        for cell, year, customer in self.world.batches:
            at = year - int(YEARS[0])
            here = self.world.when[cell, at] * by_year[:, self.run[cell], at]
            found[:, cell] += here * (of[customer + 1] - of[0])
        return found, outside * float(of[-1])

    def named(self, name: str, text: str, reader: int) -> Floats:
        """p(word as typed | value) for each value a reading may have; the last is outside."""
        of, (word, _, doubt) = self.vocabulary[name], text.partition(" ~")
        p = of.p[reader, :, self.word[name][word]]
        if name in DOUBTED:
            share = self.world.p.doubtful
            return np.asarray(share * (0.7 * p + 0.3 / len(of.words)) if doubt else (1.0 - share) * p)
        return p

    def _size(self, read: Mapping[str, str], reader: int) -> tuple[Floats, float]:
        """p(measures, trade size | mould, form), shape (2, forms), and outside."""
        p, outside = np.ones((2, len(self.size_form))), 1.0
        for name in (name for name in self.measure if name in read):
            of, elsewhere = self._length(name, read[name])
            p, outside = p * of, outside * elsewhere
        if "trade_size" in read:
            of = self.named("trade_size", read["trade_size"], reader)
            p, outside = p * of[:-1], outside * float(of[-1])
        return np.stack([np.bincount(self.size_form, of, len(self.sizes_of)) / self.sizes_of for of in p]), outside

    def _length(self, name: str, text: str) -> tuple[Floats, float]:
        """p(length as typed | mould, size), and outside, where the true one is spread over a grid."""
        key = (name, text)
        if key not in self.cache:
            mean, spread = SPREAD_OUTSIDE[name]
            z = np.linspace(-6.0, 6.0, 4001)
            weight = np.exp(-0.5 * z**2)
            elsewhere = self._typed(text, np.exp(mean + spread * z)) @ weight / weight.sum()
            self.cache[key] = self._typed(text, self.measure[name]), float(elsewhere)
        return self.cache[key]

    def _typed(self, text: str, true_mm: Floats) -> Floats:
        mm, half = _millimetres(text), 0.5 if text.endswith("mm") else 25.4 / 16
        return _between(
            mm - half, mm + half, true_mm, np.hypot(self.world.p.size_spread * true_mm, self.world.p.instrument_mm)
        )

    def _colour(self, text: str) -> tuple[Floats, float]:
        """p(colour as typed | glaze), and outside; lightness is cut off at 1 and 99."""
        found = _LAB.match(text)
        assert found is not None
        p, outside, noise = np.ones(len(self.world.things.glazes)), 1.0, colour_noise(self.world)
        for axis, read in enumerate(int(v) for v in found.groups()):
            low, high = read - 0.5, read + 0.5
            least, most = LAB_OUTSIDE[0][axis], LAB_OUTSIDE[1][axis]
            outside *= max(min(high, most) - max(low, least), 0.0) / (most - least)
            if axis == 0:
                low, high = (-np.inf if read == 1 else low), (np.inf if read == 99 else high)
            p *= _between(low, high, self.world.things.lab[:, axis], noise)
        return p, outside

    def _number(self, name: str, text: str) -> tuple[Floats, float]:
        """p(figure | treatment), and outside."""
        key = (name, text)
        if key not in self.cache:
            codes = tuple(code for _, code, _, _ in self.world.codes)
            p = confused(text, codes, self.world.p.lettering_noise, 0.5 * self.world.p.unreadable)
            own = self.carried @ np.append(p, float(text == "none"))
            other = OTHER_FIGURE if name == "numeral" else 0.0
            self.cache[key] = (1.0 - other) * own + other * figure_under(text, 100), figure_under(text, 1000)
        return self.cache[key]

    def _feature(self, text: str) -> Floats:
        look_at, _, seen = text.partition(": ")
        place = [row["look_at"] for row in words("features")].index(look_at)
        things, second = self.world.things, seen == words("features")[place]["second"]
        same = np.array([seen_second(things, form, place) == second for form in range(len(things.forms))])
        return np.where(same, 1.0 - FEATURE_MISREAD, FEATURE_MISREAD)


def _between(low: float, high: float, mean: Floats, sd: Floats) -> Floats:
    a, b = (low - mean) / sd, (high - mean) / sd
    above = a > 0  # taken from the far tail, where the difference would be lost
    return np.asarray(ndtr(np.where(above, -a, b)) - ndtr(np.where(above, -b, a)))


def _millimetres(text: str) -> float:
    number, unit = text.rsplit(" ", 1)
    if unit == "mm":
        return float(number)
    whole, _, part = number.partition(" ")
    over, _, under = part.partition("/")
    return 25.4 * (float(whole) + (float(over) / float(under) if part else 0.0))
