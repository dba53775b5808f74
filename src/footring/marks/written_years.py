"""Years written out on a piece, and figures that only look like years."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from footring.marks.evidence import Evidence, Window
from footring.marks.foot import Foot, MarkPart
from footring.marks.word_patterns import folded
from footring.terms.tables import read_table

FIRST, LAST = 1780, 2010
"""Figures outside these years are not taken for years."""

BEFORE = 60
"""Characters on either side that tell what a figure is."""

_FIGURE = re.compile(
    r"(?<![\d.,])(?P<year>1[789]\d\d|20[01]\d)(?![\d])"
    r"|(?<![\w./-])(?<!\d )(?:(?P<day>\d{1,2})(?:/|\s?[.-]\s?))?(?P<month>\d{1,2})(?P<mark>/|\s?[.-]\s?)(?P<short>\d\d)"
    r"(?!\w)(?!\s?[./-]?\d)"
    r"|(?<!\w)'(?P<apostrophe>\d\d)(?!\d)"
)


@dataclass(frozen=True, slots=True)
class WrittenYear:
    """A figure that may be a year.

    Parameters
    ----------
    text : str
        As it stands.
    years : tuple of (int, float)
        Years it may be, each with its height against the others.
    p : float
        Chance that it is a year at all.
    context : mapping
        The row of `tables/year_contexts.csv` that gave the chance.
    part : int
        Index of the mark part.
    """

    text: str
    years: tuple[tuple[int, float], ...]
    p: float
    context: Mapping[str, str]
    part: int

    @property
    def floor(self) -> float:
        """Likelihood of any other year against this one.

        A figure that is no date is taken to fall on each of `values` figures alike, so that the likelihood of the
        figure is p + (1 - p) / values where the year is the one written, (1 - p) / values elsewhere. An earliest
        year is no more than the chance that it is one: 1 - p is left before it.
        """
        if self.context["effect"] == "earliest":
            return 1 - self.p
        values = LAST - FIRST + 1 if self.context["form"] == "year" else 100
        return (1 - self.p) / (self.p * values + 1 - self.p)


@cache
def _contexts(form: str) -> tuple[tuple[Mapping[str, str], re.Pattern[str], re.Pattern[str]], ...]:
    rows = [row for row in read_table("footring.marks", "year_contexts.csv") if row["form"] == form]
    return tuple((row, re.compile(row["before"]), re.compile(row["after"])) for row in rows)


def written_years(foot: Foot) -> list[WrittenYear]:
    """Every figure of the lettering that may be a year, with the chance that it is one.

    Examples
    --------
    >>> from footring.marks.transcription import parse_mark
    >>> [(y.text, y.p) for y in written_years(Foot(parse_mark("QUILLOW & TARN / 1924")))]
    [('1924', 0.8)]
    """
    return [year for index, part in enumerate(foot.parts) for year in _in_part(index, part, foot)]


def _in_part(index: int, part: MarkPart, foot: Foot) -> Iterator[WrittenYear]:
    if not part.lettering or part.absent:
        return
    text = folded(part.text)
    lead = _lead(foot, index)
    alone = not lead.strip() and sum(c.isalpha() for c in text) < 3
    for match in _FIGURE.finditer(text):
        form, years = _read(match)
        if years:
            before = f"{lead}{text[max(0, match.start() - BEFORE) : match.start()]}"[-BEFORE:]
            after = text[match.end() : match.end() + BEFORE]
            context = _context(form, before, after, part.technique, alone)
            yield WrittenYear(part.text[match.start() : match.end()], years, float(context["p"]), context, index)


def _lead(foot: Foot, index: int) -> str:
    """The lettering just before a part that stands alone, where it was made the same way and may lead up to it."""
    here, before = foot.parts[index], foot.parts[index - 1] if index else None
    alike = before and (before.technique, before.colour, before.place) == (here.technique, here.colour, here.place)
    return f"{folded(before.text)} / " if before and alike and before.lettering and not before.absent else ""


def _read(match: re.Match[str]) -> tuple[str, tuple[tuple[int, float], ...]]:
    if match["year"]:
        year = int(match["year"])
        return "year", ((year, 1.0),) if FIRST <= year <= LAST else ()
    if match["apostrophe"]:
        return "apostrophe short year", _centuries(int(match["apostrophe"]))
    if match["day"] and 1 <= int(match["day"]) <= 31 and 1 <= int(match["month"]) <= 31:
        return "day month short year", _centuries(int(match["short"]))
    plausible = not match["day"] and "/" not in match["mark"] and 1 <= int(match["month"]) <= 12
    return "month short year", _centuries(int(match["short"])) if plausible else ()


def _centuries(short: int) -> tuple[tuple[int, float], ...]:
    centuries = [(int(row["effect"]) + short, float(row["p"])) for row, _, _ in _contexts("century")]
    return tuple((year, height) for year, height in centuries if FIRST <= year <= LAST)


def _context(form: str, before: str, after: str, technique: str | None, alone: bool) -> Mapping[str, str]:
    """The first row that fits; the last row of a form fits anything."""
    for row, leads, follows in _contexts(form):
        made = not row["technique"] or technique in row["technique"].split("|")
        if made and (alone or not row["alone"]) and leads.search(before) and follows.search(after):
            return row
    raise AssertionError(f"year_contexts.csv has no row that fits any {form}")


def evidence(foot: Foot) -> list[Evidence]:
    """What years written on a foot say of its dates.

    A year of founding or of an exhibition is an earliest year; a copyright year dates the design. Any other figure
    is a mixture: the year it names, with the chance that it is one, or no date at all.

    Returns
    -------
    list of Evidence
        One for each different year and date; empty when there is none.

    Examples
    --------
    >>> from footring.marks.transcription import parse_mark
    >>> [e.windows[0].first for e in evidence(Foot(parse_mark("QUILLOW & TARN / EST. 1904 / 1931")))]
    [1904, 1931]
    """
    found = (_evidence(year, foot.parts[year.part]) for year in written_years(foot))
    return list({(item.windows, item.speaks_of, item.floor): item for item in found}.values())


def _evidence(year: WrittenYear, part: MarkPart) -> Evidence:
    effect = year.context["effect"]
    speaks_of = {"design": ("pattern_designed",), "form": ("form_designed", "pattern_designed")}
    return Evidence(
        reading=year.text,
        says=year.context["says"],
        speaks_of=speaks_of.get(effect, part.speaks_of),
        windows=tuple(_window(of, height, effect) for of, height in year.years),
        floor=year.floor,
        family=f"year:{effect}",
        kind="year",
        strength="fact",
        rule=f"year:{year.context['id']}",
        source=year.context["status"],
        status="memory",
        part=year.part,
    )


def _window(year: int, height: float, effect: str) -> Window:
    if effect == "earliest":
        return Window(year, None, weight=height)
    return Window(year, year, soft_before=1.0 if effect in ("design", "form") else 0.0, weight=height)
