"""One date of the Extended Date/Time Format: no interval and no set, those are in `dates`."""

from __future__ import annotations

import re
from calendar import month_name, monthrange
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import cache
from itertools import pairwise

from footring.terms.errors import BadInput
from footring.terms.tables import read_table

YEAR_FIRST, YEAR_LAST = 1, 2999
ACCEPTED = (
    "write a date as 1938, 193X, 1938-05, 1938-05-12, 1938~ (about), 1938? (doubtful), [1936..1939] (made once in it) "
    "or 1936/1945 (lasted)"
)
_COMPONENT = r"([?~%]?)({})([?~%]?)"
_DATE = re.compile(
    _COMPONENT.format(r"[0-9X]{4}(?:S[0-9]+)?")
    + f"(?:-{_COMPONENT.format('[0-9X]{2}')}(?:-{_COMPONENT.format('[0-9X]{2}')})?)?"
)
_QUALIFIERS = {"": frozenset[str](), "?": frozenset("?"), "~": frozenset("~"), "%": frozenset("?~")}
_SIGNS = {flags: sign for sign, flags in _QUALIFIERS.items()}

Days = tuple[date, date]


@dataclass(frozen=True, slots=True)
class Moment:
    """One EDTF date: its canonical text, the days it may be, and how far its doubt reaches.

    `soft` is in whole years before the first and after the last day.
    """

    text: str
    spans: tuple[Days, ...]
    soft: tuple[int, int]
    approximate: bool
    uncertain: bool

    @property
    def first(self) -> date:
        """Earliest day."""
        return self.spans[0][0]

    @property
    def last(self) -> date:
        """Latest day."""
        return self.spans[-1][1]


def refusal(given: object, why: str, do: str = ACCEPTED) -> BadInput:
    """An error naming a date that cannot be read, why, and what to do instead."""
    return BadInput(f"date {str(given)[:60]!r}: {why}; {do}")


def parse_moment(text: str) -> Moment:
    """Read one EDTF date, levels 0 to 2, years 0001 to 2999.

    Digits not known (X) give the first and last day of each run of years that fits. A doubt (`?`), an
    approximation (`~`) or both (`%`) reach one, one and two units of the date's own precision further: a day, a
    month, a season, a year, ten years for 193X. 1950S2 is 1950 with all of 1900 to 1999 as its soft edges.

    Raises
    ------
    BadInput
        Not a date, or a day, month or year that does not exist.

    Examples
    --------
    >>> parse_moment("193X?").soft
    (10, 10)
    """
    match = _DATE.fullmatch(text)
    if match is None:
        raise refusal(text, _why_not(text))
    groups = match.groups(default="")
    values = [value for value in groups[1::3] if value]
    flags = _flags(groups, len(values))
    year, digits = _significant(values[0], text)
    if digits is not None and (len(values) > 1 or any(flags)):
        raise refusal(text, "S (significant digits) goes with a year alone", "write 1950S2")
    spans = _spans(year, values[1:], text)
    whole = frozenset[str]().union(*flags)
    soft = _soft_digits(year, digits) if digits is not None else _soft(values, flags, spans)
    return Moment(_write(values, flags), spans, soft, "~" in whole, "?" in whole)


def _why_not(text: str) -> str:
    if "T" in text and ":" in text:
        return "times of day are not kept"
    if re.match(r"Y|-", text):
        return f"years run from {YEAR_FIRST:04d} to {YEAR_LAST}"
    if re.fullmatch(r"[0-9]{1,3}|[0-9]{5,}", text):
        return "a year has four digits"
    return "this is not a date of the Extended Date/Time Format" if text else "there is nothing where a date should be"


def _flags(groups: tuple[str, ...], parts: int) -> list[frozenset[str]]:
    """Qualifiers of each part: one on the left is for its part, one on the right for it and all before it."""
    flags = [_QUALIFIERS[groups[3 * i]] for i in range(parts)]
    for i in range(parts):
        for j in range(i + 1):
            flags[j] = flags[j] | _QUALIFIERS[groups[3 * i + 2]]
    return flags


def _write(values: list[str], flags: list[frozenset[str]]) -> str:
    if len(set(flags)) == 1:
        return "-".join(values) + _SIGNS[flags[0]]
    return "-".join(_SIGNS[flag] + value for flag, value in zip(flags, values, strict=True))


def _significant(year: str, text: str) -> tuple[str, int | None]:
    year, _, digits = year.partition("S")
    if not digits:
        return year, None
    if "X" in year or not 1 <= int(digits[:3]) <= 4:
        raise refusal(text, "S takes 1 to 4 significant digits of a year that is known in full", "write 1950S2")
    return year, int(digits)


def _soft_digits(year: str, digits: int) -> tuple[int, int]:
    step = 10 ** (4 - digits)
    below = int(year) % step
    return min(below, int(year) - YEAR_FIRST), step - 1 - below


# ---- days


def _spans(year: str, rest: list[str], text: str) -> tuple[Days, ...]:
    years = [y for y in _fitting(year) if YEAR_FIRST <= y <= YEAR_LAST]
    if not years:
        raise refusal(text, f"years run from {YEAR_FIRST:04d} to {YEAR_LAST}")
    if len(rest) == 1 and rest[0] in _seasons():
        return tuple(_runs([_season_days(y, rest[0]) for y in years]))
    months = [m for m in _fitting(rest[0]) if 1 <= m <= 12] if rest else [1, 12]
    days = [d for d in _fitting(rest[1]) if 1 <= d <= 31] if len(rest) == 2 else None
    found = [span for y in years if (span := _days(y, months, days))]
    if not found:
        raise refusal(text, _no_such_day(year, rest, months), "check the day and the month")
    return tuple(_runs(found))


def _fitting(pattern: str) -> list[int]:
    """All numbers a pattern with X for unknown digits stands for, in order."""
    numbers = [0]
    for character in pattern:
        digits = range(10) if character == "X" else (int(character),)
        numbers = [10 * number + digit for number in numbers for digit in digits]
    return numbers


def _days(year: int, months: list[int], days: list[int] | None) -> Days | None:
    """First and last day of a year among the months and days given (None: any day); None when there is none."""
    first = _meeting(year, months, days or [1])
    last = _meeting(year, months[::-1], days[::-1] if days else [31, 30, 29, 28])
    return (first, last) if first and last else None


def _meeting(year: int, months: list[int], days: list[int]) -> date | None:
    return next((date(year, m, d) for m in months for d in days if d <= monthrange(year, m)[1]), None)


@cache
def _seasons() -> dict[str, tuple[int, int]]:
    """First month and length in months of each season code."""
    rows = read_table("footring.terms", "seasons.csv")
    return {row["code"]: (int(row["first_month"]), int(row["months"])) for row in rows}


def _season_days(year: int, code: str) -> Days:
    """Days of a season; one that begins in December ends in the next year."""
    first, months = _seasons()[code]
    years_on, month = divmod(first + months - 2, 12)
    last_year = min(year + years_on, YEAR_LAST + 1)
    return date(year, first, 1), date(last_year, month + 1, monthrange(last_year, month + 1)[1])


def _no_such_day(year: str, rest: list[str], months: list[int]) -> str:
    if not months:
        return f"there is no month {rest[0]}"
    return f"{' or '.join(month_name[m] for m in months[:3])} {year} has no day {rest[1]}"


def _runs(found: list[Days]) -> Iterator[Days]:
    """Join spans of years that follow one another without a missing year."""
    start = found[0][0]
    for (_, last), (first, _) in pairwise(found):
        if first.year > last.year + 1:
            yield start, last
            start = first
    yield start, found[-1][1]


# ---- soft edges


@cache
def _units(sign: str) -> int:
    return {row["qualifier"]: int(row["soft_units"]) for row in read_table("footring.terms", "qualifiers.csv")}[sign]


def _soft(values: list[str], flags: list[frozenset[str]], spans: tuple[Days, ...]) -> tuple[int, int]:
    qualified = [i for i, flag in enumerate(flags) if flag]
    if not qualified:
        return 0, 0
    coarsest = len(values) - 1 if len(qualified) == len(values) else qualified[0]
    count = _units(_SIGNS[frozenset[str]().union(*flags)])
    first, last = spans[0][0], spans[-1][1]
    if coarsest == 2:
        before, after = _year_of(first, -count), _year_of(last, count)
    else:
        months = count * _unit_months(values[coarsest], coarsest)
        before = (12 * first.year + first.month - 1 - months) // 12
        after = (12 * last.year + last.month - 1 + months) // 12
    return first.year - max(before, YEAR_FIRST), max(min(after, YEAR_LAST), last.year) - last.year


def _year_of(day: date, days_on: int) -> int:
    return date.fromordinal(max(day.toordinal() + days_on, 1)).year


def _unit_months(value: str, component: int) -> int:
    """Precision of a year or of a month or season, in months."""
    if component == 1:
        return _seasons().get(value, (0, 1))[1]
    unknown = len(value) - len(value.rstrip("X"))
    return int(12 * 10**unknown)
