"""Registration diamonds of 1842-83: corners become a date, or the set of dates they may mean."""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from footring.terms.tables import read_table

PERIODS = ("1842-1867", "1868-1883")
CORNERS = ("top", "right", "bottom", "left")

_FIGURES = re.compile(r"[0-9?]{1,2}")


@dataclass(frozen=True, slots=True)
class DiamondReading:
    """What a diamond says.

    Parameters
    ----------
    dates : tuple of str
        Days (1870-08-09), or months or years where a corner could not be read. A set: more than one when the mark
        is ambiguous; empty when no reading of the letters is a date.
    period : str or None
        "1842-1867" or "1868-1883"; None when neither or both give a date.
    parcel, material_class : str or None
        The bundle number and the class in the circle (IV is ceramics), as read.
    warning : str or None
        What the class says when it is not ceramics.
    problems : tuple of str
        What does not fit, with the likely misreading where there is one.
    status : str
        "opened" when the rule of the table behind the dates was read in its source, else "memory".
    """

    dates: tuple[str, ...]
    period: str | None
    parcel: str | None
    material_class: str | None
    warning: str | None
    problems: tuple[str, ...]
    status: str

    @property
    def years(self) -> tuple[int, ...]:
        """Years among the dates, in order."""
        return tuple(sorted({int(date[:4]) for date in self.dates}))

    @property
    def plain(self) -> bool:
        """Whether day, month and year were read, all corners fit, and the rule was read in its source."""
        days = all(len(date) == len("1870-08-09") for date in self.dates)
        return len(self.years) == 1 and days and not self.problems and self.status == "opened"


def decode_diamond(
    top: str | None, right: str | None, bottom: str | None, left: str | None, circle_class: str | None = None
) -> DiamondReading:
    """Date of a registration diamond from its four corners.

    Parameters
    ----------
    top, right, bottom, left : str or None
        Letters and figures as read; None, empty, `-` or `?` where unreadable, `1?` where one figure was not.
    circle_class : str, optional
        Roman figure in the circle.

    Notes
    -----
    The day is on top from 1868 and to the right before; a figure on top or to the right therefore tells the period.
    Where the corners do not tell, both periods are tried. A corner with a letter where that period has a figure, or
    a figure for a letter, is taken for its look-alike or left unread, and said. The date is that of the
    *registration of the design*. The sourced tables are in `registration_diamond.csv`.

    Examples
    --------
    >>> decode_diamond("9", "C", "R", "9", "IV").dates
    ('1870-08-09',)
    >>> decode_diamond("Z", "15", None, "K").dates
    ('1860-11-15', '1860-12-15')
    >>> decode_diamond("9", "C", "F", "9").problems
    ('F is no month letter of 1842-1883: perhaps E',)
    """
    corners = dict(zip(CORNERS, (_plain(c) for c in (top, right, bottom, left)), strict=True))
    tried = [_decoded(fields, period) for period, fields in _readings(corners).items()]
    fitting = [decoded for decoded in tried if decoded.dates]
    only = fitting[0] if len(fitting) == 1 else None
    material = _plain(circle_class)
    return DiamondReading(
        dates=tuple(sorted({date for decoded in fitting for date in decoded.dates})),
        period=only.period if only else None,
        parcel=only.parcel if only else None,
        material_class=material,
        warning=_warning(material),
        problems=tuple(dict.fromkeys(problem for decoded in fitting or tried for problem in decoded.problems))
        or (() if tried else ("figures and letters stand as in neither period: read the corners again",)),
        status="opened" if any(decoded.status == "opened" for decoded in fitting) else "memory",
    )


@dataclass(frozen=True, slots=True)
class _Decoded:
    period: str
    dates: tuple[str, ...]
    parcel: str | None
    problems: tuple[str, ...]
    status: str


def _plain(corner: str | None) -> str | None:
    text = (corner or "").strip().upper()
    return None if text.strip("?-") == "" else text


def _warning(material: str | None) -> str | None:
    if material in (None, "IV"):
        return None
    classes = _values("1842-1883", "class")
    names = [name for numeral, name in classes.items() if numeral.partition("(")[0] == material]
    if not names:
        return f"{material} is no class of the register: read the circle again"
    return f"class {material} is {' or '.join(names)}, not ceramics; clerks sometimes filed in the wrong class"


def _readings(corners: Mapping[str, str | None]) -> dict[str, tuple[dict[str, str | None], tuple[str, ...]]]:
    """Fields and misfits in each period that the corners may belong to: the one they fit best, or both."""
    read = {period: _fields(period, corners) for period in PERIODS}
    fewest = min(len(misfits) for _, misfits in read.values())
    return {period: both for period, both in read.items() if len(both[1]) == fewest <= 1}


def _fields(period: str, corners: Mapping[str, str | None]) -> tuple[dict[str, str | None], tuple[str, ...]]:
    fields: dict[str, str | None] = {}
    misfits: list[str] = []
    for field, corner in _layout(period).items():
        value = corners.get(corner)
        wants_figure = field in ("day", "parcel")
        if field != "class" and value and bool(_FIGURES.fullmatch(value)) != wants_figure:
            near = _values("1842-1883", "looks like " + ("figure" if wants_figure else "letter")).get(value)
            taken = f"taken for {near}" if near else "left unread"
            misfits.append(f"{corner} {value} stands where {period} has a {field}: {taken}")
            value = near
        fields[field] = value
    return fields, tuple(misfits)


@cache
def _values(period: str, field: str) -> dict[str, str]:
    rows = read_table("footring.marks", "registration_diamond.csv")
    return {row["letter"]: row["value"] for row in rows if (row["period"], row["field"]) == (period, field)}


@cache
def _layout(period: str) -> dict[str, str]:
    return {field: corner for corner, field in _values(period, "corner").items()}


def _decoded(read: tuple[dict[str, str | None], tuple[str, ...]], period: str) -> _Decoded:
    fields, misfits = read
    exceptional, status = _exceptions(period, fields)
    years, months, faults = _letters(period, fields, bool(exceptional))
    regular = list(_dates(years, months, fields["day"], fields["month"] is None))
    first, last = _values("1842-1883", "span")[""].split("/")
    dates = sorted({*regular, *exceptional})
    within = tuple(date for date in dates if first[: len(date)] <= date <= last)
    if not faults and not dates:
        faults = [f"{fields['day']} is no day of the month {fields['month']} stands for"]
    elif dates and not within:
        faults = [f"{dates[0]} is before the marks began, on {first}"]
    return _Decoded(period, within, fields["parcel"], (*misfits, *faults), "opened" if regular else status)


def _letters(period: str, fields: Mapping[str, str | None], excepted: bool) -> tuple[list[int], list[int], list[str]]:
    years, year_faults = _looked_up(period, "year", fields["year"])
    months, month_faults = _looked_up("1842-1883", "month", fields["month"])
    return years, months, [] if excepted else year_faults + month_faults


def _looked_up(period: str, field: str, letter: str | None) -> tuple[list[int], list[str]]:
    table = _values(period, field)
    if letter is None:
        return sorted(int(value) for value in table.values()), []
    if letter in table:
        return [int(table[letter])], []
    near = _values(period, f"looks like {field}").get(letter, "")
    hint = f": perhaps {' or '.join(near.split())}" if near else ""
    return [], [f"{letter} is no {field} letter of {period}{hint}"]


def _dates(years: list[int], months: list[int], day: str | None, any_month: bool) -> Iterator[str]:
    for year in years:
        if any_month:
            yield f"{year}"
            continue
        for month in months:
            days = [d for d in range(1, monthrange(year, month)[1] + 1) if _is(day, d)]
            if day is None:
                yield f"{year}-{month:02d}"
            else:
                yield from (f"{year}-{month:02d}-{d:02d}" for d in days)


def _is(read: str | None, day: int) -> bool:
    return read is None or bool(re.fullmatch(read.lstrip("0").replace("?", "[0-9]"), str(day)))


def _exceptions(period: str, fields: Mapping[str, str | None]) -> tuple[list[str], str]:
    """Dates by the exception rows: some letters stood for another month, or year, for a while."""
    dates: list[str] = []
    status = "memory"
    for row in read_table("footring.marks", "registration_diamond.csv"):
        if row["field"] != "exception" or row["period"] != period:
            continue
        of_month, of_year = row["letter"].split()
        first, last = (int(date[-2:]) for date in row["value"].split("/"))
        days = [d for d in range(first, last + 1) if _is(fields["day"], d)]
        if fields["year"] == of_year and fields["month"] in (of_month, None) and days:
            meant = row["value"][:7]
            dates += [meant] if fields["day"] is None else [f"{meant}-{d:02d}" for d in days]
            status = row["status"]
    return dates, status


_VALUE = r"([A-Z](?![A-Z])|[0-9?]{1,2}|-)"
_PLACE = r"\b(top|right|bottom|left)\b"
_PLACE_FIRST = re.compile(_PLACE + r"(?: corner)?[\s:=]{0,3}" + _VALUE + r"(?!\w)", re.IGNORECASE)
_VALUE_FIRST = re.compile(r"(?<!\w)" + _VALUE + r"\s+(?:(?:on|at|in|to)\s+)?(?:the\s+)?" + _PLACE, re.IGNORECASE)
_CLASS = re.compile(r"\bclass[\s:=]{0,3}([IVX?]{1,5})\b", re.IGNORECASE)
_SAID = re.compile(r"\bdiamond\b((?:(?!\bdiamond\b)[^\"<]){0,160})", re.IGNORECASE)
_SHORT = re.compile(r"<\s*(?:([IVX?]{1,5})[\s:]+)?" + r"(?:\s*[/,]\s*|\s+)".join([_VALUE] * 4) + r"\s*>", re.IGNORECASE)


def find_diamonds(text: str) -> list[tuple[str, DiamondReading]]:
    """Every diamond typed inside a text, with the words it was read from.

    Either in words, `diamond: top 9, right C, bottom R, left 9, class IV` (or `9 on top, C right, ...`), or short,
    `<IV 9/C/R/9>`: class, then the corners top, right, bottom, left, with `?` or `-` where unreadable. The class may
    be left out. A diamond of which no two corners are said is no reading of one.

    Examples
    --------
    >>> find_diamonds("<IV 9/C/R/9>")[0][1].dates
    ('1870-08-09',)
    >>> find_diamonds("registration diamond, class IV, 9 on top, C right, R bottom")[0][1].dates
    ('1870-08-09',)
    """
    found = []
    for match in _SHORT.finditer(text):
        material, top, right, bottom, left = match.groups()
        found.append((match[0], decode_diamond(top, right, bottom, left, material)))
    for match in _SAID.finditer(text):
        said, material = _said(match[1]), _CLASS.search(match[1])
        if len(said) >= 2:
            top, right, bottom, left = (said.get(place) for place in CORNERS)
            read = decode_diamond(top, right, bottom, left, material[1] if material else None)
            found.append((match[0].strip(" ,;/."), read))
    return found


def _said(tail: str) -> dict[str, str]:
    """Corners said, "top 9" or "9 on top": whichever way of reading the words finds more."""
    place_first = {match[1].lower(): match[2] for match in _PLACE_FIRST.finditer(tail)}
    value_first = {match[2].lower(): match[1] for match in _VALUE_FIRST.finditer(tail)}
    return value_first if len(value_first) > len(place_first) else place_first
