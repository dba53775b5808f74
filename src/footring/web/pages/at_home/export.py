"""Pieces as a table for a spreadsheet: CSV or a workbook."""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any

from django.db.models import QuerySet

from footring.records.models import MODELS, Shelved, Stored, User
from footring.records.models.shelf import SAID, YEAR_UNKNOWN
from footring.records.privacy import may_change
from footring.standards import ooxml
from footring.terms.errors import BadInput
from footring.web.pages.at_home.shown import things_of

COLUMNS = ("id", "name", *SAID, "number", "made_from", "made_to", "settled", "picture", "damage")
OWNERS_COLUMNS = ("place", "owner", "met", "private", "notes")
"""Left empty for pieces of which the reader does not see the owner's side."""
HEADING = (*COLUMNS, *OWNERS_COLUMNS)
AT_ONCE = 1000
_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")


class _Line:
    def write(self, line: str) -> str:
        return line


def csv_of(rows: QuerySet[Shelved], user: User) -> Iterator[str]:
    """Lines of CSV, the heading first, in which nothing can be taken for a formula."""
    writer = csv.writer(_Line())
    yield writer.writerow(HEADING)
    for cells in _table(rows, user):
        yield writer.writerow(map(harmless, cells))


def workbook_of(rows: QuerySet[Shelved], user: User) -> Iterator[bytes]:
    """A workbook of one sheet, in which a text is a text whatever it begins with.

    Raises
    ------
    BadInput
        A sheet has not as many rows.
    """
    if rows.values("pk")[ooxml.MOST_ROWS - 1 :].exists():
        raise BadInput(f"at most {ooxml.MOST_ROWS - 1:,} pieces fit into a sheet: ask for fewer, or take them as CSV")
    return ooxml.workbook("At home", HEADING, _table(rows, user))


def _table(rows: QuerySet[Shelved], user: User) -> Iterator[list[str | int]]:
    """A line of cells for each piece; what stands beside them is looked up for a thousand at once."""
    left = rows.defer("text", "own_text").iterator()
    while some := list(islice(left, AT_ONCE)):
        pieces = (
            MODELS["pieces"].objects.select_related("place", "owner", "added_in").in_bulk([r.piece_id for r in some])
        )
        notes = _notes(pieces)
        things = {name: things_of(name, some) for name in SAID}
        for row in some:
            cells = _cells(row, pieces[row.piece_id], things, notes.get(row.piece_id), user)
            yield [_plain(cells.get(column)) for column in HEADING]


def _plain(value: Any) -> str | int:
    if isinstance(value, int):
        return value
    return "" if value is None else str(value)


def _cells(
    row: Shelved, piece: Stored, things: dict[str, dict[str, Stored]], notes: str | None, user: User
) -> dict[str, Any]:
    own = may_change(user, piece)
    cells = {
        "id": piece.pk, "name": piece.name, "number": row.number, "settled": _yes(row.settled),
        "picture": _yes(row.pictured), "damage": _yes(row.damaged),
        "made_from": row.made_from if 0 < row.made_from < YEAR_UNKNOWN else "",
        "made_to": row.made_to if 0 < row.made_to < YEAR_UNKNOWN else "",
    }  # fmt: skip
    for name in SAID:
        thing = things[name].get(getattr(row, name))
        cells[name] = thing if thing and (own or not thing.private) else ""
    if own:
        cells |= {"place": piece.place, "owner": piece.owner, "met": row.met, "private": _yes(piece.private)}
        cells["notes"] = notes
    return cells


def _notes(pieces: Iterable[str]) -> dict[str, str]:
    """What is noted of pieces as it stands now, an empty line between two notes."""
    found: dict[str, list[str]] = defaultdict(list)
    rows = MODELS["notes"].objects.current().filter(piece__in=list(pieces)).order_by("added_in_id", "pk")
    for piece, text in rows.values_list("piece", "text"):
        found[piece].append(text)
    return {piece: "\n\n".join(texts) for piece, texts in found.items()}


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def harmless(value: str | int) -> str:
    """A cell that a spreadsheet takes for text: an apostrophe before what would begin a formula [owasp_csv]_.

    Examples
    --------
    >>> harmless("=1+1"), harmless("-5"), harmless("417"), harmless(1936)
    ("'=1+1", "'-5", '417', '1936')
    """
    text = str(value)
    return f"'{text}" if text.startswith(_STARTS) else text
