"""Dates as sure as they are: the Extended Date/Time Format (EDTF), levels 0 to 2.

A piece made once, some time within a span, is a set `[1936..1939]`; a line made throughout it is an interval
`1936/1939`. The two are never turned into each other.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Literal, NamedTuple, TypeVar

from footring.terms.moments import ACCEPTED, Days, Moment, parse_moment, refusal

LONGEST = 200
Kind = Literal["date", "interval", "one_of", "all_of"]
Bound = Literal["known", "open", "unknown"]


class Span(NamedTuple):
    """First and last day, both included; None where there is no bound."""

    first_day: date | None
    last_day: date | None


class SoftYears(NamedTuple):
    """A span in whole years, and how many years its doubt reaches beyond each end."""

    first: int | None
    last: int | None
    soft_before: int
    soft_after: int


@dataclass(frozen=True, slots=True)
class UncertainDate:
    """A date, an interval or a set of dates, as EDTF says it.

    Parameters
    ----------
    edtf : str
        The canonical text; `str()` gives it back.
    kind : {"date", "interval", "one_of", "all_of"}
        One date; lasted throughout; made once in it; each of them.
    spans : tuple of Span
        Days it may be (or lasted), in order. More than one for a set, and for a date like 19X8.
    soft : tuple of (int, int)
        For each span, the years its doubt reaches before and after: one unit of the date's precision for `?` or
        `~`, two for `%`; for 1950S2 all years that share the two digits. Unknown digits (193X) widen the span itself.
    approximate, uncertain : tuple of (bool, bool)
        Whether the first and the last end is `~` (about) and `?` (doubtful).
    start, end : {"known", "open", "unknown"}
        Open (`..`) says there is no bound; unknown (nothing before or after the slash of an interval) says that
        there is one that nobody knows. Either gives None as the day.
    sure_first_year, sure_last_year : int or None
        For an interval, the year by which it had begun and the year until which it went on even if the ends are
        vague: 1889 and 1890 for 188X/189X. Otherwise the first and the last year. They may cross.

    Notes
    -----
    Bounds are kept to the day, softness in whole years. Do not use `first_year` as a hard bound while
    `soft_before_years` is above 0.
    """

    edtf: str
    kind: Kind
    spans: tuple[Span, ...]
    soft: tuple[tuple[int, int], ...]
    approximate: tuple[bool, bool]
    uncertain: tuple[bool, bool]
    start: Bound
    end: Bound
    sure_first_year: int | None
    sure_last_year: int | None

    def __str__(self) -> str:
        return self.edtf

    @property
    def first_day(self) -> date | None:
        """Earliest day, None when open or unknown."""
        return _least([span.first_day for span in self.spans])

    @property
    def last_day(self) -> date | None:
        """Latest day, None when open or unknown."""
        return _most([span.last_day for span in self.spans])

    @property
    def first_year(self) -> int | None:
        """Year of the earliest day, None when open or unknown."""
        return self.first_day.year if self.first_day else None

    @property
    def last_year(self) -> int | None:
        """Year of the latest day, None when open or unknown."""
        return self.last_day.year if self.last_day else None

    @property
    def open_start(self) -> bool:
        """Whether it is said that there is no first bound."""
        return self.start == "open"

    @property
    def unknown_start(self) -> bool:
        """Whether there is a start that nobody knows."""
        return self.start == "unknown"

    @property
    def open_end(self) -> bool:
        """Whether it is said that there is no last bound."""
        return self.end == "open"

    @property
    def unknown_end(self) -> bool:
        """Whether there is an end that nobody knows."""
        return self.end == "unknown"

    @property
    def year_spans(self) -> tuple[SoftYears, ...]:
        """Each span in whole years with its soft edges.

        Examples
        --------
        >>> parse_edtf("[1929,1939~]").year_spans[1]
        SoftYears(first=1939, last=1939, soft_before=1, soft_after=1)
        """
        years = [(first.year if first else None, last.year if last else None) for first, last in self.spans]
        return tuple(SoftYears(*ends, *soft) for ends, soft in zip(years, self.soft, strict=True))

    @property
    def year_min(self) -> int | None:
        """First year with the doubt taken in, None when open or unknown."""
        return _least([s.first - s.soft_before if s.first is not None else None for s in self.year_spans])

    @property
    def year_max(self) -> int | None:
        """Last year with the doubt taken in, None when open or unknown."""
        return _most([s.last + s.soft_after if s.last is not None else None for s in self.year_spans])

    @property
    def soft_before_years(self) -> int:
        """Years the doubt reaches before the first year."""
        return self.first_year - self.year_min if self.first_year is not None and self.year_min is not None else 0

    @property
    def soft_after_years(self) -> int:
        """Years the doubt reaches after the last year."""
        return self.year_max - self.last_year if self.last_year is not None and self.year_max is not None else 0


T = TypeVar("T", int, date)


def _least(values: list[T | None]) -> T | None:
    known = [value for value in values if value is not None]
    return min(known) if len(known) == len(values) else None


def _most(values: list[T | None]) -> T | None:
    known = [value for value in values if value is not None]
    return max(known) if len(known) == len(values) else None


def parse_edtf(text: str) -> UncertainDate:
    """Read a date of the Extended Date/Time Format, levels 0 to 2, years 0001 to 2999.

    Parameters
    ----------
    text : str
        At most 200 characters. An empty text is not a date: leave the value out instead.

    Returns
    -------
    UncertainDate
        Frozen; equal for texts that mean the same (`[1937,1936]` and `[1936,1937]`, `?1938` and `1938?`).

    Raises
    ------
    BadInput
        Not EDTF; a day, month or year that does not exist; an end before its start; a qualifier on a whole set.

    Notes
    -----
    Times of day, years beyond four digits and negative years are refused. For typed English use `parse_when`.
    Source: Library of Congress EDTF specification; ISO 8601-2:2019.

    Examples
    --------
    >>> made = parse_edtf("[1936..1939~]")
    >>> made.kind, made.first_year, made.last_year, made.soft_after_years
    ('one_of', 1936, 1939, 1)
    """
    if not isinstance(text, str):
        raise refusal(text, "a date is given as text")
    if len(text) > LONGEST:
        raise refusal(text, f"{len(text)} characters are too long for a date", f"give at most {LONGEST}")
    return _parse(text.strip().replace("x", "X"))


@lru_cache(maxsize=8192)
def _parse(text: str) -> UncertainDate:
    if not text:
        raise refusal(text, "there is nothing to read", f"leave the date out, or {ACCEPTED}")
    if text[0] in "[{":
        return _set(text)
    if "/" in text:
        return _interval(text)
    moment = parse_moment(text)
    return _assembled("date", moment.text, [_alone(moment)])


@dataclass(frozen=True, slots=True)
class _Part:
    """A member of a set, an interval, or a date by itself."""

    text: str
    spans: tuple[Span, ...]
    soft: tuple[int, int]
    first: Moment | None
    last: Moment | None


def _alone(moment: Moment) -> _Part:
    return _Part(moment.text, tuple(Span(*days) for days in moment.spans), moment.soft, moment, moment)


def _between(first: Moment | None, last: Moment | None, text: str, given: str) -> _Part:
    if first and last and first.first > last.last:
        raise refusal(given, f"it ends ({last.text}) before it begins ({first.text})", "put the earlier date first")
    span = Span(first.first if first else None, last.last if last else None)
    return _Part(text, (span,), (first.soft[0] if first else 0, last.soft[1] if last else 0), first, last)


def _assembled(
    kind: Kind, text: str, parts: list[_Part], start: Bound = "known", end: Bound = "known"
) -> UncertainDate:
    first = min(parts, key=lambda part: part.spans[0].first_day or date.min).first
    last = max(parts, key=lambda part: part.spans[-1].last_day or date.max).last
    pairs = sorted(((span, part.soft) for part in parts for span in part.spans), key=lambda pair: _order(pair[0]))
    return UncertainDate(
        edtf=text,
        kind=kind,
        spans=tuple(span for span, _ in pairs),
        soft=tuple(soft for _, soft in pairs),
        approximate=(first is not None and first.approximate, last is not None and last.approximate),
        uncertain=(first is not None and first.uncertain, last is not None and last.uncertain),
        start=start,
        end=end,
        sure_first_year=None if first is None else (first.last if kind == "interval" else first.first).year,
        sure_last_year=None if last is None else (last.first if kind == "interval" else last.last).year,
    )


def _order(span: Span) -> Days:
    return span.first_day or date.min, span.last_day or date.max


def _interval(text: str) -> UncertainDate:
    ends = [end.strip() for end in text.split("/")]
    if len(ends) != 2:
        raise refusal(text, "an interval has one slash, between its first and its last date")
    if all(end in ("", "..") for end in ends):
        raise refusal(text, "an interval without a single date says nothing", "leave the date out")
    first, last = (None if end in ("", "..") else parse_moment(end) for end in ends)
    texts = [moment.text if moment else end for moment, end in zip((first, last), ends, strict=True)]
    part = _between(first, last, "/".join(texts), text)
    start, end = (_BOUNDS.get(end, "known") for end in ends)
    return _assembled("interval", part.text, [part], start, end)


_BOUNDS: dict[str, Bound] = {"": "unknown", "..": "open"}


def _set(text: str) -> UncertainDate:
    kind: Kind = "one_of" if text[0] == "[" else "all_of"
    close = "]" if kind == "one_of" else "}"
    if text[-1] in "?~%" and text[-2:-1] == close:
        do = f"put it on its dates, as in {text[0]}1936?..1938?{close}, or keep the doubt beside the date"
        raise refusal(text, f"a {text[-1]} cannot stand on a whole set", do)
    if text[-1] != close or len(text) < 3:
        raise refusal(text, f"a set is dates, commas and .. between {text[0]} and {close}")
    texts = [member.strip() for member in text[1:-1].split(",")]
    if not all(texts):
        raise refusal(text, "there is nothing where a date should be", "take out the comma too many")
    members = {part.text: part for part in (_member(member, text) for member in texts)}
    parts = sorted(members.values(), key=lambda part: (*_order(part.spans[0]), part.text))
    start: Bound = "open" if any(part.first is None for part in parts) else "known"
    end: Bound = "open" if any(part.last is None for part in parts) else "known"
    return _assembled(kind, text[0] + ",".join(part.text for part in parts) + close, parts, start, end)


def _member(member: str, given: str) -> _Part:
    if ".." not in member:
        return _alone(parse_moment(member))
    ends = [end.strip() for end in member.split("..")]
    if len(ends) != 2 or not any(ends):
        raise refusal(given, ".. stands between two dates, before one or after one")
    first, last = (parse_moment(end) if end else None for end in ends)
    return _between(first, last, "..".join(moment.text if moment else "" for moment in (first, last)), given)
