"""Decoration numbers as read, and figures that may be one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from footring.marks.numerals import KINDS, sort_numeral
from footring.reasoning.channels.lettering import Lettering, Noise, characters
from footring.reasoning.channels.rates import Rates
from footring.terms.tables import read_table

Floats = NDArray[np.float64]
_LONG = 6


class Codes:
    """p(what was read | each decoration number)."""

    def __init__(self, codes: Sequence[str], rates: Rates) -> None:
        self._known = Lettering(codes, Noise.of(rates, "number"), 4.0)
        self._unknown = rates.of("number", "unknown")

    def new(self, text: str) -> float:
        """p(text) of a number that is none of these."""
        return max(float(np.exp(self._known.log_new(text))), 1e-250)

    def p(self, text: str) -> Floats:
        """p(text | each number), shape (numbers,); now and then it is another number that was read."""
        return (1.0 - self._unknown) * np.exp(self._known.log_p(text)) + self._unknown * self.new(text)


@dataclass(frozen=True, slots=True)
class Figure:
    """What was said of a figure of unknown kind: how it was put there, its colour, its place, and its kind."""

    technique: str | None = None
    colour: str | None = None
    place: str | None = None
    kind: str | None = None


def chances(figure: Figure, wrong: float) -> Mapping[str, float]:
    """Chance of each kind before the figure itself is looked at; `wrong` is the chance that its kind was said wrong.

    Examples
    --------
    >>> round(chances(Figure(kind="mould"), 0.1)["mould"], 2) > 0.9
    True
    """
    before = sort_numeral("", technique=figure.technique, colour=figure.colour, place=figure.place)
    if figure.kind is None:
        return before
    return {kind: wrong * p + (1.0 - wrong) * (kind == figure.kind) for kind, p in before.items()}


def as_another_kind(text: str, kinds: Mapping[str, float], generic: float) -> float:
    """Share of all figures that are of another kind than decoration and read like this.

    Parameters
    ----------
    text : str
        As read.
    kinds : mapping of str to float
        Chance of each kind.
    generic : float
        p(text) from a character model, for figures that are not digits only.
    """
    read = characters(text)
    digits, unread, gap = sum(c.isdigit() for c in read), read.count("?"), "." in read
    if digits + unread + read.count(".") < len(read):
        return sum(p * _shapes()[kind][1] for kind, p in kinds.items() if kind != "decoration") * generic
    return sum(
        p * (_length(kind, digits + unread, gap) * 10.0**-digits + _shapes()[kind][1] * generic)
        for kind, p in kinds.items()
        if kind != "decoration"
    )


def _length(kind: str, at_least: int, gap: bool) -> float:
    """Chance that a figure of digits only has so many, or no fewer."""
    by_length, _ = _shapes()[kind]

    def exactly(n: int) -> float:
        return by_length[n - 1] if n < _LONG else by_length[_LONG - 1] * 0.5 ** (n - _LONG + 1)

    if not gap:
        return exactly(at_least) if at_least else 0.0
    return sum(exactly(n) for n in range(max(at_least, 1), 60))


@cache
def _shapes() -> dict[str, tuple[list[float], float]]:
    """For each kind: the chances of one to six digits (or more), and of anything else, summing to 1."""
    rows = [row for row in read_table("footring.marks", "numeral_kinds.csv") if row["feature"] == "shape"]
    found: dict[str, tuple[list[float], float]] = {}
    for kind in KINDS:
        heights = {row["value"]: float(row["p"]) for row in rows if row["kind"] == kind}
        total = sum(heights.values())
        digits = [heights[f"{n} digit{'s' * (n > 1)}"] / total for n in range(1, _LONG + 1)]
        found[kind] = digits, 1.0 - sum(digits)
    return found
