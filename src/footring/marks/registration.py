"""Registered designs, patents and trade-marks on a foot: from when the design is, and so everything after it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

from footring.marks.diamond import DiamondReading, find_diamonds
from footring.marks.evidence import Evidence, Window
from footring.marks.foot import IN_CLAY, Foot, MarkPart
from footring.marks.number_words import Claim, Row, countries_in, find_numbers
from footring.marks.numbered import NumberedYears, year_of_number

FLOOR_NOT_PLAIN = 0.01
"""What a year outside keeps when a character was not plainly read, or the years rest on memory. No source."""

DRAWN_YEARS_DIAMOND = 1.0
"""Years from drawing a design to registering it, as `number_words.csv` has for the numbers. No source."""


def evidence(foot: Foot) -> list[Evidence]:
    """What registered numbers and diamonds on a foot say of its dates.

    A registration dates the *design*: it was drawn in the year it was registered or a little before. The piece may
    be decades younger; terms of protection are no latest date. A registration bears on the form where it stands in
    the clay, else on the form or the pattern, not known which. A patent may be older than the form that uses it. A
    mark that names a number was put on in its year or later. Trade-mark numbers bound the mark itself, softly.

    Parameters
    ----------
    foot : Foot

    Returns
    -------
    list of Evidence
        Hard (floor 0) where every character was read plainly and the rule's row was read in its source. One number
        given twice is one registration; two numbers are two.

    Examples
    --------
    >>> from footring.marks.foot import Foot, MarkPart
    >>> [(e.speaks_of, e.windows[0].first) for e in evidence(Foot((MarkPart("ORMSLEY / Rd No 314901 / 417"),)))]
    [(('form_designed', 'pattern_designed'), 1898), (('decorated',), 1898)]
    """
    found = [item for registration in _registrations(foot) for item in _evidence(registration)]
    return _without_repeats(found)


def remarks(foot: Foot) -> tuple[str, ...]:
    """What registrations on a foot could not say, and why: numbers of other registers, corners that fit no date.

    Examples
    --------
    >>> from footring.marks.foot import Foot, MarkPart
    >>> remarks(Foot((MarkPart("ORMSLEY / D.R.G.M. 12345"),)))
    ('D.R.G.M. 12345: a German utility model, not a British registered design',)
    """
    said = [f"{r.text}: {problem}" for r in _registrations(foot) for problem in r.problems]
    return tuple(dict.fromkeys(said))


@dataclass(frozen=True, slots=True)
class _Registration:
    """A registration read off one part: the same for numbers and diamonds."""

    text: str
    key: str
    bears_on: str
    spans: tuple[tuple[int, int | None], ...]
    drawn_years: float
    of_that_year: bool
    floor: float
    says: str
    rule: str
    source: str
    status: str
    problems: tuple[str, ...]
    part: MarkPart
    index: int | None


def _registrations(foot: Foot) -> Iterator[_Registration]:
    countries = countries_in(f"{foot.country or ''} / {foot.lettering}")
    parts = [*enumerate(foot.parts), *((None, numeral) for numeral in foot.numerals)]
    for index, part in parts:
        if not part.absent:
            for claim in find_numbers(part.text, countries):
                yield _of_number(claim, part, index)
            for text, reading in find_diamonds(part.text):
                yield _of_diamond(text, reading, part, index)


def _of_number(claim: Claim, part: MarkPart, index: int | None) -> _Registration:
    looked_up = [(row, year_of_number(row["series"], claim.number)) for row in claim.rows if row["series"]]
    dated = [(row, years) for row, years in looked_up if years.spans]
    rows = [row for row, _ in dated] or list(claim.rows)
    plain = len(claim.rows) == 1 and not part.doubtful and all(_plain(claim, years) for _, years in dated)
    floors = [float(row["floor"]) for row in rows if row["floor"]] + [0.0 if plain else FLOOR_NOT_PLAIN]
    outside = [years.says for _, years in looked_up if not years.spans]
    return _Registration(
        text=claim.text,
        key=f"{'|'.join(row['series'] for row in rows)}:{_figures(claim.number)}",
        bears_on=rows[0]["bears_on"],
        spans=tuple(span for _, years in dated for span in years.spans),
        drawn_years=max(float(row["drawn_years"] or 0) for row in rows),
        of_that_year=all(row["of_that_year"] == "yes" for row in rows),
        floor=max(floors),
        says=", or ".join(_told(row, years) for row, years in dated),
        rule=" ".join(row["id"] for row in rows),
        source="; ".join(dict.fromkeys(years.source for _, years in dated)),
        status="opened" if all(years.status == "opened" for _, years in dated) else "memory",
        problems=() if dated else tuple(outside or [row["says"] for row in claim.rows]),
        part=part,
        index=index,
    )


def _plain(claim: Claim, years: NumberedYears) -> bool:
    return years.status == "opened" and not re.search(r"\?|\.\.\.", claim.number)


def _figures(number: str) -> str:
    return re.sub(r"[^0-9?]", "", number).lstrip("0") + ("..." if number.endswith("...") else "")


def _told(row: Row, years: NumberedYears) -> str:
    about = " (by a table from memory)" if years.status != "opened" else ""
    return f"{row['says']} in {years.says}{about}"


def _of_diamond(text: str, reading: DiamondReading, part: MarkPart, index: int | None) -> _Registration:
    plain = reading.plain and not part.doubtful
    few = reading.dates if len(reading.dates) <= 3 else (f"{reading.years[0]}-{reading.years[-1]}",)
    warning = f" ({reading.warning})" if reading.warning else ""
    return _Registration(
        text=text,
        key=f"diamond:{','.join(reading.dates)}",
        bears_on="design",
        spans=tuple((year, year) for year in reading.years),
        drawn_years=DRAWN_YEARS_DIAMOND,
        of_that_year=True,
        floor=0.0 if plain else FLOOR_NOT_PLAIN,
        says=f"design registered in Britain, {' or '.join(few)}{warning}",
        rule=f"registration diamond {reading.period or ''}".rstrip(),
        source="The National Archives, leaflet on diamond marks; tables named in registration_diamond.csv",
        status=reading.status,
        problems=(*reading.problems, *([reading.warning] if reading.warning else [])),
        part=part,
        index=index,
    )


def _evidence(registration: _Registration) -> Iterator[Evidence]:
    r = registration
    if not r.spans:
        return
    designs = {"form": ("form_designed",), "mark": r.part.speaks_of}
    either = ("form_designed",) if r.part.technique in IN_CLAY else ("form_designed", "pattern_designed")
    design = Evidence(
        reading=r.text,
        says=r.says,
        speaks_of=designs.get(r.bears_on, either),
        windows=tuple(Window(a, b if r.of_that_year else None, soft_before=r.drawn_years) for a, b in r.spans),
        floor=r.floor,
        family=f"registration: {r.key}",
        kind="registration",
        strength="law",
        rule=r.rule,
        source=r.source,
        status=r.status,
        part=r.index,
    )
    yield design
    if design.hard and r.bears_on != "mark":
        since = min(first for first, _ in r.spans)
        carried = f"a mark with this number is not older than {since}"
        yield replace(design, says=carried, speaks_of=r.part.speaks_of, windows=(Window(since, None),))


def _without_repeats(found: list[Evidence]) -> list[Evidence]:
    """One evidence a family and date; the same number with figures unread adds nothing to the one read whole."""
    kept: dict[tuple[str, str], Evidence] = {}
    for item in found:
        key = item.family, item.speaks_of[0] if item.speaks_of[0] in ("potted", "decorated", "sold") else "design"
        if key not in kept or len(item.speaks_of) < len(kept[key].speaks_of):
            kept[key] = item
    whole = {item.family for item in kept.values() if not re.search(r"\?|\.\.\.", item.family)}
    return [item for item in kept.values() if item.family in whole or not _is_one_of(item.family, whole)]


def _is_one_of(unread: str, whole: set[str]) -> bool:
    pattern = re.escape(unread).replace(r"\?", "[0-9]").replace(r"\.\.\.", "[0-9]*")
    return any(re.fullmatch(pattern, family) for family in whole)
