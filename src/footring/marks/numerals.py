"""Figures on a foot, and what kind of figure each may be."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from footring.marks.foot import Foot, MarkPart
from footring.marks.word_patterns import folded, word_pattern
from footring.terms.tables import read_table

NEAR = 24
"""Characters on either side of a figure that may tell its kind."""

KINDS = ("decoration", "mould", "size", "capacity", "worker", "gilder", "date", "registration", "later pencil")
"""What a figure on a foot may be."""
_ALSO = {"pattern": "decoration", "mold": "mould", "shape": "mould", "pencil": "later pencil", "painter": "worker"}

_FIGURE = re.compile(
    r"(?<![\w.])(?:\d{1,2}\. ?\d{1,2}\. ?\d{2,4}|\d{1,3} \d/\d|[^\W\d_]{0,3}[.-]?\d\w*(?:[./-]\w+)*)(?!\w)"
)
_SHAPES = tuple(
    (name, re.compile(shape))
    for name, shape in {
        "fraction": r"(?:\d+ )?\d/\d",
        "joined": r".*\w\W.*\d.*|.*\d\W.*\w.*",
        "letter and digits": r"[^\W\d_]+\W?\d+\w*|\d+[^\W\d_]+\w*",
    }.items()
)
_YEAR = re.compile(r"1[89]\d\d|178\d|179\d|200\d|2010")
_MONTH_YEAR = re.compile(r"(?:0?[1-9]|1[0-2])[-./]\d\d|\d{1,2}\. ?\d{1,2}\. ?\d{2,4}")


@dataclass(frozen=True, slots=True)
class Numeral:
    """A figure on a foot.

    Parameters
    ----------
    text : str
        As read.
    part : int or None
        Index of the mark part it stands in; None for a figure given apart.
    kinds : mapping of str to float
        Chance of each kind; they sum to 1.
    """

    text: str
    part: int | None
    kinds: Mapping[str, float]


def kind_named(word: str) -> str | None:
    """The kind of figure a word stands for, one of `KINDS`; None for any other word.

    Examples
    --------
    >>> kind_named("pattern number"), kind_named("Mould"), kind_named("impressed")
    ('decoration', 'mould', None)
    """
    plain = " ".join(word.casefold().split()).removesuffix(" number")
    plain = _ALSO.get(plain, plain)
    return plain if plain in KINDS else None


@cache
def _table() -> dict[tuple[str, str], dict[str, float]]:
    """p(value | kind) by feature and value."""
    table: dict[tuple[str, str], dict[str, float]] = {}
    for row in read_table("footring.marks", "numeral_kinds.csv"):
        table.setdefault((row["feature"], row["value"]), {})[row["kind"]] = float(row["p"])
    return table


@cache
def _nearby(feature: str) -> tuple[tuple[str, re.Pattern[str]], ...]:
    frame = {"before": r"(?:{})[\s.:#]*$", "after": r"^[\s.]*(?:{})", "form": "{}"}[feature]
    values = [value for of, value in _table() if of == feature]
    patterns = [(value, word_pattern(value)) for value in values]
    return tuple((value, re.compile(frame.format(p.pattern))) for value, p in patterns if p)


def sort_numeral(
    text: str,
    *,
    technique: str | None = None,
    colour: str | None = None,
    place: str | None = None,
    form: str | None = None,
    before: str = "",
    after: str = "",
) -> dict[str, float]:
    """Chance that a figure is of each kind, from how and where it stands.

    Parameters
    ----------
    text : str
        The figure as read.
    technique, colour, place, form : str or None
        None, and a value the table does not hold, change nothing.
    before, after : str
        Words that stand next to it ("Dec.", "oz").

    Returns
    -------
    dict of str to float
        decoration, mould, size, capacity, worker, gilder, date, registration and later pencil; they sum to 1.

    Notes
    -----
    Naive Bayes over `tables/numeral_kinds.csv`, whose figures are common practice without a source: they rank, and
    are not measured. When *not* to use it: a figure whose kind the maker's own reference tells.

    Examples
    --------
    >>> kinds = sort_numeral("417", technique="painted", colour="gold")
    >>> max(kinds, key=kinds.get)
    'gilder'
    """
    logs = {kind: math.log(p) for kind, p in _table()["prior", ""].items()}
    for feature in _features(text.strip(), technique, colour, place, form, before, after):
        for kind, p in _table().get(feature, {}).items():
            logs[kind] += math.log(p)
    highest = max(logs.values())
    heights = {kind: math.exp(log - highest) for kind, log in logs.items()}
    total = math.fsum(heights.values())
    return {kind: height / total for kind, height in heights.items()}


def _features(
    text: str, technique: str | None, colour: str | None, place: str | None, form: str | None, before: str, after: str
) -> Iterator[tuple[str, str]]:
    yield "technique", technique or ""
    yield "colour", (colour or "").split(" ")[-1]
    yield "place", place or ""
    yield "shape", _shape(text)
    if _YEAR.fullmatch(text):
        yield "looks", "year"
    elif _MONTH_YEAR.fullmatch(text):
        yield "looks", "month and year"
    for feature, near in (("before", before[-NEAR:]), ("after", after[:NEAR]), ("form", form or "")):
        yield from ((feature, value) for value, pattern in _nearby(feature) if near and pattern.search(folded(near)))


def _shape(text: str) -> str:
    named = next((name for name, pattern in _SHAPES if pattern.fullmatch(text)), None)
    return named or (f"{min(len(text), 6)} digit{'s' * (len(text) > 1)}" if text.isdigit() else "")


def numerals(foot: Foot) -> list[Numeral]:
    """Every figure on a foot: those in the lettering, then those given apart.

    Examples
    --------
    >>> from footring.marks.transcription import parse_mark
    >>> [n.text for n in numerals(Foot(parse_mark('printed: "QUILLOW & TARN / Dec. 417"; impressed: "3"')))]
    ['417', '3']
    """
    found = [numeral for index, part in enumerate(foot.parts) for numeral in _in_part(index, part, foot)]
    apart = [part for part in foot.numerals if not part.absent]
    return found + [Numeral(part.text, None, _sorted(part.text, part, foot.form, "", "")) for part in apart]


def _in_part(index: int, part: MarkPart, foot: Foot) -> Iterator[Numeral]:
    if not part.lettering or part.absent:
        return
    for match in _FIGURE.finditer(part.text):
        before = part.text[max(0, match.start() - NEAR) : match.start()]
        after = part.text[match.end() : match.end() + NEAR]
        yield Numeral(match[0], index, _sorted(match[0], part, foot.form, before, after))


def _sorted(text: str, part: MarkPart, form: str | None, before: str, after: str) -> dict[str, float]:
    return sort_numeral(
        text,
        technique=part.technique,
        colour=part.colour,
        place=part.place,
        form=form,
        before=before,
        after=after,
    )
