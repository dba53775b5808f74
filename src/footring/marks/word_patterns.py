"""Wording as it stands in a table, found in lettering whatever its dots, hyphens, spaces and line breaks."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from functools import cache, lru_cache

from footring.terms.tables import read_table

MOST_UNREAD = 0.25
"""Share of the letters of a wording that may be unreadable (`?`) before it is taken for something else."""

_GAPS = {" ": r"[\s.,/:;\-]{0,5}", ".": r"[.\s]{0,2}", "-": r"[\s\-/]{0,3}", "'": "'?", "&": r"(?:&|AND|\+)"}


@lru_cache(maxsize=4096)
def folded(text: str) -> str:
    """Text in capitals without accents, each character in its place.

    Examples
    --------
    >>> folded("Österreich")
    'OSTERREICH'
    """
    return "".join(map(_folded_character, text))


@cache
def _folded_character(c: str) -> str:
    base = unicodedata.normalize("NFKD", c)[0].upper() if c not in "™®©º°" else c
    return base if len(base) == 1 else c


def find_words(pattern: re.Pattern[str], text: str) -> Iterator[re.Match[str]]:
    """Matches in a folded text, those with too many unreadable characters left out."""
    for match in pattern.finditer(text):
        letters = sum(c.isalnum() or c == "?" for c in match[0])
        if match[0].count("?") <= MOST_UNREAD * letters:
            yield match


@cache
def word_pattern(words: str, regex: str = "") -> re.Pattern[str] | None:
    """Pattern of a cell of words for folded text; None for two empty cells.

    Parameters
    ----------
    words : str
        Alternatives with `|` between. A space, a dot and a hyphen may be there or not on the ware; each letter may
        be unreadable. `{COUNTRY}`, `{REGION}`, `{NATION}` and `{ANY}` stand for words of `country_words.csv`.
    regex : str
        One more alternative, as it is.

    Examples
    --------
    >>> word_pattern("D.R.G.M.|MADE IN {NATION}").search("MADE/IN FR?NCE")[0]
    'MADE/IN FR?NCE'
    """
    longest_first = sorted(filter(None, words.split("|")), key=lambda word: (-len(word), word))
    choices = [_tolerant(word) for word in longest_first]
    bounded = [rf"(?<![^\W\d_])(?:{'|'.join(choices)})(?![^\W\d_])"] if choices else []
    alternatives = bounded + ([regex] if regex else [])
    return re.compile("|".join(f"(?:{one})" for one in alternatives)) if alternatives else None


def _tolerant(words: str) -> str:
    return "".join(map(_piece, re.split(r"(\{[A-Z]+\})", words)))


def _piece(piece: str) -> str:
    return country_choices()[piece[1:-1]] if piece.startswith("{") else "".join(map(_letter, piece))


def _letter(c: str) -> str:
    return _GAPS.get(c) or (f"[{c}?]" if c.isalpha() else re.escape(c))


@cache
def country_choices() -> Mapping[str, str]:
    """Alternatives for each placeholder, longest first."""
    rows = read_table("footring.marks", "country_words.csv")
    alone = [row for row in rows if not row["only_after_made_in"]]
    english = [row["word"] for row in alone if row["in_english"] == "yes" and row["country"] != "United States"]
    after_made_in = [f"MADE IN {row['word']}" for row in rows if row["only_after_made_in"]]
    return {
        "COUNTRY": _either(english + after_made_in),
        "REGION": _either([row["word"] for row in alone if row["region_of"]]),
        "NATION": _either([row["word"] for row in alone if not row["region_of"]]),
        "ANY": _either([row["word"] for row in rows]),
    }


def _either(words: list[str]) -> str:
    longest_first = sorted(words, key=lambda word: (-len(word), word))
    return "(?:" + "|".join("".join(map(_letter, word)) for word in longest_first) + ")"
