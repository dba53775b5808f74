"""A line as typed, taken apart: clauses, the part they speak of, their doubts."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from functools import cache

from footring.terms.tables import read_table

LONGEST = 400
"""Characters of a line that are read."""
_LINES = re.compile(r"[;\n\r]+")
_COMMA = re.compile(r',(?!\d)(?=(?:[^"]*"[^"]*")*[^"]*$)')
_DOUBT_FIGURE = re.compile(r"(?P<rest>.*\S)\s*~\s*(?P<p>0?\.[0-9]+)$")


@cache
def words_of(kind: str) -> dict[str, str]:
    """Words of one kind and their values, the longest first so that it is tried first."""
    rows = [row for row in read_table("footring.reasoning", "typed_words.csv") if row["kind"] == kind]
    return {row["word"]: row["value"] for row in sorted(rows, key=lambda row: -len(row["word"]))}


def clauses(text: str, whole: Callable[[str], bool]) -> Iterator[str]:
    """The clauses of a line: between semicolons and commas.

    Parameters
    ----------
    text : str
    whole : callable
        Whether a clause that begins so runs to the next semicolon, commas and all.

    Examples
    --------
    >>> list(clauses("417, 18,4 cm; mark A, B", lambda clause: clause.startswith("mark")))
    ['417', '18,4 cm', 'mark A, B']
    """
    for line in _LINES.split(text[:LONGEST]):
        given = [clause.strip() for clause in _COMMA.split(line)]
        for i, clause in enumerate(given):
            if clause and whole(clause):
                yield ", ".join(c for c in given[i:] if c)
                break
            if clause:
                yield clause


def led(text: str, words: Sequence[str]) -> tuple[str, str] | None:
    """The first of some words that a text begins with, and the rest without a colon between; None for none.

    Examples
    --------
    >>> led("Glaze: Sedge", ["glaze"])
    ('glaze', 'Sedge')
    """
    lower = text.casefold()
    for word in words:
        if lower.startswith(word) and _ends_word(word, text[len(word) :]):
            return word, text[len(word) :].lstrip(" :=.\t")
    return None


def _ends_word(word: str, rest: str) -> bool:
    return not rest or not word[-1].isalnum() or not rest[0].isalnum()


def trailed(text: str, words: Sequence[str]) -> tuple[str, str] | None:
    """The first of some words that a text ends with, and what stands before it; None for none."""
    lower = text.casefold()
    for word in words:
        before = text[: len(text) - len(word)]
        if lower.endswith(word) and (not before or not (word[0].isalnum() and before[-1].isalnum())):
            return word, before.rstrip(" ,:")
    return None


def part_of(clause: str) -> tuple[str | None, str]:
    """The part a clause says that it speaks of, and the rest.

    Examples
    --------
    >>> part_of("lid: Sedge"), part_of("on the lid 417"), part_of("lid seat: a ledge")
    (('lid', 'Sedge'), ('lid', '417'), (None, 'lid seat: a ledge'))
    """
    for word, part in words_of("part").items():
        found = led(clause, [word])
        if found and found[1] and (" " in word or clause[len(word)] in ":.=" or found[1][0].isdigit()):
            return part, found[1]
    return None, clause


def doubt_of(clause: str) -> tuple[float, str]:
    """How sure a clause says it is, 1 where it says nothing, and the rest.

    Examples
    --------
    >>> doubt_of("not sure: heron"), doubt_of("417 ~0.6"), doubt_of("heron ?"), doubt_of("QUILLOW & T?RN")
    ((0.7, 'heron'), (0.6, '417'), (0.7, 'heron'), (1.0, 'QUILLOW & T?RN'))
    """
    if (figure := _DOUBT_FIGURE.fullmatch(clause)) and float(figure["p"]) > 0.0:
        return float(figure["p"]), figure["rest"]
    before, after = led(clause, list(words_of("doubt"))), trailed(clause, list(words_of("doubted")))
    if before and before[1]:
        return float(words_of("doubt")[before[0]]), before[1].lstrip(", ")
    if after and after[1] and not (after[0] == "?" and _unread_sign(clause)):
        return float(words_of("doubted")[after[0]]), after[1]
    return 1.0, clause


def _unread_sign(clause: str) -> bool:
    """Whether a question mark at the end stands for a sign that could not be read, as in `QUILLO?` and `41?`."""
    last = clause.split()[-1]
    return last != "?" and (last.isupper() or any(c.isdigit() for c in last))
