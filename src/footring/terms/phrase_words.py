"""Single dates in typed English, as the two ends an EDTF text would have."""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from footring.terms.errors import BadInput
from footring.terms.moments import parse_moment
from footring.terms.tables import read_table

Doubt = frozenset[str]
_SIGN = {frozenset[str](): "", frozenset("?"): "?", frozenset("~"): "~", frozenset("?~"): "%"}
_FLAGS = {"?": frozenset("?"), "~": frozenset("~"), "%": frozenset("?~")}


class Ends(NamedTuple):
    """First and last end of something typed, each an EDTF date; equal when one date says it all."""

    first: str
    last: str

    def doubted(self, doubt: Doubt) -> Ends:
        """The same with more doubt on both ends."""
        return Ends(qualified(self.first, doubt), qualified(self.last, doubt))


def qualified(text: str, doubt: Doubt) -> str:
    """An EDTF date with a doubt added to what it has."""
    own = _FLAGS.get(text[-1], frozenset[str]())
    return (text[:-1] if own else text) + _SIGN[own | doubt]


@cache
def words(sense: str) -> dict[str, str]:
    """Phrases of one sense and their values, the longest first so that it is tried first."""
    rows = [row for row in read_table("footring.terms", "phrases.csv") if row["sense"] == sense]
    return {row["phrase"]: row["value"] for row in sorted(rows, key=lambda row: -len(row["phrase"]))}


def led_by(sense: str, text: str) -> tuple[str, str] | None:
    """Value of the phrase a text begins with and the rest; None when it begins with none.

    Examples
    --------
    >>> led_by("doubt", "circa 1938")
    ('~', '1938')
    """
    for phrase, value in words(sense).items():
        rest = text[len(phrase) :]
        if text.startswith(phrase) and (rest.startswith(" ") or (rest[:1].isdigit() and not phrase[-1].isdigit())):
            return value, rest.strip()
    return None


def ends(text: str) -> Ends | None:
    """Ends of a single typed date with its own doubts; None when it is none.

    Examples
    --------
    >>> ends("probably late 1930s")
    Ends(first='1936%', last='1939?')
    """
    doubt: Doubt = frozenset()
    while found := led_by("skip", text) or led_by("doubt", text):
        doubt |= _FLAGS.get(found[0], frozenset())
        text = found[1]
    if text.endswith("?") and (plain := _plain_ends(text[:-1].strip())):
        return plain.doubted(doubt | _FLAGS["?"])
    plain = _plain_ends(text)
    return plain.doubted(doubt) if plain else None


def _plain_ends(text: str) -> Ends | None:
    one = _edtf(text) or _decade(text) or _century(text) or _season(text) or _day(text)
    return Ends(one, one) if one else _part(text)


def _edtf(text: str) -> str | None:
    if not re.fullmatch(r"[0-9x?~%-]{4,14}", text):
        return None
    try:
        return parse_moment(text.upper()).text
    except BadInput:
        return None


def _year(text: str) -> str | None:
    return text if re.fullmatch("[0-9]{4}", text) else None


def _decade(text: str) -> str | None:
    return text[:3] + "X" if re.fullmatch("[0-9]{2}[1-9]0s", text) else None


def _century(text: str) -> str | None:
    """20th century is 19XX, and so is 1900s: people mean the decade or the century by it."""
    if re.fullmatch("[0-9]{2}00s", text):
        return text[:2] + "XX"
    word, _, rest = text.partition(" ")
    figures = re.fullmatch(r"([0-9]{1,2})(?:st|nd|rd|th)", word)
    number = int(figures[1]) if figures else int(words("ordinal").get(word, "0"))
    return f"{number - 1:02d}XX" if 1 <= number <= 30 and rest in ("", "century", "c", "c.", "cent", "cent.") else None


def _season(text: str) -> str | None:
    found = led_by("season", text)
    return f"{found[1]}-{found[0]}" if found and re.fullmatch("[0-9]{4}", found[1]) else None


def _day(text: str) -> str | None:
    """May 1938, 12 May 1938, May 12 1938."""
    parts = re.sub(r"\bof\b|,", " ", text).split()
    if len(parts) not in (2, 3) or not re.fullmatch("[0-9]{4}", parts[-1]):
        return None
    months = [words("month")[part] for part in parts[:-1] if part in words("month")]
    days = [part for part in parts[:-1] if re.fullmatch(r"[0-9]{1,2}(?:st|nd|rd|th)?", part)]
    if len(months) != 1 or len(months) + len(days) + 1 != len(parts):
        return None
    day = [f"{int(re.sub('[a-z]', '', part)):02d}" for part in days]
    return parse_moment("-".join([parts[-1], *months, *day])).text


def _part(text: str) -> Ends | None:
    """Late 1930s, first quarter of the 19th century, early 1938."""
    for sense, whole in (("part_of_decade", _decade), ("part_of_century", _century), ("part_of_year", _year)):
        found = led_by(sense, text)
        base = whole(found[1].removeprefix("the ")) if found else None
        if found and base:
            first, last = found[0].split("..")
            return Ends(_within(base, first), _within(base, last))
    return None


def _within(base: str, offset: str) -> str:
    """A year so many years into a decade or century (193X, 6~ is 1936~), or a month of a year."""
    if "X" not in base:
        return f"{base}-{offset}"
    number = int(base.replace("X", "0")) + int(offset.rstrip("~"))
    return f"{number:04d}" + ("~" if offset.endswith("~") else "")
