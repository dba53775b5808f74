"""How a date code is typed: words for signs, runs of signs, doubtful and unreadable characters."""

from __future__ import annotations

import re
import unicodedata
from functools import cache, lru_cache

from footring.terms.tables import read_table

LONGEST = 200
"""Characters; a date code longer than this is refused."""

_DOUBTFUL = re.compile(r"\[([^\[\]\s])\?\]")
_UNREAD = re.compile(r"\[\?\]")
_ASIDE = re.compile(r"\(\?\)")
_FULL_STOPS = re.compile(r"\.{2,}")
_FILL = re.compile(r"[\s,;:()\[\]\"'“”„‘’«»&/]+|\.(?=\s|$)|(?<!\d)\+|\+(?!\d)")
_HYPHEN = re.compile(r"\s*[-‐‑–]\s*")
_WORD = re.compile(r"[^\W\d_]{2,}")
_ORDINAL = re.compile(r"\b(\d{1,2})(?:st|nd|rd|th)\b")
_HUNDREDS = ((1000, "M"), (900, "CM"), (500, "D"), (400, "CD"), (100, "C"))
_PLACES = (*_HUNDREDS, (90, "XC"), (50, "L"), (40, "XL"), (10, "X"), (9, "IX"), (5, "V"), (4, "IV"), (1, "I"))


def roman(value: int) -> str:
    """A Roman numeral, 1 and up.

    Examples
    --------
    >>> roman(21), roman(49)
    ('XXI', 'XLIX')
    """
    out = ""
    for worth, letters in _PLACES:
        count, value = divmod(value, worth)
        out += letters * count
    return out


def as_read(code: str) -> str:
    """A doubtful character taken as read: `3[0?]` is `30`, `3[?]` is `3?`."""
    return _ASIDE.sub("", _UNREAD.sub("?", _DOUBTFUL.sub(r"\1", code)))


def doubted(code: str) -> str | None:
    """The same code with its doubtful characters as unreadable ones; None where none is doubtful."""
    return _DOUBTFUL.sub("?", code) if _DOUBTFUL.search(code) else None


def normal(code: str, worded: bool = True) -> str:
    """A code in the form the schemes' fields are matched against.

    Punctuation and joining words become one space, runs of a sign a number and its name, ordinals `4th`.

    Parameters
    ----------
    code : str
        As typed. `?` is one unreadable character.
    worded : bool
        Whether words are read as words. False takes every letter as a letter ("ONE" may be a code).

    Examples
    --------
    >>> normal("91 with the fourth dot missing"), normal("S over 02"), normal("star, ••••")
    ('91 4th dot missing', 'S above 02', 'star 4 dot')
    """
    text = unicodedata.normalize("NFKC", as_read(code.replace("…", "...")))
    text = _FULL_STOPS.sub(lambda found: f" {len(found[0])} dot ", text)
    text = _sign_runs().sub(lambda found: _run(found[0]), text)
    text = _HYPHEN.sub("-", _FILL.sub(" ", text))
    if worded:
        text = _ORDINAL.sub(r"\1th", _WORD.sub(lambda found: _word(found[0]), text))
    return " ".join(text.split())


def _run(found: str) -> str:
    name = _words()[found[0]]
    return f" {name} " if len(found) == 1 else f" {len(found)} {name} "


def _word(word: str) -> str:
    if word.isupper() and len(word) <= 3:  # three capitals may be the code itself
        return word
    return _words().get(word.lower(), word)


@cache
def _words() -> dict[str, str]:
    rows = read_table("footring.marks", "datecode_words.csv")
    names = {row["means"]: row["means"] for row in rows if row["means"].isalpha()}
    return names | {row["word"]: row["means"] for row in rows}


@cache
def _sign_runs() -> re.Pattern[str]:
    signs = (word for word in _words() if len(word) == 1 and not word.isalnum())
    return re.compile("|".join(f"{re.escape(sign)}+" for sign in signs))


def bare_words(text: str) -> str:
    """Lower-case words with one space between and around them, for finding phrases."""
    return " " + " ".join(re.findall(r"[^\W_]+", text.lower())) + " "


def speaks(condition: str, words: str) -> bool:
    """Whether text (from `bare_words`) meets a condition in words.

    `|` parts alternatives, `+` joins words that must all be there, `!` goes before words that must not be.

    Examples
    --------
    >>> speaks("quillow+tarn | q t works", bare_words("QUILLOW & TARN, Ossel Ford"))
    True
    >>> speaks("quillow + !quillow brothers", bare_words("Quillow Brothers"))
    False
    """
    return any(all((term in words) == wanted for term, wanted in one) for one in _alternatives(condition))


@lru_cache(maxsize=4096)
def _alternatives(condition: str) -> tuple[tuple[tuple[str, bool], ...], ...]:
    """The alternatives of a condition: words, and whether they must be there; taken apart once, asked of every foot."""
    return tuple(
        tuple((bare_words(term), not term.strip().startswith("!")) for term in one.split("+"))
        for one in condition.split("|")
    )
