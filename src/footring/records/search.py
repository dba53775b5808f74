"""Pieces by their words: what they are called, what was read off them, what they are said to be; typos forgiven."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from django.db import connection
from django.db.models import Q, QuerySet

from footring.records.models import Shelved, Word
from footring.records.models.shelf import Indexed
from footring.records.shelf_words import folded, words_of

MOST_WORDS = 8
SHORTEST = 3
"""Letters that a word must have to be found in the midst of others; a shorter one is found as a word of its own."""
MANY = 10_000
"""Rows with all the words, of which a page is found sooner by reading on until it is full than by sorting all."""
LIKE_ENOUGH = 0.7
"""Least share of letters in common, in their order, of a word and what it is mended to."""


@dataclass(frozen=True)
class Found:
    """What was found.

    Parameters
    ----------
    rows : queryset of Shelved
        In which every word occurs; in no order.
    looked_for : str
        The words: mended where one occurs nowhere.
    """

    rows: QuerySet[Shelved]
    looked_for: str


def found(rows: QuerySet[Shelved], typed: str, own: Q | None = None) -> Found:
    """Rows in which every word occurs, typos forgiven.

    Parameters
    ----------
    rows : queryset of Shelved
        Those that whoever asks may see.
    typed : str
        A few words.
    own : Q or None
        Those of them that may be found by everything; None for all.
    """
    words = folded(typed).split()[:MOST_WORDS]
    if not words:
        return Found(rows, "")
    holding = _holding(rows, words, own)
    if not holding.exists():
        words = [_mended(rows, word, own) for word in words]
        holding = _holding(rows, words, own)
    return Found(holding, " ".join(words))


def _holding(rows: QuerySet[Shelved], words: Sequence[str], own: Q | None) -> QuerySet[Shelved]:
    sought = [word if len(word) >= SHORTEST else f" {word} " for word in words]
    indexed = _indexed(sought) if connection.vendor == "sqlite" else None
    if indexed is None:  # PostgreSQL knows by itself when its index is of use
        everything = Q(*(Q(text__contains=one) | Q(own_text__contains=one) for one in sought))
    else:
        everything = Q(pk__in=indexed)
    rows = rows.filter(everything)
    return rows if own is None else rows.filter(own | _in(sought, "text"))


def _indexed(sought: Sequence[str]) -> QuerySet[Indexed] | None:
    """Rows that SQLite's index has for all the words; None where they are `MANY`, and reading them is quicker."""
    asked = " AND ".join('"' + one.replace('"', '""') + '"' for one in sought)
    rows = Indexed.objects.filter(everything__holds=asked).values("row_id")
    return None if rows[: MANY + 1].count() > MANY else rows


def _in(sought: Sequence[str], column: str) -> Q:
    return Q(*((f"{column}__contains", one) for one in sought))


def _mended(rows: QuerySet[Shelved], word: str, own: Q | None) -> str:
    """The word where it occurs; else the nearest one that does, if one is near enough; else the word."""
    offered = (near for near in (word, *_near(word)) if _holding(rows, [near], own).exists())
    return next(offered, word)


def _near(word: str) -> Iterator[str]:
    """Words like this one, the nearest first: they begin or end as it does."""
    if words_of(word) != {word}:
        return
    alike = Word.objects.filter(Q(word__startswith=word[:2]) | Q(word__endswith=word[-2:]))
    known = [one for one in alike.values_list("word", flat=True) if abs(len(one) - len(word)) < SHORTEST]
    yield from get_close_matches(word, sorted(known), n=10, cutoff=LIKE_ENOUGH)
