"""Years as lanes, drawn in parts of the width so that they fit any."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from footring.terms.dates import UncertainDate
from footring.web.pages.reference.when import read

MOST = 40
"""Lanes shown at once."""


@dataclass(frozen=True)
class Lane:
    """A thing and the years of it, as dates are written in the reference.

    `note` stands beside the name; `group` is the heading under which it stands.
    """

    label: str
    dates: tuple[str | None, ...]
    url: str = ""
    note: str = ""
    group: str = ""


@dataclass(frozen=True)
class Bar:
    """A stretch of a lane: where it begins and how wide it is, as percentages; `soft` where it is in doubt."""

    x: str
    width: str
    soft: bool


@dataclass(frozen=True)
class Drawn:
    """A lane to be drawn."""

    lane: Lane
    bars: Sequence[Bar]


@dataclass(frozen=True)
class Years:
    """Lanes over one scale; `ticks` are where years stand on it, and the years."""

    lanes: Sequence[Drawn]
    ticks: Sequence[tuple[str, int]]
    left_out: int


@dataclass(frozen=True)
class _Scale:
    start: int
    stop: int

    def at(self, year: int) -> float:
        """Where a year begins, in percent."""
        return 100.0 * (min(max(year, self.start), self.stop) - self.start) / (self.stop - self.start)

    def bar(self, first: int, last: int, *, soft: bool) -> Bar:
        """From the beginning of one year to the end of another."""
        return Bar(_percent(self.at(first)), _percent(self.at(last + 1) - self.at(first)), soft)

    def bars(self, date: UncertainDate) -> Iterator[Bar]:
        """All that a date may be, softly, and over it what it was for sure."""
        low = self.start if date.year_min is None else date.year_min
        high = self.stop - 1 if date.year_max is None else date.year_max
        yield self.bar(low, high, soft=True)
        if (sure := _sure(date, low, high)) is not None:
            yield self.bar(*sure, soft=False)


def years(lanes: Iterable[Lane]) -> Years | None:
    """The lanes that have years, on one scale; None where none has."""
    dated = [(lane, _dates(lane)) for lane in lanes]
    dated = [(lane, dates) for lane, dates in dated if dates]
    if not dated:
        return None
    reach = [end for _, dates in dated for date in dates for end in ends(date)]
    step = next(step for step in (10, 20, 50, 100, 1000) if max(reach) - min(reach) <= 8 * step)
    scale = _Scale(min(reach) // step * step, (max(reach) // step + 1) * step)
    drawn = [Drawn(lane, _bars(scale, dates)) for lane, dates in dated[:MOST]]
    ticks = [(_percent(scale.at(year)), year) for year in range(scale.start, scale.stop + 1, step)]
    return Years(drawn, ticks, max(0, len(dated) - MOST))


def _bars(scale: _Scale, dates: Iterable[UncertainDate]) -> list[Bar]:
    """All that is in doubt first, so that what is sure is drawn over it."""
    return sorted((bar for date in dates for bar in scale.bars(date)), key=lambda bar: not bar.soft)


def _dates(lane: Lane) -> list[UncertainDate]:
    return [date for one in lane.dates if (date := read(one)) is not None and ends(date)]


def ends(date: UncertainDate) -> list[int]:
    """First and last year with the doubt taken in, as far as they are known."""
    return [year for year in (date.year_min, date.year_max) if year is not None]


def _sure(date: UncertainDate, low: int, high: int) -> tuple[int, int] | None:
    """What of an interval or a single date is in no doubt; None where everything is."""
    if date.kind == "one_of":
        return None
    first = low if date.sure_first_year is None else date.sure_first_year + date.soft[0][0]
    last = high if date.sure_last_year is None else date.sure_last_year - date.soft[-1][1]
    return (first, last) if first <= last and (date.kind == "interval" or low == high) else None


def _percent(value: float) -> str:
    return f"{value:.2f}%"
