"""Examining, and adding what was met."""

from __future__ import annotations

from dataclasses import replace

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest
from django.shortcuts import get_object_or_404
from ninja import Router, Status

from footring.marks.readings import Reading, read_reading
from footring.reasoning.piece_json import piece_json
from footring.records.acts import act
from footring.records.ids import new_id
from footring.records.known import known
from footring.records.models import MODELS, Role
from footring.records.privacy import may_change, places_of, visible
from footring.rows.collection import Encounter
from footring.terms.errors import BadInput
from footring.terms.phrases import parse_when
from footring.web.api import told
from footring.web.api.reading import encounter_told
from footring.web.api.tokens import TokenOf

router = Router(tags=["do"], auth=TokenOf(Role.MEMBER))
_REFUSED = {400: told.Problem, 403: told.Problem, 413: told.Problem, **told.ANYTIME}


@router.post("/examine", response={200: told.Plain, **_REFUSED}, url_name="examine")
def examine(request: HttpRequest, asked: told.ToExamine) -> told.Plain:
    """What a piece is, when it was made, how sure and why: the object that `footring examine --json` prints.

    Nothing is kept of it. The cautions belong to the answer: show them with it.
    """
    return piece_json(known().to(request.auth).examiner.finding(_numbered(asked.readings), about=asked.about))


def _numbered(given: list[told.Read]) -> list[Reading]:
    """Readings with those of one name told apart, as on the command line."""
    seen: dict[str, int] = {}
    found = []
    for one in given:
        reading = read_reading(one.name, one.value)
        if reading is not None:
            seen[one.name] = seen.get(one.name, 0) + 1
            numbered = one.name.rpartition(".")[2].isdigit()
            found.append(reading if numbered else replace(reading, index=seen[one.name]))
    if not found:
        raise BadInput("nothing was read: expected at least one reading with a value")
    return found


@router.post("/encounters", response={201: told.Encounter, 404: told.Problem, **_REFUSED}, url_name="encounters")
def add_encounter(request: HttpRequest, asked: told.ToMeet) -> Status:
    """Set down that a piece was met again; it can be undone from the piece's history."""
    user = request.auth
    piece = get_object_or_404(visible("pieces", user).select_related("added_in"), pk=asked.piece)
    if not may_change(user, piece):
        raise PermissionDenied
    met = str(parse_when(asked.met)) if asked.met else None
    offered = {"channel": visible("channels", user), "outing": visible("outings", user), "place": places_of(user)}
    for column, rows in offered.items():
        pk = getattr(asked, column)
        if pk is not None and not rows.filter(pk=pk).exists():
            raise BadInput(f"{column} {pk!r}: no such id in {column}s")
    row = Encounter(
        new_id(), piece=piece.pk, met=met, channel=asked.channel, outing=asked.outing, place=asked.place,
        private=piece.private,
    )  # fmt: skip
    with act("met again", user) as doing:
        doing.add(row)
    return Status(201, encounter_told(MODELS["encounters"].objects.get(pk=row.id), own=True))
