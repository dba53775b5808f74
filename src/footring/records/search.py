"""Pieces by their words: what they are called, what was read off them, what they are said to be; typos forgiven."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import get_close_matches

from django.db import connection
from django.db.models import Q, QuerySet
from django.db.models.expressions import RawSQL

from footring.records.models import Shelved, Word
from footring.records.shelf_row import folded, words_of

MOST_WORDS = 8
SHORTEST = 3
"""Letters that a word must have to be found in the midst of others; a shorter one is found as a word of its own."""
LIKE_ENOUGH = 0.7
"""Least share of letters in common, in their order, of a word and what it is mended to."""


def found(rows: QuerySet[Shelved], typed: str, own: Q | None = None) -> tuple[QuerySet[Shelved], str]:
    """Rows in which every word occurs, and the words that were looked for: mended where one occurs nowhere.

    Parameters
    ----------
    rows : queryset of Shelved
        Those that whoever asks may see.
    typed : str
        A few words.
    own : Q or None
        Those of them that may be found by everything; None for all.

    Returns
    -------
    queryset of Shelved, and str
    """
    words = folded(typed).split()[:MOST_WORDS]
    if words and not rows.filter(_holding(words, own)).exists():
        words = [_mended(rows, word, own) for word in words]
    return (rows.filter(_holding(words, own)) if words else rows), " ".join(words)


def _holding(words: Sequence[str], own: Q | None) -> Q:
    if own is None:
        return _match(words, ("text", "own_text"))
    return _match(words, ("text",)) | (own & _match(words, ("text", "own_text")))


def _match(words: Sequence[str], columns: Sequence[str]) -> Q:
    """That each word occurs in one of some columns."""
    indexed = connection.vendor == "sqlite"
    long = [word for word in words if indexed and len(word) >= SHORTEST]
    condition = Q()
    for word in words:
        if word not in long:
            sought = word if len(word) >= SHORTEST else f" {word} "
            condition &= Q(*((f"{column}__contains", sought) for column in columns), _connector=Q.OR)
    if long:
        quoted = " AND ".join('"' + word.replace('"', '""') + '"' for word in long)
        asked = f"{{{' '.join(columns)}}} : ({quoted})"
        condition &= Q(pk__in=RawSQL("SELECT rowid FROM shelf_words WHERE shelf_words MATCH %s", [asked]))
    return condition


def _mended(rows: QuerySet[Shelved], word: str, own: Q | None) -> str:
    """The word where it occurs; else the nearest one that does, if one is near enough; else the word."""
    offered = (near for near in (word, *_near(word)) if rows.filter(_holding([near], own)).exists())
    return next(offered, word)


def _near(word: str) -> Iterator[str]:
    """Words like this one, the nearest first: they begin or end as it does."""
    if words_of(word) != {word}:
        return
    alike = Word.objects.filter(Q(word__startswith=word[:2]) | Q(word__endswith=word[-2:]))
    known = [one for one in alike.values_list("word", flat=True) if abs(len(one) - len(word)) < SHORTEST]
    yield from get_close_matches(word, sorted(known), n=10, cutoff=LIKE_ENOUGH)
