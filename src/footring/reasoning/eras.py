"""When each cell was made, before anything is read: the most specific window, reweighted by dated pieces.

A window is sure inside, slopes over an uncertain edge and leaves a little beyond for old stock and re-issues.
Nested windows repeat each other, so only the most specific one counts; hard edges (a form or a decoration cannot be
older than its design) are intersected. Where nothing is left of a window, the window stands and the clash is told.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.marks.evidence import Window, envelope
from footring.reasoning.parameters import Parameters
from footring.reasoning.prior import YearPrior
from footring.reference import Reference
from footring.terms.dates import parse_edtf

Floats = NDArray[np.float64]
Index = NDArray[np.int32]

BEYOND = 0.02
"""Height of a window just outside its edges, before it falls away (common practice, no source)."""
BEYOND_YEARS = 8.0
"""Years over which what lies beyond falls to a third (common practice, no source)."""
NOTHING_LEFT = 1e-6
"""Share of a window below which designs leave nothing of it, and the window stands."""
STRENGTH = 4.0
"""Dated pieces that the years of a line count for in those of a form or decoration of it."""


def window_height(edtf: str, years: NDArray[np.int64]) -> Floats:
    """Height at each year of a window as EDTF gives it, 0 to 1; not normalised.

    Examples
    --------
    >>> window_height("1927/1935", np.array([1900, 1926, 1927, 1935])).round(3)
    array([0.001, 0.018, 1.   , 1.   ])
    """
    spans = parse_edtf(edtf).year_spans
    inside = envelope([Window(*span) for span in spans], years)
    away = np.full(len(years), np.inf)
    for span in spans:
        before = np.maximum(span.first - years, 0) if span.first is not None else np.zeros(len(years))
        after = np.maximum(years - span.last, 0) if span.last is not None else np.zeros(len(years))
        away = np.minimum(away, before + after)
    return np.asarray(np.maximum(inside, BEYOND * np.exp(-away / BEYOND_YEARS)))


def not_before(edtf: str, years: NDArray[np.int64]) -> Floats:
    """Chance at each year that what was designed then could be made already: a hard edge, soft where EDTF is."""
    spans = parse_edtf(edtf).year_spans
    firsts = [span._replace(last=None, soft_after=0) for span in spans if span.first is not None]
    return envelope([Window(*span) for span in firsts], years) if firsts else np.ones(len(years))


def grid(reference: Reference) -> NDArray[np.int64]:
    """Annual grid: 1780-2010, widened by any window of the reference."""
    first, last = 1780, 2010
    for table, column in (("productions", "made"), ("mark_uses", "used"), ("forms", "designed"), ("makers", "active")):
        for text in _distinct(reference, table, column):
            for span in parse_edtf(text).year_spans:
                first = min(first, span.first if span.first is not None else first)
                last = max(last, span.last if span.last is not None else last)
    return np.arange(first, last + 1)


def _distinct(reference: Reference, table: str, column: str) -> list[str]:
    words = reference.tables[table].text(column).vocabulary
    assert words is not None
    return sorted(str(word) for word in words)


@dataclass(slots=True)
class Eras:
    """Distinct windows, made as they are asked for; each a density over the years.

    Parameters
    ----------
    years : array of int, shape (years,)
    line_density : array, shape (lines, years)
        p(decorated | line).
    """

    years: NDArray[np.int64]
    line_density: Floats
    _rows: list[Floats] = field(default_factory=list)
    _known: dict[tuple[object, ...], int] = field(default_factory=dict)
    _heights: dict[str, Floats] = field(default_factory=dict)
    _edges: dict[str, Floats] = field(default_factory=dict)

    def window(self, line: int, made: Sequence[tuple[str, float]], profile: Floats | None, edges: Sequence[str]) -> int:
        """Index of a window: what documents say (EDTF and weight), the years of dated pieces, and designs.

        A document of a doubtful source is a mixture of what it says and what is believed without it.
        """
        key = (line, tuple(sorted(made)), None if profile is None else id(profile), tuple(sorted(set(edges))))
        if key not in self._known:
            self._known[key] = len(self._rows)
            self._rows.append(self._density(line, sorted(made), profile, sorted(set(edges))))
        return self._known[key]

    @property
    def windows(self) -> Floats:
        """Every window asked for, shape (windows, years); each sums to 1."""
        return np.array(self._rows).reshape(-1, len(self.years))

    def _density(
        self, line: int, made: Sequence[tuple[str, float]], profile: Floats | None, edges: Sequence[str]
    ) -> Floats:
        base = self.line_density[line] if profile is None else profile
        density = base
        if made:
            height = np.max([self.height(text) for text, _ in made], axis=0) * base
            trust = 1.0 - float(np.prod([1.0 - weight for _, weight in made]))
            density = trust * height / max(height.sum(), 1e-300) + (1.0 - trust) * base
        cut = density * np.prod([self.edge(text) for text in edges], axis=0) if edges else density
        density = cut if cut.sum() >= NOTHING_LEFT else density
        return np.asarray(density / density.sum())

    def height(self, edtf: str) -> Floats:
        """`window_height`, once."""
        if edtf not in self._heights:
            self._heights[edtf] = window_height(edtf, self.years)
        return self._heights[edtf]

    def edge(self, edtf: str) -> Floats:
        """`not_before`, once."""
        if edtf not in self._edges:
            self._edges[edtf] = not_before(edtf, self.years)
        return self._edges[edtf]


def compile_eras(reference: Reference, prior: YearPrior, parameters: Parameters, document: Floats) -> Eras:
    """Windows of the lines: from their own productions, else their maker's years, else the prior's.

    Parameters
    ----------
    document : array, shape (productions,)
        How far each production is trusted, 0 to 1.
    """
    years = grid(reference)
    eras = Eras(years, np.empty((0, len(years))))
    base = prior.density(years)
    of_line = _line_documents(reference, document)
    makers = reference.tables["makers"].text("active").tolist()
    maker_of = reference.tables["lines"].links["maker"]
    ids = list(reference.tables["lines"].ids)
    rows = []
    for line, name in enumerate(ids):
        made = of_line.get(line, [])
        active = makers[maker_of[line]] if maker_of[line] >= 0 else None
        height = base * (np.maximum(eras.height(active), 1e-4) if active else 1.0)
        if made:
            height = height * np.max([eras.height(text) for text, _ in made], axis=0)
        rows.append(reweighted(height / height.sum(), parameters.dated.get(name), years))
    eras.line_density = np.array(rows).reshape(-1, len(years))
    return eras


def _line_documents(reference: Reference, document: Floats) -> Mapping[int, list[tuple[str, float]]]:
    """What documents say of a line as a whole."""
    table = reference.tables["productions"]
    whole = np.all([table.links[c] < 0 for c in ("form", "body", "glaze", "decoration", "trim", "customer")], axis=0)
    made = table.text("made")
    found: dict[int, list[tuple[str, float]]] = {}
    for row in np.flatnonzero(whole & made.known & (document > 0)).tolist():
        found.setdefault(int(table.links["line"][row]), []).append((str(made.value(row)), float(document[row])))
    return found


def reweighted(density: Floats, dated: Mapping[int, float] | None, years: NDArray[np.int64]) -> Floats:
    """A density that leans on its parent and on dated pieces, given by the year each span of years begins in.

    A span reaches to the next one's beginning (`SPAN` years); pieces are spread over it and a little beyond.
    """
    if not dated:
        return density
    counts = np.zeros(len(years))
    for year, pieces in dated.items():
        counts += pieces * _bump(years - (year + (SPAN - 1) / 2))
    height = counts + STRENGTH * density
    return np.asarray(height / height.sum())


SPAN = 3
"""Years that dated pieces are counted together by."""


def _bump(away: NDArray[Any]) -> Floats:
    height = np.exp(-0.5 * (away / 2.0) ** 2)
    return np.asarray(height / max(height.sum(), 1e-300))
