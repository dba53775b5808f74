"""Reading the collection: each person what they would see on a page."""

from __future__ import annotations

from typing import Annotated, Any

from django.db.models import QuerySet
from django.http import HttpRequest
from django.shortcuts import get_object_or_404
from ninja import Path, Query, Router

from footring.records.models import MODELS, Role, Stored, User
from footring.records.privacy import may_change, visible
from footring.web.api import told
from footring.web.api.tokens import TokenOf

MOST = 500
router = Router(tags=["read"], auth=TokenOf(Role.GUEST))
After = Annotated[str, Query(max_length=200, pattern=told.WRITTEN, description="The `next` of the answer before")]
Limit = Annotated[int, Query(ge=1, le=MOST)]
Of = Annotated[str, Query(max_length=200, pattern=told.WRITTEN, description="Only those of this piece")]


def of_seen_pieces(table: str, user: User) -> QuerySet[Stored]:
    """Current rows of a table that a person may see, of pieces that they may see."""
    rows = visible(table, user).filter(pk__in=MODELS[table].objects.current().values("pk"))
    return rows if user.may(Role.CURATOR) else rows.filter(piece__in=visible("pieces", user).values("pk"))


def _some(rows: QuerySet[Stored], after: str, limit: int) -> tuple[list[Stored], str | None]:
    found = list(rows.filter(pk__gt=after).order_by("pk")[: limit + 1])
    return found[:limit], found[limit - 1].pk if len(found) > limit else None


@router.get("/pieces", response={200: told.Pieces, **told.ANYTIME}, url_name="pieces")
def pieces(request: HttpRequest, after: After = "", limit: Limit = 100) -> told.Plain:
    """Pieces, in the order of their ids."""
    found, more = _some(visible("pieces", request.auth).select_related("added_in"), after, limit)
    return {"items": [piece_told(request.auth, piece) for piece in found], "next": more}


@router.get("/pieces/{piece_id}", response={200: told.WholePiece, 404: told.Problem, **told.ANYTIME}, url_name="piece")
def piece(request: HttpRequest, piece_id: Annotated[str, Path(pattern=told.WRITTEN)]) -> told.Plain:
    """One piece, with its readings, the days it was met on, and its notes."""
    user = request.auth
    found = get_object_or_404(visible("pieces", user).select_related("added_in"), pk=piece_id)
    own = may_change(user, found)
    met = of_seen_pieces("encounters", user).filter(piece=found).order_by("pk")
    read = of_seen_pieces("readings", user).filter(piece=found).order_by("pk")
    notes = of_seen_pieces("notes", user).filter(piece=found).order_by("pk")
    return {
        **piece_told(user, found), "readings": [reading_told(row) for row in read],
        "encounters": [encounter_told(row, own) for row in met], "notes": [_only(told.Note, row) for row in notes],
    }  # fmt: skip


@router.get("/readings", response={200: told.Readings, **told.ANYTIME}, url_name="readings")
def readings(request: HttpRequest, piece: Of = "", after: After = "", limit: Limit = 100) -> told.Plain:
    """Readings that nothing supersedes, in the order of their ids."""
    rows = of_seen_pieces("readings", request.auth)
    found, more = _some(rows.filter(piece=piece) if piece else rows, after, limit)
    return {"items": [reading_told(row) for row in found], "next": more}


@router.get("/findings", response={200: told.Findings, **told.ANYTIME}, url_name="findings")
def findings(request: HttpRequest, piece: Of = "", after: After = "", limit: Limit = 100) -> told.Plain:
    """Findings as they were set down, with their answers."""
    rows = of_seen_pieces("findings", request.auth)
    found, more = _some(rows.filter(piece=piece) if piece else rows, after, limit)
    answers: dict[str, list[dict[str, Any]]] = {row.pk: [] for row in found}
    for answer in visible("finding_answers", request.auth).filter(finding__in=found).order_by("finding", "rank"):
        answers[answer.finding_id].append(_only(told.Answer, answer))
    items = [{**_only(told.Finding, row), "answers": answers[row.pk]} for row in found]
    return {"items": items, "next": more}


def _only(shape: type[Any], row: Stored) -> dict[str, Any]:
    """What a shape names of a row."""
    values = row.values()
    return {name: values[name] for name in shape.model_fields if name in values}


def piece_told(user: User, row: Stored) -> dict[str, Any]:
    """A piece as a person may know it."""
    values = _only(told.Piece, row)
    return values if may_change(user, row) else values | {"place": None}


def reading_told(row: Stored) -> dict[str, Any]:
    """A reading; who read it stays out."""
    return _only(told.Reading, row)


def encounter_told(row: Stored, own: bool) -> dict[str, Any]:
    """An encounter, and where it was for whoever may change the piece."""
    values = _only(told.Encounter, row)
    return values if own else values | {"place": None}
