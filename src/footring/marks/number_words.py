"""Finding registered numbers in a text by the words that stand before them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from footring.terms.tables import read_table

Row = Mapping[str, str]

_SAME_WIDTH = str.maketrans({"º": "o", "°": "o", "ᵒ": "o", "ᵈ": "d", "ᴰ": "D", "№": "#", "’": "'", "`": "'"})
_SIGN = r"(?:(?:N[O0]S?|NUMBERS?|NR)(?![A-Z])|#)[\s.:/]*"
_FIGURES = r"(?=[?, .]*[0-9])(?:[0-9?]{1,3}(?:[, .][0-9?]{3}){1,2}(?![0-9?])|[0-9?]{1,9})"
_NUMBER = rf"(?P<design>(?<![A-Z'])D[-. ]?)?(?P<number>(?:{_FIGURES})(?:\.\.\.)?)(?![0-9?A-Z]|[-.][0-9])"
_YEARLY = re.compile(r"/\d\d(?!\d)")
_ANOTHER = re.compile(r"\s*(?:,|&|\+|\bAND\b)\s*" + _NUMBER, re.IGNORECASE)
_BARE = r"(?!(?:1[789]\d\d|20[0-3]\d)(?![0-9?]))(?=D|[0-9?]{4}|[0-9?]{1,3}[, .][0-9?]{3})"
SHORTEST_JOINED = 5
"""Figures a number has at least when it is joined to another by a comma or "and"."""


@dataclass(frozen=True, slots=True)
class Claim:
    """A number, and what the words before it may mean.

    Parameters
    ----------
    text : str
        Words and number as they stand.
    number : str
        The number as it stands.
    rows : tuple of rows of `number_words.csv`
        Meanings the words may have; one at least.
    """

    text: str
    number: str
    rows: tuple[Row, ...]


def find_numbers(text: str, countries: Iterable[str] = ()) -> list[Claim]:
    """Registered numbers in a text, in order.

    Parameters
    ----------
    text : str
        Lettering as typed; `?` an unreadable figure, `...` after a number figures lost, `/` a line break.
    countries : iterable of str
        "us", "gb", "other": countries named elsewhere on the piece. Words that leave the country open are settled
        by them; without any, every meaning is kept.

    Notes
    -----
    A number without such words is none of these. Of two wordings before one number the one that begins first has
    it ("DES. PAT. 115804" is no plain patent). Short numbers and numbers that look like years need a "No" before
    them. British patents until 1915 were numbered anew each year (12345/09): such a number is left alone.

    Examples
    --------
    >>> [(claim.number, claim.rows[0]["id"]) for claim in find_numbers("Rd No 314901/ M428 / 160")]
    [('314901', 'RD-NO')]
    """
    flat = text.translate(_SAME_WIDTH)
    found: dict[int, list[tuple[re.Match[str], Row]]] = {}
    for row, pattern in _patterns() if re.search("[0-9]", flat) else ():
        for match in pattern.finditer(flat):
            found.setdefault(match.end("number"), []).append((match, row))
    named = set(countries)
    return [claim for end in sorted(found) for claim in _claims(found[end], text, named)]


def _claims(found: list[tuple[re.Match[str], Row]], text: str, countries: set[str]) -> Iterator[Claim]:
    first = min(match.start() for match, _ in found)
    from_first = [(match, row) for match, row in found if match.start() == first]
    match = from_first[0][0]
    open_to = {"", *(countries or {row["country"] for _, row in found})}
    rows = {row["id"]: row for _, row in from_first if row["country"] in open_to}
    yearly = _YEARLY.match(match.string, match.end()) and any("patent" in row["series"] for row in rows.values())
    if rows and not yearly:
        yield _claim(text[first : match.end()], match, rows)
        yield from _joined(text, match, rows)


def _claim(said: str, match: re.Match[str], rows: Mapping[str, Row]) -> Claim:
    """A D before the number of a patent makes it an American design patent."""
    lettered = match["design"] and any("patent" in row["series"] for row in rows.values())
    return Claim(said, match["number"], (_row("US-DES"),) if lettered else tuple(rows.values()))


def _joined(text: str, match: re.Match[str], rows: Mapping[str, Row]) -> Iterator[Claim]:
    """Further numbers joined on by a comma or "and"."""
    words = text[match.start() : match.start("design") if match["design"] else match.start("number")]
    at = match.end()
    while another := _ANOTHER.match(match.string, at):
        at = another.end()
        if len(re.sub(r"[^0-9?]", "", another["number"])) < SHORTEST_JOINED:
            return
        yield _claim(words + text[another.start("design" if another["design"] else "number") : at], another, rows)


def countries_in(text: str) -> set[str]:
    """Countries a text names, as "us", "gb" or "other".

    Examples
    --------
    >>> countries_in("MADE IN ENGLAND")
    {'gb'}
    """
    flat = text.translate(_SAME_WIDTH)
    return {row["country"] for row, pattern in _country_patterns() if pattern.search(flat)}


@cache
def _row(row_id: str) -> Row:
    return next(row for row in _rows() if row["id"] == row_id)


def _rows() -> tuple[dict[str, str], ...]:
    return read_table("footring.marks", "number_words.csv")


@cache
def _patterns() -> tuple[tuple[Row, re.Pattern[str]], ...]:
    return tuple((row, pattern) for row in _rows() if row["series"] != "country" for pattern in _of(row))


def _of(row: Row) -> tuple[re.Pattern[str], ...]:
    words = rf"(?<![A-Z0-9])(?:{_phrases(row['words'])})"
    signed = re.compile(rf"{words}[\s./:,-]*{_SIGN}{_NUMBER}", re.IGNORECASE)
    bare = re.compile(rf"{words}[ .:]*{_BARE}{_NUMBER}", re.IGNORECASE)
    return (signed,) if row["number_sign"] == "needed" else (signed, bare)


@cache
def _country_patterns() -> tuple[tuple[Row, re.Pattern[str]], ...]:
    rows = [row for row in _rows() if row["series"] == "country"]
    return tuple((row, re.compile(rf"(?<![A-Z])(?:{_phrases(row['words'])})(?![A-Z])", re.IGNORECASE)) for row in rows)


def _phrases(words: str) -> str:
    """Pattern of any of the phrases: letters may have stops or apostrophes after them, words any space or break."""
    longest_first = sorted(words.split("; "), key=len, reverse=True)
    return "|".join(r"[\s./:-]*".join(map(_word, phrase.split())) for phrase in longest_first)


def _word(word: str) -> str:
    return "".join(re.escape(letter) + r"[.']?" for letter in word)
