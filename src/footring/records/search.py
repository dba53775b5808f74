"""Pieces by their words: what they are called, what was read off them, what they are said to be; typos forgiven."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import get_close_matches

from django.db import connection
from django.db.models import Q, QuerySet
from django.db.models.expressions import RawSQL

from footring.records.models import MODELS
from footring.records.models.shelf import Shelved

_CALLED = {
    "line": ("lines", "name"), "form": ("forms", "name"), "glaze": ("glazes", "name"), "trim": ("trims", "name"),
    "decoration": ("decorations", "name"), "body": ("bodies", "name"), "customer": ("customers", "name"),
    "mark_printed": ("marks", "lettering"), "mark_in_clay": ("marks", "lettering"),
}  # fmt: skip
MOST_WORDS = 8
SHORTEST = 3
"""Letters that a word must have to be looked up in the index."""


def found(rows: QuerySet[Shelved], text: str, placed: Q | None = None) -> tuple[QuerySet[Shelved], str]:
    """Rows in which every word occurs, and the words that were looked for: mended where one occurs nowhere.

    Parameters
    ----------
    rows : queryset of Shelved
    text : str
        As typed, a few words.
    placed : Q or None
        The pieces that may be found by where they are; None for all.

    Returns
    -------
    queryset of Shelved, and str
    """
    placed, words = placed or Q(), text.casefold().split()[:MOST_WORDS]
    whole = _with_all(rows, words, placed)
    if words and not whole.exists():
        words = [word if rows.filter(_anywhere(word, placed)).exists() else _mended(word) or word for word in words]
        whole = _with_all(rows, words, placed)
    return whole, " ".join(words)


def _with_all(rows: QuerySet[Shelved], words: list[str], placed: Q) -> QuerySet[Shelved]:
    for word in words:
        rows = rows.filter(_anywhere(word, placed))
    return rows


def _anywhere(word: str, placed: Q) -> Q:
    """That a word occurs in a piece's own text, in its place's name, or in the name of what it is said to be."""
    condition = _in_text(word) | (placed & Q(piece__place__in=_ids("places", "name", word)))
    for name, (table, column) in _CALLED.items():
        if ids := _ids(table, column, word):
            condition |= Q(**{f"{name}__in": ids})
    return condition


def _ids(table: str, column: str, word: str) -> list[str]:
    return list(MODELS[table].objects.filter(**{f"{column}__icontains": word}).values_list("pk", flat=True)[:500])


def _in_text(word: str) -> Q:
    if connection.vendor != "sqlite" or len(word) < SHORTEST:
        return Q(text__icontains=word)
    quoted = '"' + word.replace('"', '""') + '"'
    return Q(pk__in=RawSQL("SELECT rowid FROM shelf_words WHERE shelf_words MATCH %s", [quoted]))


def _mended(word: str) -> str | None:
    """The nearest word that names a thing, where one is near enough."""
    near = get_close_matches(word, sorted(set(_vocabulary())), n=1, cutoff=0.7)
    return near[0] if near else None


def _vocabulary() -> Iterable[str]:
    named = {*_CALLED.values(), ("places", "name"), ("pieces", "name")}
    for table, column in sorted(named):
        for name in MODELS[table].objects.exclude(**{column: None}).values_list(column, flat=True)[:20_000]:
            yield from name.casefold().split()
