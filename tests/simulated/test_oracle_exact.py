"""The oracle beside a plain enumeration of everything that can happen, with the chances as the docs tell them."""

from fractions import Fraction
from functools import cache
from math import erf, exp, pi, sqrt

import numpy as np
import pytest

from footring.demo.oracle import Oracle
from footring.demo.readers import vocabularies
from footring.demo.reading_off import meet, seen_second
from footring.demo.ware import draw_world
from footring.demo.words import words
from tests.simulated.tiny import TINY

SIGNS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"


def letters(read, text, swap, blank):
    if len(read) != len(text):
        return 0.0
    p = 1.0
    for true, seen in zip(text, read, strict=True):
        if true in " /":
            p *= seen == true
        elif seen == "?":
            p *= blank
        elif seen == true:
            p *= 1 - swap - blank
        else:
            p *= swap / len(set(SIGNS) - {true}) if seen in SIGNS else 0.0
    return p


def worn(read, text, p):
    """Of a label: each way in which characters may have been lost, and one put in after each that stood there."""

    @cache
    def ways(i, j):
        if i == len(text):
            return float(j == len(read))
        own = letters(read[j : j + 1], text[i], p.lettering_noise, p.unreadable)
        if text[i] in " /":
            return own * ways(i + 1, j + 1) if own else 0.0
        total = 0.0
        for stands, chance in ((1, (1 - p.letters_lost) * own), (0, p.letters_lost)):
            at = j + stands
            if chance:
                extra = p.letters_lost / 36 * (at < len(read) and read[at] in SIGNS)
                total += chance * (1 - p.letters_lost) * ways(i + 1, at)
                total += chance * extra * ways(i + 1, at + 1) if extra else 0.0
        return total

    return ways(0, 0)


def below(x, mean, sd):
    return 0.5 * (1 + erf((x - mean) / sd / sqrt(2)))


def typed(text, true, p):
    if text.endswith("mm"):
        mm, half = float(text[:-3]), 0.5
    else:
        whole, _, part = text[:-3].partition(" ")
        mm, half = 25.4 * (float(whole) + (float(Fraction(part)) if part else 0)), 25.4 / 16
    sd = sqrt((p.size_spread * true) ** 2 + p.instrument_mm**2)
    return below(mm + half, true, sd) - below(mm - half, true, sd)


class Plain:
    def __init__(self, world, vocabulary, read, reader):
        self.world, self.vocabulary, self.read, self.reader, self.p = world, vocabulary, read, reader, world.p

    def word(self, name, value):
        if name not in self.read or self.read[name].startswith("Lab("):
            return 1.0
        of, (word, _, doubt) = self.vocabulary[name], self.read[name].partition(" ~")
        p = of.p[self.reader, value, of.words.index(word)]
        if name not in ("decoration", "glaze", "form", "trim"):
            return p
        return self.p.doubtful * (0.7 * p + 0.3 / len(of.words)) if doubt else (1 - self.p.doubtful) * p

    def colour(self, glaze):
        if not self.read.get("glaze", "").startswith("Lab("):
            return 1.0
        row, p = self.world.things.glazes[glaze], 1.0
        sd = self.p.colour_noise * (1 if row["effect"] in ("plain", "matt") else 8)
        for at, name in zip(self.read["glaze"][4:-1].split(","), ("lightness", "a", "b"), strict=True):
            low = 0.0 if name == "lightness" and at == "1" else below(int(at) - 0.5, float(row[name]), sd)
            high = 1.0 if name == "lightness" and at == "99" else below(int(at) + 0.5, float(row[name]), sd)
            p *= high - low
        return p

    def code_written(self, number):
        text = "none" if number is None else self.world.codes[number][1]
        for name, other in (("number", 0.0), ("numeral", 0.4)):
            if name in self.read:
                read = self.read[name]
                small = read.isdecimal() and 0 < int(read) < 100 and read == str(int(read))
                same = (
                    float(read == "none")
                    if number is None
                    else letters(read, text, self.p.lettering_noise, self.p.unreadable / 2)
                )
                return (1 - other) * same + other * small / 99
        return 1.0

    def numbers(self, treatment):
        own = int(self.world.number_of[treatment])
        if own < 0:
            return self.code_written(None)
        line, _, _, decoration = self.world.codes[own]
        sisters = [i for i, c in enumerate(self.world.codes) if c[3] == decoration and c[0] != line]
        strange = self.p.sister_numbers if sisters else 0.0
        p = (1 - self.p.numbered) * self.code_written(None) + self.p.numbered * (1 - strange) * self.code_written(own)
        return p + sum(self.p.numbered * strange / len(sisters) * self.code_written(i) for i in sisters)

    def mark(self, index, mark):
        read = self.read.get(f"mark{index}")
        if read is None:
            return 1.0
        if mark is None or read == "none":
            return float(mark is None and read == "none")
        colour = self.read.get(f"mark_colour{index}", mark.colour)
        fits = mark.technique == self.read[f"mark_kind{index}"] and colour == mark.colour
        return letters(read, mark.lettering, self.p.lettering_noise, self.p.unreadable) * fits

    def code(self, mark, year):
        read = self.read.get("date_code")
        if read is None or mark is None:
            return float(read is None)
        if not mark.scheme:
            return 0.97 if read == "none" else 0.03 / 99 * (read.isdecimal() and 0 < int(read) < 100)
        if read == "none":
            return 0.1
        text = self.world.marks.codes[mark.scheme][year]
        texts = [f"{m} {text}" for m in range(1, 13)] if mark.scheme == "month year" else [text]
        return 0.9 * sum(letters(read, t, self.p.lettering_noise, 0) for t in texts) / len(texts)

    def label(self, year):
        if "label" not in self.read:
            return 1.0
        share = self.world.labels.share[:, year]
        p = share[-1] * (self.read["label"] == "none")
        for text, s in zip(self.world.labels.lettering, share, strict=False):
            p += s * worn(self.read["label"], text, self.p)
        return p

    def years(self, cell, line):
        marks, total = [*self.world.marks.marks, None], 0.0
        form = int(self.world.cells[cell, 0])
        of = self.world.things.forms[form]
        since, sizes = of.designed - 1904, [self.sizes(form, 1.0), self.sizes(form, of.change)]
        orders = {(c, y - 1904): k + 1 for c, y, k in self.world.batches}
        for year in np.flatnonzero(self.world.when[cell]).tolist():
            here = self.label(year) * self.word("customer", orders.get((cell, year), 0))
            top = clay = 0.0
            for mark, share in zip(marks, self.world.marks.printed[line, :, year], strict=True):
                if share:
                    top += share * self.mark("", mark) * self.code(mark, year)
            for apart, often in enumerate(self.world.lag):
                potted = max(year - apart, since)
                often *= sizes[of.replaced > 0 and potted + 1904 >= of.replaced]
                for mark, share in zip(marks, self.world.marks.in_clay[line, :, potted], strict=True):
                    if share:
                        clay += often * share * self.mark(".2", mark)
            total += self.world.when[cell, year] * here * top * clay
        return total

    def sizes(self, form, change):
        things = self.world.things
        of = [s for s, size in enumerate(things.sizes) if size.form == form]
        p = 0.0
        for s in of:
            here = self.word("trade_size", s)
            for name, true in (("across", things.sizes[s].across), ("height", things.sizes[s].high)):
                here *= typed(self.read[name], change * true, self.p) if name in self.read else 1.0
            p += here / len(of)
        return p

    def feature(self, form):
        if "feature" not in self.read:
            return 1.0
        look_at, seen = self.read["feature"].split(": ")
        place = [row["look_at"] for row in words("features")].index(look_at)
        row = words("features")[place]
        return (
            0.95 if (row["second"] if seen_second(self.world.things, form, place) else row["first"]) == seen else 0.05
        )

    def cell(self, cell):
        form, treatment = self.world.cells[cell].tolist()
        line, body, glaze, decoration, trim = self.world.treatments[treatment].tolist()
        p = self.world.rate[cell] * (1 - self.p.outside_share) * self.years(cell, line)
        p *= self.numbers(treatment) * self.colour(glaze) * self.feature(form)
        of = {"line": line, "maker": 0, "form": form, "body": body, "glaze": glaze, "effect": glaze, "trim": trim}
        for name, value in (of | dict.fromkeys(("decoration", "technique", "placement"), decoration)).items():
            p *= self.word(name, value)
        return p

    def outside(self):
        p = self.p.outside_share
        for name in self.vocabulary:
            p *= self.word(name, -1)
        for name in self.read.keys() & {"number", "numeral"}:
            read = self.read[name]
            p *= read.isdecimal() and read[0] != "0" and 0 < int(read) < 1000 and 1 / 999
        p *= 0.5 if "feature" in self.read else 1.0
        for name, mean in (("across", 4.9), ("height", 4.4)):
            p *= self.spread(self.read[name], mean) if name in self.read else 1.0
        if self.read.get("glaze", "").startswith("Lab("):
            for at, (low, high) in zip(
                self.read["glaze"][4:-1].split(","), ((15, 95), (-40, 40), (-40, 50)), strict=True
            ):
                p *= max(min(int(at) + 0.5, high) - max(int(at) - 0.5, low), 0) / (high - low)
        return p * sum(self.elsewhere(maker) for maker in range(1, self.p.outside_makers + 1)) / self.p.outside_makers

    def spread(self, text, mean):
        steps = [mean - 3 + 0.0005 * i for i in range(12001)]
        density = [exp(-0.5 * ((x - mean) / 0.5) ** 2) / (0.5 * sqrt(2 * pi)) for x in steps]
        return 0.0005 * sum(d * typed(text, exp(x), self.p) for x, d in zip(steps, density, strict=True))

    def elsewhere(self, maker):
        own = {mark.in_clay: mark for mark in self.world.marks.marks if mark.maker == maker}
        top = 0.3 * self.mark("", None) * self.code(None, 0) + 0.7 * self.mark("", own[False]) * self.code(
            own[False], 0
        )
        clay = 0.6 * self.mark(".2", None) + 0.4 * self.mark(".2", own[True])
        if "label" not in self.read:
            return top * clay
        text = self.world.labels.lettering[len(self.world.labels.own) + maker - 1]
        seen = worn(self.read["label"], text, self.p)
        return top * clay * (0.8 * (self.read["label"] == "none") + 0.2 * seen)


@pytest.fixture(scope="module")
def drawn():
    world = draw_world(TINY)
    vocabulary = vocabularies(TINY, world.things)
    return world, vocabulary, meet(world, vocabulary, np.random.default_rng(3), 2000)


def most_read(pieces, name):
    """Pieces with this reading, the best read first."""
    having = [i for i, read in enumerate(pieces.readings) if name in read and read[name] != "none"]
    return sorted(having, key=lambda i: -len(pieces.readings[i]))


ALL = ("line", "maker", "form", "feature", "across", "height", "trade_size", "body", "glaze", "effect", "decoration",
       "technique", "placement", "trim", "mark", "mark.2", "mark_colour", "date_code", "number", "numeral", "label",
       "customer")  # fmt: skip


@pytest.mark.parametrize("name", ALL)
def test_every_cell_and_outside_as_enumerated(drawn, name):
    world, vocabulary, pieces = drawn
    oracle = Oracle(world, vocabulary)
    for i in most_read(pieces, name)[:2]:
        read, reader = pieces.readings[i], int(pieces.reader[i])
        plain = Plain(world, vocabulary, read, reader)
        cells, outside = oracle.weigh(read, reader)
        total = cells.sum() + outside
        expected = np.array([plain.cell(c) for c in range(len(world.cells))])
        np.testing.assert_allclose(cells, expected, rtol=1e-9, atol=1e-9 * total)
        assert outside == pytest.approx(plain.outside(), rel=1e-4, abs=1e-9 * total)
