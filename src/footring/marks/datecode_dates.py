"""Spans of months: what a date code narrows a piece to.

A month is counted from the year 0 (`year * 12 + month - 1`), so a year is twelve of them and a quarter three.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

Span = tuple[int, int]
"""First and last month, both included."""

_POINT = re.compile(r"(\d{4})(?:-(\d{2}))?[~?%]?")
_NAMES = "January February March April May June July August September October November December".split()


def year_span(first: int, last: int | None = None) -> Span:
    """The months of a year, or of several."""
    return first * 12, (first if last is None else last) * 12 + 11


def point(text: str) -> Span | None:
    """Months of a year or a month in EDTF (`1960`, `1960-02`); None for anything else."""
    found = _POINT.fullmatch(text.strip())
    if not found:
        return None
    year, month = int(found[1]), found[2]
    if month is None:
        return year_span(year)
    return (year * 12 + int(month) - 1,) * 2 if 1 <= int(month) <= 12 else None


def between(first: str, last: str) -> Span | None:
    """From the start of one point to the end of another; an empty `last` repeats the first."""
    start, end = point(first), point(last or first)
    if start is None or end is None or start[0] > end[1]:
        return None
    return start[0], end[1]


def merged(spans: Iterable[Span]) -> tuple[Span, ...]:
    """The same months in as few spans as will do, in order."""
    out: list[Span] = []
    for first, last in sorted(spans):
        if out and first <= out[-1][1] + 1:
            out[-1] = out[-1][0], max(out[-1][1], last)
        else:
            out.append((first, last))
    return tuple(out)


def overlap(some: Sequence[Span], others: Sequence[Span]) -> tuple[Span, ...]:
    """Months that are in both."""
    pairs = ((max(a[0], b[0]), min(a[1], b[1])) for a in some for b in others)
    return tuple(sorted({pair for pair in pairs if pair[0] <= pair[1]}))


def only_months(spans: Sequence[Span], months: Sequence[tuple[int, int]]) -> tuple[Span, ...]:
    """The part of each year of `spans` that lies in one of the runs of months (1 to 12)."""
    years = {year for first, last in spans for year in range(first // 12, last // 12 + 1)}
    parts = [(year * 12 + a - 1, year * 12 + b - 1) for year in sorted(years) for a, b in months]
    return overlap(parts, spans)


def edtf(span: Span) -> str:
    """EDTF, no longer than it need be: `1912`, `1912-06`, `[1969..1973]`, `[1962-01..1962-06]`.

    Examples
    --------
    >>> edtf((1912 * 12 + 5, 1912 * 12 + 5)), edtf(year_span(1969, 1973))
    ('1912-06', '[1969..1973]')
    """
    return _written(span, lambda month: f"{month // 12:04d}-{month % 12 + 1:02d}", "[{}..{}]")


def english(span: Span) -> str:
    """For a label: `1912`, `June 1912`, `1969-1973`, `January 1962 to June 1962`."""
    joined = "{}-{}" if whole_years(span) else "{} to {}"
    return _written(span, lambda month: f"{_NAMES[month % 12]} {month // 12}", joined)


def whole_years(span: Span) -> bool:
    """Whether a span begins with a January and ends with a December."""
    return span[0] % 12 == 0 and span[1] % 12 == 11


def _written(span: Span, month: object, joined: str) -> str:
    name = (lambda m: f"{m // 12:04d}") if whole_years(span) else month
    assert callable(name)
    first, last = name(span[0]), name(span[1])
    return first if first == last else joined.format(first, last)
