"""Numbers issued in order: the year of a registration or patent number, from tables of first numbers."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

from footring.terms.errors import BadInput, UnknownName
from footring.terms.tables import read_table

SERIES = {
    "rd": "rd_numbers.csv",
    "us_patent": "us_patents.csv",
    "us_design": "us_design_patents.csv",
    "us_trademark": "us_trademarks.csv",
    "uk_patent": "uk_patents.csv",
}
"""Each series and its table: British registered designs from 1884, patents, design patents and trade-marks of the
United States, British patents from 1916."""

Span = tuple[int, int | None]

_NUMBER = re.compile(r"(?P<figures>[0-9?]{1,10})(?P<lost>\.\.\.)?")


@dataclass(frozen=True, slots=True)
class NumberedYears:
    """Years in which a number may have been issued.

    Parameters
    ----------
    spans : tuple of (first, last)
        Years, both included, in order; more than one where a figure was unreadable. The last is None for a number
        beyond the end of the table: that year or any later. Empty for a number from before the series began.
    status : str
        "opened" when every table row it rests on was read in its source, else "memory".
    source : str
        The source of the first of these rows.
    says : str
        The years in words, or why there are none.
    """

    spans: tuple[Span, ...]
    status: str
    source: str
    says: str


@dataclass(frozen=True, slots=True)
class _Step:
    """Numbers from `first_number` up to below `end` were issued in these years."""

    first_number: int
    end: float
    first: int
    last: int | None
    status: str
    source: str


def year_of_number(series: str, number: str) -> NumberedYears:
    """Years in which a number of a series may have been issued.

    Parameters
    ----------
    series : str
        One of `SERIES`.
    number : str
        Figures as read. `?` is one unreadable figure; `...` at the end, figures lost. Commas, spaces and leading
        noughts are ignored.

    Returns
    -------
    NumberedYears

    Raises
    ------
    UnknownName
        If there is no such series.
    BadInput
        If the number has anything but figures, `?` and a closing `...`.

    Notes
    -----
    Where a year's first number is from memory, the years reach one further: back for numbers from it on, forward
    for numbers below it. ("derived" reaches back only: it may be too low, not too high.) The few known points of
    the trade-mark numbers are joined by straight lines, with the error in years that the table states.

    Examples
    --------
    >>> year_of_number("rd", "314901").spans
    ((1898, 1898),)
    >>> year_of_number("rd", "31?901").spans
    ((1897, 1898),)
    """
    if series not in SERIES:
        raise UnknownName(f"no numbered series is called {series!r}: there are {', '.join(SERIES)}")
    read = _NUMBER.fullmatch(re.sub(r"[ ,]|(?<!\.)\.(?!\.)", "", number))
    if not read:
        raise BadInput(f"{number!r} is no number: expected up to ten figures, ? where unreadable, ... where lost")
    steps = _steps(series)
    found = [step for step in steps if any(_any_within(p, step) for p in _patterns(read, steps))]
    if not found:
        says = f"before the numbers of the table began, with {steps[0].first_number:,}"
        return NumberedYears((), steps[0].status, steps[0].source, says)
    spans = _joined(found)
    status = "opened" if all(step.status == "opened" for step in found) else "memory"
    return NumberedYears(spans, status, found[0].source, " or ".join(map(_told, spans)))


def _patterns(read: re.Match[str], steps: tuple[_Step, ...]) -> list[str]:
    figures = read["figures"].lstrip("0")
    longest = len(str(steps[-1].first_number))
    lost = range(max(longest - len(figures), 0) + 1) if read["lost"] else range(1)
    return [figures + "?" * more for more in lost]


def _any_within(pattern: str, step: _Step) -> bool:
    least = _least(pattern, step.first_number)
    return least is not None and least < step.end


def _least(pattern: str, low: int) -> int | None:
    """Smallest number of that pattern that is not below `low`; None when there is none."""
    text = str(low)
    if len(text) != len(pattern):
        return _filled("", pattern) if len(text) < len(pattern) else None
    if all(p in ("?", t) for p, t in zip(pattern, text, strict=True)):
        return low
    for at in reversed(range(len(text))):
        above = int(text[at]) + 1 if pattern[at] == "?" else int(pattern[at])
        kept = all(p in ("?", t) for p, t in zip(pattern[:at], text[:at], strict=True))
        if kept and int(text[at]) < above <= 9:
            return _filled(f"{text[:at]}{above}", pattern[at + 1 :])
    return None


def _filled(start: str, pattern: str) -> int | None:
    first = pattern[:1] if start else pattern[:1].replace("?", "1")
    digits = start + (first + pattern[1:]).replace("?", "0")
    return int(digits) if digits else None


@cache
def _steps(series: str) -> tuple[_Step, ...]:
    rows = read_table("footring.marks", SERIES[series])
    return tuple(_between_points(rows) if "date" in rows[0] else _from_first_numbers(rows))


def _from_first_numbers(rows: tuple[dict[str, str], ...]) -> Iterator[_Step]:
    for row, following in pairwise(rows):
        year, low, end = int(row["year"]), int(row["first_number"]), int(following["first_number"])
        first, last = year - int(row["status"] != "opened"), year + int(following["status"] == "memory")
        yield _Step(low, end, first, last, "opened" if first == last else "memory", row["source"])
    yield from _at_the_end(rows)


def _at_the_end(rows: tuple[dict[str, str], ...]) -> Iterator[_Step]:
    """The last year of a table, half as long again in numbers as the year before, and everything beyond it."""
    numbers = [int(row["first_number"]) for row in rows]
    year, low, source = int(rows[-1]["year"]), numbers[-1], rows[-1]["source"]
    first = year - int(rows[-1]["status"] != "opened")
    end = low + 3 * (low - numbers[-2]) // 2 if len(rows) > 1 else low
    if end > low:
        yield _Step(low, end, first, year + 1, "memory", source)
    yield _Step(end, float("inf"), first, None, "memory", source)


def _between_points(rows: tuple[dict[str, str], ...]) -> Iterator[_Step]:
    """One step a year on the straight line between two known points, each with the error the table states."""
    for row, following in pairwise(rows):
        start, stop = int(row["date"][:4]), int(following["date"][:4])
        low, end = int(row["number"]), int(following["number"])
        years = range(start, stop + 1)
        cuts = [low + (end - low) * passed // len(years) for passed in range(len(years) + 1)]
        sure = start - int(row["point_years"]), stop + int(following["point_years"])
        for year, (begin, until) in zip(years, pairwise(cuts), strict=True):
            if begin < until:
                error = int(row["line_years"])
                first, last = max(year - error, sure[0]), min(year + error, sure[1])
                yield _Step(begin, until, first, last, row["status"], row["source"])
    last_row = rows[-1]
    first = int(last_row["date"][:4]) - int(last_row["point_years"])
    yield _Step(int(last_row["number"]), float("inf"), first, None, last_row["status"], last_row["source"])


def _joined(steps: list[_Step]) -> tuple[Span, ...]:
    joined: list[Span] = []
    for step in sorted(steps, key=lambda step: step.first):
        last = joined[-1][1] if joined else None
        if joined and (last is None or step.first <= last + 1):
            later = None if last is None or step.last is None else max(last, step.last)
            joined[-1] = (joined[-1][0], later)
        else:
            joined.append((step.first, step.last))
    return tuple(joined)


def _told(span: Span) -> str:
    first, last = span
    if last is None:
        return f"{first} or later, beyond the end of the table"
    return str(first) if first == last else f"{first}-{last}"
