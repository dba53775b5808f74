"""A person's word on what a piece is, and is not."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from footring.records.acts import act
from footring.records.ids import new_id
from footring.records.known import known
from footring.records.models import Stored
from footring.rows.collection import Attribution, Rejection
from footring.terms.errors import BadInput
from footring.web.cells import cell_in_words, names_of
from footring.web.pages.piece.doing import Overtaken, changing, text
from footring.web.pages.piece.entry import CELL
from footring.web.pages.piece.keeping import keep_finding
from footring.web.pages.piece.said import named_in, said_of, thing_of, withdrawn


@changing("said")
def this(request: HttpRequest, piece: Any) -> str:
    """Say what it is; what was said and proposed before gives way, and is kept."""
    cell = {name: text(request, name) for name in CELL}
    if not cell["line"]:
        raise BadInput("line: expected one of your reference's lines; without a line nothing can be said")
    before = _as_shown(request, piece, cell_in_words(names_of(known().to(request.user), _given(cell))))
    with act("Say what it is", request.user) as doing:
        word = Attribution(
            new_id(),
            piece=piece.pk,
            weight=1.0,
            basis="confirmed",
            supersedes=before[-1].pk if before else None,
            **cell,
        )
        doing.add(word, *map(withdrawn, before[:-1]))
    return "Kept, on your word."


@changing("said")
def not_this(request: HttpRequest, piece: Any) -> str:
    """Say what it is not, and why; what else was said of it stays."""
    column = request.POST.get("column", "")
    before = _as_shown(request, piece, f"not what was said of its {column.replace('_', ' ')}")
    if not before or column not in CELL or getattr(before[-1], f"{column}_id") is None:
        raise BadInput("nothing of the kind is said of this piece now: there is nothing to reject")
    table, subject = thing_of(before[-1], column)
    with act("Say what it is not", request.user) as doing:
        doing.add(
            Rejection(new_id(), piece=piece.pk, subject_table=table, subject=subject, reason=text(request, "reason")),
            _without(before[-1], column),
        )
    return "Kept: it is not that."


@changing("findings")
def keep(request: HttpRequest, piece: Any) -> str:
    """Keep what follows now from what was read."""
    now = known().to(request.user)
    with act("Keep what was found", request.user) as doing:
        keep_finding(doing, now, piece)
    return "Kept, with what it rests on."


def _without(said: Stored, column: str) -> Attribution:
    """What is left of what was said without one thing; a size goes with its form, and all with the line."""
    if column == "line":
        return withdrawn(said)
    gone = {column, *(["size"] if column == "form" else [])}
    left = {name: None if name in gone else getattr(said, f"{name}_id") for name in CELL}
    return Attribution(
        new_id(), piece=said.piece_id, weight=said.weight, basis=said.basis, supersedes=said.pk, **left
    )  # fmt: skip


def _as_shown(request: HttpRequest, piece: Stored, yours: str) -> list[Stored]:
    """What is said of the piece now, what counts last; as the page showed it.

    Raises
    ------
    Overtaken
        Somebody said something else since.
    """
    said = sorted(said_of(piece), key=lambda one: one.basis == "confirmed")
    shown, last = request.POST.get("instead_of"), said[-1].pk if said else ""
    if shown is not None and shown != last:
        theirs = cell_in_words(named_in(said[-1])) if said else "nothing"
        who = said[-1].recorded_by if said else "somebody"
        told = f"something else was said of this piece meanwhile by {who}: both are shown; choose"
        raise Overtaken(told, {"it is": theirs}, {"it is": yours}, last)
    return said


def _given(cell: dict[str, str | None]) -> dict[str, str]:
    return {name: value for name, value in cell.items() if value}
