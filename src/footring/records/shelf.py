"""The shelf: one row a piece, so that a list finds it quickly. Kept right by every act."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator

from django.db import connection

from footring.records.models import MODELS, Stored
from footring.records.models.shelf import SAID, Shelved

BATCH = 400
_SAID_IDS = [f"{name}_id" for name in SAID]


def pieces_of(stored: Iterable[Stored]) -> set[str]:
    """The pieces that some rows are, or are of."""
    found = {row.pk if row.SPEC.name == "pieces" else getattr(row, "piece_id", None) for row in stored}
    return found - {None}


def shelve(pieces: Iterable[str]) -> None:
    """Make the rows of some pieces anew; those of pieces that are gone have gone with them."""
    ids = sorted(pieces)
    for start in range(0, len(ids), BATCH):
        some = ids[start : start + BATCH]
        old = dict(Shelved.objects.filter(piece__in=some).values_list("piece", "pk"))
        rows = list(_made(some))
        for row in rows:
            row.pk = old.get(row.piece_id)
        Shelved.objects.bulk_update([row for row in rows if row.pk], ["confirmed", "text", *SAID])
        Shelved.objects.bulk_create([row for row in rows if row.pk is None])
        _index(some)


def reshelve() -> None:
    """Make every row anew."""
    Shelved.objects.all().delete()
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("DELETE FROM shelf_words")
    shelve(MODELS["pieces"].objects.values_list("pk", flat=True))


def _made(pieces: list[str]) -> Iterator[Shelved]:
    words, said = defaultdict(list), {}
    readings = MODELS["readings"].objects.current().filter(piece__in=pieces, absent=False).order_by("pk")
    for piece, value in readings.values_list("piece", "value"):
        words[piece].append(value)
    attributions = MODELS["attributions"].objects.current().filter(piece__in=pieces, part=None, weight__gt=0.0)
    for row in attributions.order_by("weight", "pk").values("piece_id", "basis", *_SAID_IDS):
        before = said.get(row["piece_id"])
        if before is None or row["basis"] == "confirmed" or before["basis"] == "proposed":
            said[row["piece_id"]] = row
    for piece, name in MODELS["pieces"].objects.filter(pk__in=pieces).values_list("pk", "name"):
        row = said.get(piece, {})
        text = " ".join(filter(None, [name, *words[piece]]))
        yield Shelved(
            piece_id=piece, confirmed=row.get("basis") == "confirmed", text=text,
            **{name: row.get(name) for name in _SAID_IDS},
        )  # fmt: skip


def _index(pieces: list[str]) -> None:
    """The words of some pieces, as SQLite finds them; PostgreSQL keeps its own index."""
    if connection.vendor != "sqlite":
        return
    rows = list(Shelved.objects.filter(piece__in=pieces).values_list("pk", "text"))
    with connection.cursor() as cursor:
        cursor.executemany("DELETE FROM shelf_words WHERE rowid = %s", [(pk,) for pk, _ in rows])
        cursor.executemany("INSERT INTO shelf_words (rowid, text) VALUES (%s, %s)", rows)
