"""Words on a mark that date it whoever the maker: rules of law, of trade and of habit, each a row of a table."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache

from footring.marks.evidence import Evidence, Window, floor_for
from footring.marks.foot import Foot, MarkPart
from footring.marks.word_patterns import find_words, folded, word_pattern
from footring.terms.tables import read_table

MEMORY_FLOOR_LIMIT = 0.3
_MASK = "\x00"


@dataclass(frozen=True, slots=True)
class Rule:
    """One row of `tables/wording.csv` that can be used.

    Parameters
    ----------
    id, family : str
        Of one family only the lowest likelihood counts at each year.
    pattern, needs, unless : pattern or None
        What to find in one part, what the rest of the foot must show, and what it must not.
    on : str
        "lettering", "description", "any", or "absent" for what was looked for and is not there.
    speaks_of : tuple of str
        Dates it bears on; empty for the date of the part it stands in.
    window : Window
        With soft years as tolerant as the row's status asks.
    share : float
        Share of such marks that lie outside the window.
    row : mapping
        The row as it stands.
    """

    id: str
    family: str
    pattern: re.Pattern[str] | None
    needs: re.Pattern[str] | None
    unless: re.Pattern[str] | None
    on: str
    speaks_of: tuple[str, ...]
    window: Window
    share: float
    row: Mapping[str, str]

    def evidence(self, reading: str, part: int, speaks_of: tuple[str, ...]) -> Evidence:
        """What a reading of this rule says."""
        return Evidence(
            reading=reading,
            says=self.row["says"],
            speaks_of=self.speaks_of or speaks_of,
            windows=(self.window,),
            floor=floor_for(self.share, (self.window,)),
            family=self.family,
            kind="wording",
            strength=self.row["strength"],
            rule=self.id,
            source=self.row["citation"] or self.row["source"],
            status=self.row["status"],
            part=part,
        )


@cache
def rules() -> tuple[Rule, ...]:
    """Every rule that words on a mark can fire, in the order of the table."""
    return tuple(_rule(row) for row in read_table("footring.marks", "wording.csv") if not row["unused"])


def _rule(row: Mapping[str, str]) -> Rule:
    first, last = (int(row[edge]) if row[edge] else None for edge in ("from", "to"))
    before, after = (_soft(float(row[f"soft_{side}"] or 0), row) for side in ("before", "after"))
    return Rule(
        id=row["id"],
        family=row["family"],
        pattern=word_pattern(row["words"], row["regex"]),
        needs=word_pattern(row["needs"]),
        unless=word_pattern(row["unless"]),
        on=row["on"],
        speaks_of=() if row["speaks_of"] == "part" else tuple(row["speaks_of"].split("|")),
        window=Window(first, last, before, after),
        share=_share(row),
        row=row,
    )


def _from_memory(row: Mapping[str, str]) -> bool:
    return "memory" in (row["status"], row["date_status"])


def _soft(years: float, row: Mapping[str, str]) -> float:
    return max(2 * years, years + 2) if _from_memory(row) else years


def _share(row: Mapping[str, str]) -> float:
    strengths = read_table("footring.marks", "strengths.csv")
    usual = next(float(strength["floor"]) for strength in strengths if strength["strength"] == row["strength"])
    floor = float(row["floor"] or usual)
    return max(floor, min(2 * floor, MEMORY_FLOOR_LIMIT)) if _from_memory(row) else floor


@cache
def _traps() -> tuple[tuple[str, re.Pattern[str]], ...]:
    rows = read_table("footring.marks", "traps.csv")
    return tuple((row["family"], pattern) for row in rows if (pattern := word_pattern(row["words"], row["regex"])))


@lru_cache(maxsize=4096)
def _without_traps(text: str, family: str) -> str:
    """Folded text with every trap of a family blanked out, each character in its place."""
    for of_family, pattern in _traps():
        if of_family == family:
            text = pattern.sub(lambda match: _MASK * len(match[0]), text)
    return text


def evidence(foot: Foot) -> list[Evidence]:
    """What the wording of a foot says of its dates.

    Parameters
    ----------
    foot : Foot
        Only its parts are read; a country known apart from the mark is no wording and says nothing here.

    Returns
    -------
    list of Evidence
        One for each rule and date, in the order of the table; empty when nothing was read.

    Notes
    -----
    A country inside a firm's or a person's name is no country mark, and an oven that fired the piece is no claim:
    `tables/traps.csv`. Rows from memory get twice the soft years (at least two more) and twice the floor (up to 0.3).

    Examples
    --------
    >>> from footring.marks.transcription import parse_mark
    >>> [e.rule for e in evidence(Foot(parse_mark("QUILLOW & TARN / MADE IN ENGLAND")))]
    ['US-ORIGIN-1891', 'MADE-IN-CONV']
    """
    found: dict[tuple[str, tuple[str, ...]], Evidence] = {}
    for rule in rules():
        if not _fits(rule, foot):
            continue
        for part, reading in _readings(rule, foot):
            item = rule.evidence(reading, part, foot.parts[part].speaks_of)
            found.setdefault((rule.id, item.speaks_of), item)
    return list(found.values())


def _fits(rule: Rule, foot: Foot) -> bool:
    whole = _without_traps(folded(foot.lettering), rule.family)
    needed = rule.needs is None or any(find_words(rule.needs, whole))
    return needed and not (rule.unless and any(find_words(rule.unless, whole)))


def _readings(rule: Rule, foot: Foot) -> Iterator[tuple[int, str]]:
    if rule.on == "absent":
        yield from _absent(foot)
        return
    for index, part in enumerate(foot.parts):
        if part.absent or not _stands_on(rule.on, part) or rule.pattern is None:
            continue
        match = next(find_words(rule.pattern, _without_traps(folded(part.text), rule.family)), None)
        if match:
            yield index, part.text[match.start() : match.end()].strip(" ,;/")


def _stands_on(on: str, part: MarkPart) -> bool:
    return on == "any" or part.lettering == (on == "lettering")


def _absent(foot: Foot) -> Iterator[tuple[int, str]]:
    """Where a mark was looked for and not found, and nothing else on the foot is lettering."""
    if not any(part.lettering and not part.absent for part in foot.parts):
        yield from ((index, "none") for index, part in enumerate(foot.parts) if part.absent)
