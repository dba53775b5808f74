"""A date curve in characters."""

from __future__ import annotations

import numpy as np

from footring.reasoning.date_finding import DateAnswer
from footring.reasoning.intervals import Floats

BLOCKS = " ▁▂▃▄▅▆▇█"
PLAIN = " ......##"
ROWS = 4
LEAST_YEARS = 30


def date_curve(answer: DateAnswer, width: int = 64, *, plain: bool = False) -> list[str]:
    """The density of one date as lines of text: a curve four characters high, an axis, the years under it.

    Parameters
    ----------
    answer : DateAnswer
        The date to draw, over its 95 % set and a little beside it.
    width : int
        Columns at most.
    plain : bool
        ASCII only, for terminals that have no block characters.
    """
    first, columns, years_a_column = _frame(answer, width)
    heights = _binned(answer, first, columns, years_a_column)
    eighths = np.rint(8 * ROWS * heights / heights.max()).astype(int)
    blocks = PLAIN if plain else BLOCKS
    curve = [
        "".join(blocks[min(8, max(0, int(e) - 8 * row))] for e in eighths).rstrip() for row in reversed(range(ROWS))
    ]
    return [line for line in curve if line] + _axis(first, columns, years_a_column, plain)


def _frame(answer: DateAnswer, width: int) -> tuple[int, int, int]:
    spans = answer.intervals[95]
    span = spans[-1][1] - spans[0][0]
    margin = max(2, span // 10, (LEAST_YEARS - span) // 2)
    first = max(int(answer.years[0]), spans[0][0] - margin)
    last = min(int(answer.years[-1]), spans[-1][1] + margin)
    years_a_column = -(-(last - first + 1) // width)
    return first, -(-(last - first + 1) // years_a_column), years_a_column


def _binned(answer: DateAnswer, first: int, columns: int, years_a_column: int) -> Floats:
    start = first - int(answer.years[0])
    held = np.zeros(columns * years_a_column)
    piece = answer.density[start : start + len(held)]
    held[: len(piece)] = piece
    return np.asarray(held.reshape(columns, years_a_column).mean(axis=1))


def _axis(first: int, columns: int, years_a_column: int, plain: bool) -> list[str]:
    line, tick = ("-", "+") if plain else ("─", "┬")
    step = next(s for s in (1, 2, 5, 10, 20, 50, 100) if s / years_a_column >= 7)
    marked = {(year - first) // years_a_column: year for year in range(-(-first // step) * step, 9999, step)}
    axis = "".join(tick if column in marked else line for column in range(columns))
    under = [" "] * (columns + 4)
    for column, year in marked.items():
        if column < columns:
            under[max(0, column - 2) : max(0, column - 2) + 4] = str(year)
    return [axis, "".join(under).rstrip()]
