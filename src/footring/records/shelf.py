"""The shelf: one row a piece, so that a list finds it quickly. Kept right by every act."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django.db import connection
from django.db.models import Q, QuerySet

from footring.records.models import MODELS, Shelved, Stored, Word
from footring.records.models.shelf import SAID
from footring.records.shelf_row import Made, Making
from footring.records.shelf_words import Called, worded, words_of
from footring.rows import TABLES, Row
from footring.rows.reference_things import Name
from footring.rows.statements import Production

BATCH = 400
_COLUMNS = [field.attname for field in Shelved._meta.fields if field.name != "id"]
_PUT = (
    f"INSERT INTO records_shelved ({', '.join(_COLUMNS)}) VALUES ({', '.join(['%s'] * len(_COLUMNS))}) "
    f"ON CONFLICT (piece_id) DO UPDATE SET {', '.join(f'{name} = excluded.{name}' for name in _COLUMNS)}"
)
_WORDS = "UPDATE records_shelved SET by_what = %s, text = %s, own_text = %s WHERE piece_id = %s"
_DATE = "UPDATE records_shelved SET made_from = %s, made_to = %s WHERE id = %s"
_SAYS = {
    table: [name for name in SAID if TABLES["attributions"].column(name).refers_to == table]
    for table in ("lines", "forms", "sizes", "bodies", "glazes", "decorations", "trims", "marks", "customers")
}
"""Tables of what a piece is said to be, and the columns of a shelved piece that name them."""


class Touched:
    """What an act touches, until the pieces that it changes the shelf of are put on it anew."""

    def __init__(self) -> None:
        self._ids: dict[str, set[str]] = defaultdict(set)
        self._superseded: dict[str, set[str]] = defaultdict(set)
        self._dated: set[str] = set()

    def note(self, rows: Iterable[Row | Stored]) -> None:
        """Keep in mind what some rows are, are of, and stand in the place of."""
        for one in rows:
            row = one.row() if isinstance(one, Stored) else one
            self._of(row)
            if (before := getattr(row, "supersedes", None)) is not None:
                self._superseded[row.TABLE].add(before)

    def _of(self, row: Row) -> None:
        self._ids[row.TABLE].add(row.id)
        if (piece := getattr(row, "piece", None)) is not None:
            self._ids["pieces"].add(piece)
        if isinstance(row, Production):
            self._dated.add(row.line)
        if isinstance(row, Name):
            self._ids[row.thing_table].add(row.thing)

    def put(self) -> None:
        """Put on the shelf anew whatever was touched."""
        for table, ids in self._superseded.items():
            for some in _batches(ids):
                for stored in MODELS[table].objects.filter(pk__in=some):
                    self._of(stored.row())
        shelve(self._ids["pieces"])
        _word(set(self._told_by()) - self._ids["pieces"])
        date(self._dated)

    def _told_by(self) -> Iterator[str]:
        """The pieces on the shelf whose words come from something that was touched."""
        for table, columns in _SAYS.items():
            for some in _batches(self._ids[table]):
                yield from _pieces(Q(*((f"{column}__in", some) for column in columns), _connector=Q.OR))
        for some in _batches(self._ids["makers"]):
            yield from _pieces(Q(line__in=MODELS["lines"].objects.filter(maker__in=some).values("pk")))
        for some in _batches(inside(self._ids["places"])):
            yield from _pieces(Q(place__in=some))


def _pieces(where: Q) -> Iterator[str]:
    return Shelved.objects.filter(where).values_list("piece", flat=True).iterator()


def _batches(ids: Iterable[str]) -> Iterator[list[str]]:
    ordered = sorted(ids)
    return (ordered[start : start + BATCH] for start in range(0, len(ordered), BATCH))


def inside(places: Iterable[str]) -> set[str]:
    """Some places, and all that stand inside them."""
    found, new = set[str](), set(places)
    while new:
        found |= new
        new = set(MODELS["places"].objects.filter(within__in=new).values_list("pk", flat=True)) - found
    return found


def shelve(pieces: Iterable[str]) -> None:
    """Make the rows of some pieces anew; those of pieces that are gone have gone with them."""
    ids, left, called = list(pieces), 0, Called()
    for some in _batches(ids):
        left += _put(MODELS["pieces"].objects.filter(pk__in=some).order_by("added_in_id", "pk"), called)
    if left < len(ids):
        _index("DELETE FROM shelf_words WHERE rowid NOT IN (SELECT id FROM records_shelved)")


def reshelve() -> None:
    """Make every row anew."""
    Shelved.objects.all().delete()
    Word.objects.all().delete()
    _index("DELETE FROM shelf_words")
    ids, called = list(MODELS["pieces"].objects.order_by("added_in_id", "pk").values_list("pk", flat=True)), Called()
    for start in range(0, len(ids), BATCH):
        _put(MODELS["pieces"].objects.filter(pk__in=ids[start : start + BATCH]).order_by("added_in_id", "pk"), called)


def _put(pieces: Iterable[Stored], called: Called) -> int:
    rows = list(Making(list(pieces), called).rows())
    with connection.cursor() as cursor:
        cursor.executemany(_PUT, [[row[name] for name in _COLUMNS] for row in rows])
    _index_words(rows)
    return len(rows)


def _word(pieces: Iterable[str]) -> None:
    """Make the words of pieces anew that nothing else was done to, after what they name was called otherwise."""
    called = Called()
    for some in _batches(pieces):
        rows = list(worded(some, called))
        with connection.cursor() as cursor:
            cursor.executemany(_WORDS, [list(row.values()) for row in rows])
        _index_words(rows)


def _index_words(rows: Sequence[dict[str, Any]]) -> None:
    new = {word for row in rows for word in words_of(row["text"] + row["own_text"])}
    new -= set(Word.objects.filter(word__in=new).values_list("word", flat=True))
    Word.objects.bulk_create((Word(word=word) for word in sorted(new)), ignore_conflicts=True)
    gaps = ", ".join(["%s"] * len(rows))
    _index(
        "INSERT OR REPLACE INTO shelf_words (rowid, text, own_text) "
        f"SELECT id, text, own_text FROM records_shelved WHERE piece_id IN ({gaps})",
        [row["piece_id"] for row in rows],
    )


def date(lines: Iterable[str]) -> None:
    """The years of the pieces of some lines anew, after the reference said others."""
    changed = []
    for line in sorted(lines):
        made, rows = Made([line]), Shelved.objects.filter(line=line).order_by("pk")
        for pk, *before, cell in _with_cells(rows):
            if (years := made.years(cell)) != tuple(before):
                changed.append((*years, pk))
    with connection.cursor() as cursor:
        cursor.executemany(_DATE, changed)


def _with_cells(rows: QuerySet[Shelved]) -> Iterator[tuple[int, int, int, dict[str, str | None]]]:
    for pk, first, last, *cell in rows.values_list("pk", "made_from", "made_to", *SAID).iterator():
        yield pk, first, last, dict(zip(SAID, cell, strict=True))


def _index(sql: str, given: Sequence[str] = ()) -> None:
    """Keep the words as SQLite finds them; PostgreSQL keeps its own index."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute(sql, list(given))
