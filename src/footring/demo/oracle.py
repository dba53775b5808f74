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

from footring.demo.factory import YEARS
from footring.demo.mark_habits import MONTHS
from footring.demo.meeting import EFFECT_NOISE, FEATURE_MISREAD, NOT_CODED, OTHER_FIGURE, SIZE_SPREAD_OUTSIDE, WORN, seen_second
from footring.demo.readers import Vocabulary, confused
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
        self.across = np.array([size.across for size in world.things.sizes])
        self.sizes_of = np.bincount(self.size_form, minlength=len(world.things.forms))
        self.cache: dict[tuple[object, ...], Floats] = {}
        self.letters = tuple(mark.lettering for mark in world.marks.marks)
        self.word = {name: {w: i for i, w in enumerate(of.words)} for name, of in self.vocabulary.items()}
        lag = np.zeros((len(YEARS), len(YEARS)))
        for apart, share in enumerate(world.lag):
            for y in range(len(YEARS)):
                lag[y, max(y - apart, 0)] += share
        self.lag = lag
        self.carried = self._carried()

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
        """p(cell, readings) for every cell of the factory, and p(outside, readings)."""
        cells = self.world.rate * (1.0 - self.world.p.outside_share)
        outside = self.world.p.outside_share
        by_size, size_outside = self._size(read, reader)
        cells = cells * by_size[self.form]
        outside *= size_outside
        for name, text in read.items():
            if name in self.value and not text.startswith("Lab("):
                of = self._word(name, text, reader)
                cells, outside = cells * of[self.value[name]], outside * of[-1]
            elif name == "glaze":
                colour, elsewhere = self._colour(text)
                cells, outside = cells * colour[self.glaze], outside * elsewhere
            elif name in ("number", "numeral"):
                number, elsewhere = self._number(name, text)
                cells, outside = cells * (self.carried @ number)[self.treatment], outside * elsewhere
            elif name == "feature":
                cells = cells * self._feature(text)[self.form]
                outside *= 0.5
        by_year, elsewhere = self._years(read)
        if by_year is not None:
            cells = cells * np.einsum("cy,cy->c", self.world.when, by_year[self.line])
            outside *= elsewhere
        return cells, outside

    def _word(self, name: str, text: str, reader: int) -> Floats:
        of, (word, _, doubt) = self.vocabulary[name], text.partition(" ~")
        p = of.p[reader, :, self.word[name][word]]
        if name in ("decoration", "glaze", "form", "trim"):
            share = self.world.p.doubtful
            return share * (0.7 * p + 0.3 / len(of.words)) if doubt else (1.0 - share) * p
        return p

    def _size(self, read: Mapping[str, str], reader: int) -> tuple[Floats, float]:
        p, outside = np.ones(len(self.across)), 1.0
        if "across" in read:
            mm = _millimetres(read["across"])
            rough = 1.0 / 12.0 if read["across"].endswith("mm") else (25.4 / 8) ** 2 / 12.0
            sd = np.sqrt((self.world.p.size_spread * self.across) ** 2 + self.world.p.instrument_mm**2 + rough)
            p = np.exp(-0.5 * ((mm - self.across) / sd) ** 2) / (sd * np.sqrt(2 * np.pi))
            mean, spread = SIZE_SPREAD_OUTSIDE
            outside = float(np.exp(-0.5 * ((np.log(mm) - mean) / spread) ** 2) / (mm * spread * np.sqrt(2 * np.pi)))
        if "trade_size" in read:
            of = self._word("trade_size", read["trade_size"], reader)
            p, outside = p * of[:-1], outside * float(of[-1])
        return np.bincount(self.size_form, p, len(self.sizes_of)) / self.sizes_of, outside

    def _colour(self, text: str) -> tuple[Floats, float]:
        found = _LAB.match(text)
        assert found is not None
        read = np.array([float(v) for v in found.groups()])
        effects = np.array([g["effect"] not in ("plain", "matt") for g in self.world.things.glazes])
        sd = np.sqrt((self.world.p.colour_noise * np.where(effects, EFFECT_NOISE, 1.0)) ** 2 + 1.0 / 12.0)
        away = ((read - self.world.things.lab) ** 2).sum(axis=1)
        return np.exp(-0.5 * away / sd**2) / (sd * np.sqrt(2 * np.pi)) ** 3, 1.0 / (80.0 * 80.0 * 90.0)

    def _number(self, name: str, text: str) -> tuple[Floats, float]:
        key = ("number", text)
        if key not in self.cache:
            codes = tuple(code for _, code, _, _ in self.world.codes)
            p = confused(text, codes, self.world.p.lettering_noise, 0.5 * self.world.p.unreadable)
            self.cache[key] = np.append(p, float(text == "none"))
        p = self.cache[key]
        figure = int(text) if text.isdecimal() else 0
        outside = 1.0 / 999 if 0 < figure < 1000 else 0.0
        if name == "numeral":
            other = 1.0 / 99 if 0 < figure < 100 else 0.0
            return (1.0 - OTHER_FIGURE) * p + OTHER_FIGURE * other, outside
        return p, outside

    def _feature(self, text: str) -> Floats:
        look_at, _, seen = text.partition(": ")
        place = [row["look_at"] for row in words("features")].index(look_at)
        things, second = self.world.things, seen == words("features")[place]["second"]
        same = np.array([seen_second(things, form, place) == second for form in range(len(things.forms))])
        return np.where(same, 1.0 - FEATURE_MISREAD, FEATURE_MISREAD)

    def _years(self, read: Mapping[str, str]) -> tuple[Floats | None, float]:
        """p(marks, code | line, year of decorating), shape (lines, years); and outside."""
        if not {"mark", "mark.2", "date_code"} & set(read):
            return None, 1.0
        printed, clay = self._side(read, ""), self._side(read, ".2")
        outside = np.ones(self.world.p.outside_makers)
        for side, bare in ((printed, 0.3), (clay, 0.6)):
            if side is not None:
                outside *= bare * side[-1] + (1.0 - bare) * self._of_makers(side[:-1], side is clay)
        code = self._code(read["date_code"]) if "date_code" in read else None
        top = np.ones(len(self.letters) + 1) if printed is None else printed
        if code is None:
            found = np.einsum("m,lmy->ly", top, self.world.marks.printed)
        else:
            found = np.einsum("my,lmy->ly", top[:, None] * code, self.world.marks.printed)
            uncoded = NOT_CODED if read["date_code"] == "none" else _figure(read["date_code"])
            seen = 1.0 if printed is not None else 0.7
            outside = outside * (1.0 - NOT_CODED if read["date_code"] != "none" else 1.0) * uncoded * seen
        if clay is not None:
            found = found * (np.einsum("m,lmy->ly", clay, self.world.marks.in_clay) @ self.lag.T)
        return found, float(outside.mean())

    def _of_makers(self, p: Floats, in_clay: bool) -> Floats:
        found = np.zeros(self.world.p.outside_makers)
        for m, mark in enumerate(self.world.marks.marks):
            if mark.maker > 0 and mark.in_clay == in_clay:
                found[mark.maker - 1] = p[m]
        return found

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

    def _code(self, text: str) -> Floats:
        """p(code read | mark, year), none of the marks last (which is not looked at for a code)."""
        key = ("code", text)
        if key not in self.cache:
            found = np.zeros((len(self.letters) + 1, len(YEARS)))
            by_scheme = {name: self._scheme(name, codes, text) for name, codes in self.world.marks.codes.items()}
            uncoded = NOT_CODED if text == "none" else (1.0 - NOT_CODED) * _figure(text)
            for m, mark in enumerate(self.world.marks.marks):
                found[m] = by_scheme[mark.scheme] if mark.scheme else uncoded
            self.cache[key] = found
        return self.cache[key]

    def _scheme(self, name: str, codes: tuple[str, ...], text: str) -> Floats:
        if text == "none":
            return np.full(len(YEARS), WORN)
        swap = self.world.p.lettering_noise
        if name != "month year":
            return (1.0 - WORN) * confused(text, codes, swap, 0.0)
        months = [confused(text, tuple(f"{m} {c}" for c in codes), swap, 0.0) for m in range(1, MONTHS + 1)]
        return np.asarray((1.0 - WORN) * np.mean(months, axis=0))


def _figure(text: str) -> float:
    return 1.0 / 99 if text.isdecimal() and 0 < int(text) < 100 else 0.0


def _millimetres(text: str) -> float:
    number, unit = text.rsplit(" ", 1)
    if unit == "mm":
        return float(number)
    whole, _, part = number.partition(" ")
    over, _, under = part.partition("/")
    return 25.4 * (float(whole) + (float(over) / float(under) if part else 0.0))
