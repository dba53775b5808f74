"""What a list finds and sorts pieces by, in one row a piece: kept by every act, made anew at will."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models

from footring.records.columns import ID_LENGTH
from footring.records.models.stored import MODELS

SAID = ("line", "form", "size", "body", "glaze", "decoration", "trim", "mark_in_clay", "mark_printed", "customer")
"""Columns of an attribution; ids of what a piece is said to be."""
YEAR_UNKNOWN = 9999
"""Where no first year is known, so that it stands last."""
LAST = "\uffff"
"""Where nothing is there to sort by, so that it stands last."""


def _id() -> models.CharField:
    return models.CharField(max_length=ID_LENGTH, null=True)


class Shelved(models.Model):
    """A piece as a list finds it.

    `text` is every word it may be found by; `own_text` those that only its owner's side may find it by: where it is,
    and whatever of it is private. `made_from` and `made_to` are years of what it is said to be (0 and `YEAR_UNKNOWN`
    where the reference leaves them open), `met` the first day it was met on. The rows follow one another as the
    pieces came.
    """

    piece = models.OneToOneField(MODELS["pieces"], on_delete=models.CASCADE, related_name="shelved")
    added_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    private = models.BooleanField(default=False)
    settled = models.BooleanField(default=False)
    pictured = models.BooleanField(default=False)
    damaged = models.BooleanField(default=False)
    number = models.TextField(default="")
    made_from = models.IntegerField(default=YEAR_UNKNOWN)
    made_to = models.IntegerField(default=0)
    met = models.TextField(default="")
    by_name = models.TextField(default=LAST)
    by_what = models.TextField(default=LAST)
    text = models.TextField(default="")
    own_text = models.TextField(default="")
    place = _id()
    line = _id()
    form = _id()
    size = _id()
    body = _id()
    glaze = _id()
    decoration = _id()
    trim = _id()
    mark_in_clay = _id()
    mark_printed = _id()
    customer = _id()

    class Meta:
        indexes = tuple(
            models.Index(fields=[name, "id"], name=f"shelf_{name}")
            for name in (
                "place", "line", "form", "glaze", "decoration", "trim", "customer", "mark_in_clay", "mark_printed",
                "number", "made_from", "met", "by_name", "by_what",
            )
        )  # fmt: skip


class Indexed(models.Model):
    """The words of a shelved piece in SQLite's own index of them; no other database has this table."""

    row = models.OneToOneField(
        Shelved, models.DO_NOTHING, primary_key=True, db_column="rowid", db_constraint=False, related_name="indexed"
    )
    everything = models.TextField(db_column="shelf_words")

    class Meta:
        managed = False
        db_table = "shelf_words"


class Holds(models.Lookup):
    """What is asked of the index in its own language."""

    lookup_name = "holds"

    def as_sql(self, compiler: Any, connection: Any) -> tuple[str, list[Any]]:
        """`column MATCH what was asked`."""
        (left, given), (right, asked) = self.process_lhs(compiler, connection), self.process_rhs(compiler, connection)
        return f"{left} MATCH {right}", [*given, *asked]


Indexed._meta.get_field("everything").register_lookup(Holds)


class Word(models.Model):
    """A word that some piece had, to mend what is typed by. One that no piece has any more is passed over."""

    word = models.CharField(max_length=60, unique=True)
