"""What to say before anyone eats from a piece, heats it or takes a tool to it. Never a clearance."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from footring.marks.foot import Foot
from footring.marks.word_patterns import find_words, folded, word_pattern
from footring.terms.tables import read_table

EVER = (0, 9999)


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to know.

    Parameters
    ----------
    text : str
        The caution.
    trigger : str
        Why it is shown; the words themselves where the mark says them.
    source : str
        Where the fact is from.
    first : bool
        To be shown before everything else: the piece itself says what it must not be used for.
    """

    text: str
    trigger: str
    source: str
    first: bool = False


@dataclass(frozen=True, slots=True)
class _Row:
    where: str
    pattern: re.Pattern[str] | None
    years: tuple[int, int]
    caution: Caution


@cache
def _rows() -> tuple[_Row, ...]:
    return tuple(_row(row) for row in read_table("footring.care", "cautions.csv"))


def _row(row: Mapping[str, str]) -> _Row:
    source = row["source"] if row["status"] in ("opened", row["source"]) else f"{row['source']} ({row['status']})"
    caution = Caution(row["text"], row["trigger"], source, row["first"] == "yes")
    years = (int(row["from"] or EVER[0]), int(row["to"] or EVER[1]))
    return _Row(row["where"], word_pattern(row["words"]), years, caution)


def cautions(foot: Foot, years: tuple[int, int] | None = None) -> list[Caution]:
    """Cautions for a piece, the most urgent first.

    Parameters
    ----------
    foot : Foot
        What was read. A notice in the mark against an oven, a microwave, a dishwasher or food comes first.
    years : (int, int), optional
        First and last year in which it may have been decorated. None is undated, and undated is taken for old.

    Returns
    -------
    list of Caution
        Never empty: nothing here is an assessment, and no answer of this function clears a piece for any use.

    Examples
    --------
    >>> from footring.marks.transcription import parse_mark
    >>> cautions(Foot(parse_mark("LARDER / NOT OVENPROOF")))[0].text
    'The mark says: not for the oven. That holds for this piece, whatever other pieces of its line may claim.'
    """
    told = [caution for row in _rows() if (caution := _told(row, foot, years))]
    return sorted(told, key=lambda caution: not caution.first)


def _told(row: _Row, foot: Foot, years: tuple[int, int] | None) -> Caution | None:
    if row.pattern is None:
        within = years is None or (years[0] <= row.years[1] and years[1] >= row.years[0])
        return row.caution if within else None
    read = _claimed(row, foot) if row.where in ("mark", "unclaimed") else _named(row.pattern, row.where, foot)
    if row.where == "unclaimed":
        return None if read else row.caution
    return replace(row.caution, trigger=f'{row.caution.trigger}: "{read}"') if read else None


def _claimed(row: _Row, foot: Foot) -> str | None:
    """Words of the row anywhere in the mark; for a claim, outside every notice that denies it."""
    text = " / ".join(part.text for part in foot.parts if not part.absent)
    denied = [] if row.caution.first else _denied(folded(text))
    for match in find_words(row.pattern, folded(text)) if row.pattern else ():
        if not any(start <= match.start() < stop for start, stop in denied):
            return text[match.start() : match.end()].strip(" ,./;:")
    return None


def _denied(text: str) -> list[tuple[int, int]]:
    notices = [row.pattern for row in _rows() if row.caution.first and row.where == "mark" and row.pattern]
    return [match.span() for notice in notices for match in find_words(notice, text)]


def _named(pattern: re.Pattern[str], where: str, foot: Foot) -> str | None:
    """Words of the row in the notes, and where `text` also in the form, the body and the mark."""
    marked = [foot.form, foot.body, *(part.text for part in foot.parts)] if where == "text" else []
    for text in (text for text in (*foot.notes, *marked) if text):
        match = next(find_words(pattern, folded(text)), None)
        if match:
            return text[match.start() : match.end()]
    return None
