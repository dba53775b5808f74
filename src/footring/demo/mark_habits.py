"""Which marks the factory put on its ware and when, and how it coded the year in them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.demo.factory import YEARS, Things
from footring.demo.parameters import Parameters
from footring.demo.words import stream, words

Floats = NDArray[np.float64]
IN_CLAY = ("impressed", "raised", "incised")
SCHEMES = ("letters", "figures", "offset", "roman", "month year")
MONTHS = 12
LATE = 6
"""How many years after its time a left-over mark or label was still used."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A mark of the factory, or of one that is in no pack (`line` -1 and `maker` above 0)."""

    maker: int
    line: int
    lettering: str
    technique: str
    colour: str
    scheme: str
    first: int
    last: int

    @property
    def in_clay(self) -> bool:
        """Whether it is in the clay."""
        return self.technique in IN_CLAY


@dataclass(frozen=True, slots=True, eq=False)
class Marks:
    """All marks, and p(mark | line, year) for each side; the last row of a table is none.

    Parameters
    ----------
    marks : tuple of Mark
    in_clay, printed : array, shape (lines, marks + 1, years)
    codes : mapping of scheme to the text of each year, without a month
    """

    marks: tuple[Mark, ...]
    in_clay: Floats
    printed: Floats
    codes: dict[str, tuple[str, ...]]


def draw_marks(p: Parameters, things: Things) -> Marks:
    """Draw the marks of a world."""
    rng = stream(p.seed, "marks")
    maker = words("makers")[0]
    found: list[Mark] = []
    for number, line in enumerate(things.lines):
        for side in (True, False):
            found += _of_line(rng, number, line.name, line.start, line.end, maker, side)
    inside = len(found)
    for other, row in enumerate(words("makers")[1 : 1 + p.outside_makers], start=1):
        found += _of_outside(rng, other, row)
    tables = [_shares(p, rng, found, inside, things, side) for side in (True, False)]
    return Marks(tuple(found), tables[0], tables[1], {name: _codes(name) for name in SCHEMES})


def _of_line(
    rng: np.random.Generator, number: int, line: str, start: int, end: int, maker: dict[str, str], in_clay: bool
) -> list[Mark]:
    rows = [r for r in words("marks") if (r["technique"] in IN_CLAY) == in_clay and r["scope"] != "customer"]
    chosen = [rows[i] for i in rng.permutation(len(rows))[: 3 if in_clay else 5]]
    edges = np.sort(rng.integers(start, end + 1, size=len(chosen) - 1)).tolist()
    spans = zip([start, *edges], [*edges, end], strict=True)
    found = []
    for row, (first, last) in zip(chosen, spans, strict=True):
        text = row["template"].format(SHORT=maker["short"], TOWN=maker["town"].upper(), LINE=line.upper(), CUSTOMER="")
        if row["scope"] == "maker":
            text = f"{text} / {line[0].upper()}{number + 1}"
        scheme = row["scheme"] if row["scheme"] in SCHEMES else ("letters" if row["scheme"] else "")
        overlap = int(rng.integers(0, 4))
        found.append(Mark(0, number, text, row["technique"], row["colour"], scheme, first, min(end, last + overlap)))
    return found


def _of_outside(rng: np.random.Generator, maker: int, row: dict[str, str]) -> list[Mark]:
    first = int(rng.integers(1880, 1940))
    endings = ("", " / ENGLAND", " / MADE IN ENGLAND")
    return [
        Mark(maker, -1, row["short"] + endings[int(rng.integers(0, 3))], technique, colour, "", first, first + 45)
        for technique, colour in (("impressed", ""), ("printed", "black"))
    ]


def _shares(
    p: Parameters, rng: np.random.Generator, marks: list[Mark], inside: int, things: Things, in_clay: bool
) -> Floats:
    table = np.zeros((len(things.lines), len(marks) + 1, len(YEARS)))
    for number in range(len(things.lines)):
        for m, mark in enumerate(marks[:inside]):
            if mark.line == number and mark.in_clay == in_clay:
                table[number, m] = ((YEARS >= mark.first) & (YEARS <= mark.last)) * float(rng.uniform(0.5, 1.5))
        bare = float(rng.uniform(0.2, 0.5) if in_clay else rng.uniform(0.1, 0.3))
        total = table[number].sum(axis=0)
        table[number] *= np.where(total > 0, (1.0 - bare) / np.maximum(total, 1e-12), 0.0)
        table[number, -1] = np.where(total > 0, bare, 1.0)
        late = table[number][:, np.maximum(np.arange(len(YEARS)) - LATE, 0)]
        table[number] = (1.0 - p.left_over) * table[number] + p.left_over * late
    return table


def _codes(scheme: str) -> tuple[str, ...]:
    if scheme == "letters":
        return tuple(chr(ord("A") + (y - 1904) // 26) + chr(ord("A") + (y - 1904) % 26) for y in YEARS.tolist())
    if scheme == "figures":
        return tuple(f"{y % 100:02d}" for y in YEARS.tolist())
    if scheme == "offset":
        return tuple(str(y - 1887 + 100) for y in YEARS.tolist())
    if scheme == "roman":
        return tuple(_roman(y - 1900) for y in YEARS.tolist())
    return tuple(f"{y % 100:02d}" for y in YEARS.tolist())


def _roman(number: int) -> str:
    text = ""
    for value, sign in ((50, "L"), (40, "XL"), (10, "X"), (9, "IX"), (5, "V"), (4, "IV"), (1, "I")):
        while number >= value:
            text, number = text + sign, number - value
    return text
