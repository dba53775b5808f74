"""What was noted of a piece, put right or taken away; what stood there before is kept."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest

from footring.records.acts import act
from footring.records.models import MODELS, Stored
from footring.terms.errors import BadInput
from footring.web.pages.piece.doing import Overtaken, changing

CALLED = {
    "notes": "a note", "conditions": "what was noted of its condition", "prices": "a price",
    "acquisitions": "how it came", "encounters": "a meeting", "parts": "what belongs to it",
}  # fmt: skip
"""Tables whose rows are taken off a piece one by one, and what one of them is called."""


def instead_of(request: HttpRequest, piece: Stored, table: str, **yours: Any) -> str | None:
    """Id of the statement that is put right; None where a new one is made.

    Parameters
    ----------
    **yours
        What is to be written, to be shown beside what stands there where somebody was first.

    Raises
    ------
    Overtaken
        Somebody put another one in its place since it was shown.
    BadInput
        It is gone.
    """
    if not (given := request.POST.get("instead_of")):
        return None
    shown = MODELS[table].objects.filter(piece=piece, pk=given).first()
    if shown is None:
        raise BadInput("that was taken away meanwhile: look at the piece again")
    now = shown
    while (later := MODELS[table].objects.filter(supersedes=now).first()) is not None:
        now = later
    if now.pk != shown.pk:
        theirs = {name: value for name, value in now.values().items() if name in yours}
        raise Overtaken(f"this was put right meanwhile by {now.recorded_by}: choose", theirs, yours, now.pk)
    return str(now.pk)


def as_before(table: str, before: str | None, *columns: str) -> dict[str, Any]:
    """What a form does not ask for, as the statement has it that is put right."""
    found = MODELS[table].objects.filter(pk=before or "").first()
    return {name: found.values()[name] for name in columns} if found else {}


@changing("piece")
def take_away(request: HttpRequest, piece: Any) -> str:
    """Take one thing off the piece, with what it was put in the place of."""
    table = request.POST.get("table", "")
    if table not in CALLED:
        raise BadInput(f"{table!r} is nothing that is taken away here: expected one of {', '.join(CALLED)}")
    found = MODELS[table].objects.filter(piece=piece, pk=request.POST.get("row", "")).first()
    if found is None:
        raise BadInput("that was taken away meanwhile: look at the piece again")
    with act(f"Take away {CALLED[table]}", request.user) as doing:
        doing.remove(table, _with_what_was_before(found))
    return "Taken away. It can be undone from the history."


def _with_what_was_before(row: Stored) -> Sequence[str]:
    """A row and all that it stands in the place of: none of that is to count again."""
    ids = [row.pk]
    while (row := getattr(row, "supersedes", None)) is not None:
        ids.append(row.pk)
    return ids
