"""The words a transcription uses of a mark: how it was made, its colour, its place, what it shows."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from footring.terms.tables import read_table

_ITEM = re.compile(r"\s+of (?:both )?(?:the )?[a-z]+(?: \([a-z](?:, ?[a-z])*\))?|\s+(?:of )?\([a-z](?:, ?[a-z])*\)")

_NEVER_LEAD = {"device", "lettering", "absent", "gap"}
_LOOSE = " ,.:;/[]()"


@dataclass(frozen=True, slots=True)
class Said:
    """What the words around a mark say of it. None: not said."""

    technique: str | None = None
    colour: str | None = None
    place: str | None = None
    under_glaze: bool | None = None

    @property
    def how(self) -> bool:
        """Whether anything but the place was said."""
        return (self.technique, self.colour, self.under_glaze) != (None, None, None)

    def filled(self, other: Said) -> Said:
        """This one, with `other` wherever nothing was said."""
        return Said(
            self.technique or other.technique,
            self.colour or other.colour,
            self.place or other.place,
            other.under_glaze if self.under_glaze is None else self.under_glaze,
        )


@dataclass(frozen=True, slots=True)
class Known:
    """A word of the table as it stands in a text: where, as typed, and its meaning by kind."""

    start: int
    stop: int
    word: str
    means: Mapping[str, str]


@cache
def _meanings() -> dict[str, dict[str, str]]:
    meanings: dict[str, dict[str, str]] = {}
    for row in read_table("footring.marks", "mark_words.csv"):
        meanings.setdefault(row["word"].lower(), {})[row["kind"]] = row["value"]
    return meanings


@cache
def _pattern() -> re.Pattern[str]:
    longest_first = sorted(_meanings(), key=lambda word: (-len(word), word))
    return re.compile(r"(?<!\w)(?:" + "|".join(map(re.escape, longest_first)) + r")(?!\w)")


@lru_cache(maxsize=4096)
def known_words(text: str) -> tuple[Known, ...]:
    """Every word of the table in a text, from left to right, the longest where several begin together."""
    lower = "".join(low if len(low := c.lower()) == 1 else c for c in text)
    found = _pattern().finditer(lower)
    return tuple(Known(m.start(), m.end(), text[m.start() : m.end()], _meanings()[m[0]]) for m in found)


def is_word(text: str, kind: str) -> bool:
    """Whether the whole text is one word of that kind."""
    return kind in _meanings().get(text.strip(" .,;:()[]").lower(), {})


@lru_cache(maxsize=4096)
def said(text: str) -> Said:
    """How, in what colour and where, as the words say; the first word of each kind counts, but a label always.

    Examples
    --------
    >>> said("On base, stamped in dark green underglaze")
    Said(technique='stamped', colour='dark green', place='base', under_glaze=True)
    """
    found = Said()
    for known in known_words(text):
        place = known.means["place"] + _item(text, known.stop) if "place" in known.means else None
        glaze = {"under": True, "over": False}.get(known.means.get("glaze", ""))
        technique = known.means.get("technique")
        found = found.filled(Said(technique, known.means.get("colour"), place, glaze))
        if technique == "label":
            found = replace(found, technique="label")
    return found


def _item(text: str, start: int) -> str:
    of = _ITEM.match(text, start)
    return of[0].replace(" the ", " ").replace(" both ", " ") if of else ""


def shows_device(text: str) -> bool:
    """Whether words in small letters name a device (crown, cipher, initials in a shield)."""
    return any("device" in known.means and known.word.split()[-1].islower() for known in known_words(text))


def is_about_the_mark(text: str) -> bool:
    """Whether a text mostly consists of words of the table: it says how or where, and is not lettering."""
    letters = sum(map(str.isalpha, text))
    told = [known.word for known in known_words(text) if known.means.keys() - {"device", "lettering", "gap", "absent"}]
    return 0 < letters <= 2 * sum(map(str.isalpha, "".join(told)))


def opens_with_technique(text: str) -> bool:
    """Whether a text opens with how or where a mark was made ("Impressed 417"), and not all in capitals."""
    start = 0
    for known in known_words(text):
        shouted = known.word.isupper() and len(known.word) > 1
        if text[start : known.start].strip(' ,.(["') or "lettering" in known.means or shouted:
            return False
        if known.means.keys() & {"technique", "glaze", "place"}:
            return True
        if not known.means.keys() & {"join", "colour"}:
            return False
        start = known.stop
    return False


def without_words(text: str) -> str:
    """A text without the words about the mark that open it and end it."""
    words = known_words(text)
    start, stop = 0, len(text)
    for known in words:
        if text[start : known.start].strip(_LOOSE) or known.means.keys() & _NEVER_LEAD:
            break
        start = known.stop
    for known in reversed(words):
        if known.start < start or text[known.stop : stop].strip(_LOOSE) or not _ends(known):
            break
        stop = known.start
    text = text[start:stop].strip(" ,:;/")
    return text[1:-1] if text[:1] == "[" and text.find("]") == len(text) - 1 else text


def _ends(known: Known) -> bool:
    kinds = known.means.keys()
    return "device" not in kinds and bool(kinds & {"join", "colour", "technique", "glaze"})
