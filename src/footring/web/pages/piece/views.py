"""A piece's entry and its history."""

from __future__ import annotations

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from footring.care.cautions import cautions
from footring.marks.foot import Foot
from footring.marks.readings import NAMES
from footring.reasoning.label_text import sentences
from footring.records.known import known
from footring.records.models import MODELS, Role, Stored, User
from footring.records.privacy import may_change, visible
from footring.web.access import allow
from footring.web.pages.piece.entry import acts_of, entry_of, reads


@allow(Role.GUEST)
@require_GET
def piece(request: HttpRequest, piece_id: str) -> HttpResponse:
    """The entry, read from top to foot."""
    return render(request, "piece/piece.html", context(request.user, seen_piece(request.user, piece_id)))


@allow(Role.MEMBER)
@require_GET
def history(request: HttpRequest, piece_id: str) -> HttpResponse:
    """What was done to it, the last first."""
    found = changeable_piece(request.user, piece_id)
    return render(request, "piece/history.html", {"piece": found, "acts": acts_of(found)})


def context(user: User, found: Stored) -> dict[str, object]:
    """What the entry's page shows."""
    entry = entry_of(found, user)
    examiner = known().examiner
    read, unused = reads(entry.readings, examiner.model.channels)
    finding = examiner.finding(read, explain=False) if read else None
    told = finding.cautions if finding else cautions(Foot())
    return {
        "entry": entry,
        "piece": found,
        "unused": unused,
        "label": list(sentences(finding)) if finding else [],
        "cautions": told,
        "reading_names": NAMES,
        "all_places": MODELS["places"].objects.order_by("name") if entry.changeable else (),
    }


def seen_piece(user: User, piece_id: str) -> Stored:
    """A piece that a person may see.

    Raises
    ------
    Http404
        There is none: one that may not be seen is not there.
    """
    found = visible("pieces", user).select_related("added_in__by", "place", "owner").filter(pk=piece_id).first()
    if found is None:
        raise Http404
    return found


def changeable_piece(user: User, piece_id: str) -> Stored:
    """A piece that a person may change.

    Raises
    ------
    Http404
        There is none.
    PermissionDenied
        It may be seen, and not changed.
    """
    found = seen_piece(user, piece_id)
    if not may_change(user, found):
        raise PermissionDenied
    return found
