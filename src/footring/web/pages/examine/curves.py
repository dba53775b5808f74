"""The years of a piece as curves: form designed, potted, decorated."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from footring.reasoning.date_finding import DateAnswer
from footring.reasoning.label_parts import years_phrase

LEFT, RIGHT, HIGH, LOW = 108, 412, 34, 44
"""Where the curves begin and end, how high they are, and how far one lies under another."""
_ROWS = (("form_designed", "form designed"), ("potted", "potted"), ("decorated", "decorated"))
_STEPS = (1, 2, 5, 10, 20, 25, 50, 100)


@dataclass(frozen=True)
class Curve:
    """One date. `likely`: ends of the stretch that holds an even chance."""

    name: str
    y: int
    path: str
    likely: tuple[tuple[float, float], ...]
    told: str


@dataclass(frozen=True)
class Curves:
    """All that is drawn, and the same in words."""

    rows: tuple[Curve, ...]
    ticks: tuple[tuple[float, int], ...]
    axis: int
    told: str


def curves(dates: Mapping[str, DateAnswer]) -> Curves:
    """The three dates on one axis."""
    spans = [span for name, _ in _ROWS for span in dates[name].intervals[90]]
    first, last = min(s for s, _ in spans), max(e for _, e in spans)
    margin = max(3, (last - first) // 12)
    first, last = first - margin, last + margin
    scale = (RIGHT - LEFT) / (last - first)
    rows = tuple(_curve(name, dates[key], k, first, last, scale) for k, (key, name) in enumerate(_ROWS))
    step = next((s for s in _STEPS if (last - first) / s <= 6), 100)
    ticks = tuple((_x(year, first, scale), year) for year in range(-(-first // step) * step, last + 1, step))
    return Curves(rows, ticks, 16 + LOW * len(rows), "; ".join(row.told for row in rows))


def _curve(name: str, answer: DateAnswer, k: int, first: int, last: int, scale: float) -> Curve:
    base = 8 + LOW * (k + 1) - 6
    chosen = (answer.years >= first) & (answer.years <= last)
    years, density = answer.years[chosen], answer.density[chosen]
    top = max(float(density.max(initial=0.0)), 1e-12)
    points = [
        f"{x:.1f} {base - HIGH * p / top:.1f}"
        for year, p in zip(years.tolist(), density.tolist(), strict=True)
        for x in (_x(year - 0.5, first, scale), _x(year + 0.5, first, scale))
    ]
    likely = tuple((_x(a - 0.4, first, scale), _x(b + 0.4, first, scale)) for a, b in answer.intervals[50])
    path = f"M{_x(years[0] - 0.5, first, scale):.1f} {base} L" + " L".join(points)
    path += f" L{_x(years[-1] + 0.5, first, scale):.1f} {base} Z"
    return Curve(name, base, path, likely, f"{name} {years_phrase(answer.intervals[90])}, nine chances in ten")


def _x(year: float, first: int, scale: float) -> float:
    return float(np.clip(round(LEFT + (year - first) * scale, 1), LEFT, RIGHT))
