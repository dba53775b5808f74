"""Photographs of a piece: taken in, shown, described, in order."""

from __future__ import annotations

import re
from typing import Any

from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from footring.records import photographs
from footring.records.acts import Conflict, act
from footring.records.models import Role, Stored, User
from footring.records.pictures import KINDS
from footring.records.privacy import may_change, visible
from footring.terms.errors import BadInput
from footring.web.access import allow
from footring.web.errors import FAILED, why
from footring.web.pages.piece.doing import both, changing, part_of, seen, text
from footring.web.pages.piece.entry import SIDES, entry_of
from footring.web.pages.piece.views import changeable_piece, seen_piece

FRESH = "private, max-age=86400, immutable"


@changing("photographs")
def add(request: HttpRequest, piece: Any) -> str:
    """Take photographs in; each that cannot be is named, and hinders no other."""
    files = request.FILES.getlist("photograph")
    if not files:
        raise BadInput("choose a photograph: none came")
    said = {name: text(request, name) for name in ("side", "credit", "permission")} | {"part": part_of(request, piece)}
    kept, problems = _kept(request.user, piece, files, said)
    if problems:
        raise BadInput("; ".join([*problems, *([f"{kept} kept"] if kept else [])]))
    return "Kept as it came." if len(files) == 1 else f"{len(files)} photographs kept as they came."


def _kept(user: User, piece: Any, files: list[UploadedFile], said: dict[str, str | None]) -> tuple[int, list[str]]:
    """How many were kept, and what was wrong with the others. A disk or store that fails is not tried again."""
    kept, problems = 0, []
    for file in files:
        try:
            if (file.size or 0) > photographs.LARGEST_BYTES:
                raise BadInput(f"at most {photographs.LARGEST_BYTES / 1e6:.0f} MB are kept")
            photographs.keep(file.read(), user, piece=piece.pk, **{**said, "side": said["side"] or _side_of(file.name)})
            kept += 1
        except photographs.KeptAlready as here:
            problems.append(f"{file.name}: {here}{_where(user, piece, here.kept)}")
        except BadInput as error:
            problems.append(f"{file.name}: {error}")
        except FAILED as error:
            if not kept:
                raise
            return kept, [*problems, f"{file.name}, and what was to come after it, could not be written: {why(error)}"]
    return kept, problems


def _side_of(name: str | None) -> str | None:
    """The side that a file is named after: foot.jpg, foot-2.jpg."""
    first = re.split(r"[^a-z]", (name or "").casefold())[0]
    return first if first in SIDES else None


def _where(user: User, piece: Any, kept: Stored) -> str:
    """Which piece it is of, where the person may see that piece."""
    if kept.piece_id == piece.pk:
        return ", it is of this piece"
    other = visible("pieces", user).filter(pk=kept.piece_id).first()
    return f", it is of {other.name or 'another piece'} ({reverse('piece', args=[other.pk])})" if other else ""


@allow(Role.MEMBER)
@require_POST
def change(request: HttpRequest, photograph_id: str) -> HttpResponse:
    """Say what it shows, who took it, who permits that it is published."""
    found = _changeable(request.user, photograph_id)
    said: dict[str, Any] = {name: text(request, name) for name in ("side", "credit", "permission")}
    try:
        with act("Describe a photograph", request.user) as doing:
            hidden = bool(request.POST.get("private"))
            doing.change("photographs", found.pk, seen(request), private=hidden, **said)
    except Conflict as conflict:
        return both(request, found.piece, conflict, found)
    messages.success(request, "Noted.")
    return _back(found)


@allow(Role.MEMBER)
@require_POST
def move(request: HttpRequest, photograph_id: str) -> HttpResponse:
    """Show it first, or earlier or later among those of its piece."""
    found = _changeable(request.user, photograph_id)
    order = entry_of(found.piece, request.user).photographs
    ids = [one.pk for one in order]
    at = ids.index(found.pk)
    to = {"first": 0, "earlier": max(at - 1, 0), "later": at + 1}.get(request.POST.get("to", ""), at)
    ids.insert(to, ids.pop(at))
    stood = {one.pk: one.position for one in order}
    try:
        with act("Put photographs into another order", request.user) as doing:
            for position, pk in enumerate(ids, 1):
                if stood[pk] != position:
                    doing.change("photographs", pk, seen(request) if pk == found.pk else None, position=position)
    except Conflict as conflict:
        return both(request, found.piece, conflict, found)
    messages.success(request, f"Shown as {ids.index(found.pk) + 1} of {len(ids)}.")
    return _back(found)


@allow(Role.MEMBER)
@require_POST
def take_away(request: HttpRequest, photograph_id: str) -> HttpResponse:
    """Take it off the piece; its file stays, since that can be undone."""
    found = _changeable(request.user, photograph_id)
    with act("Take a photograph away", request.user) as doing:
        doing.remove("photographs", [found.pk])
    messages.success(request, "Taken away. It can be undone from the history.")
    return _back(found)


def _back(photograph: Stored) -> HttpResponse:
    return redirect(reverse("piece", args=[photograph.piece_id]) + "#photographs")


def _changeable(user: User, photograph_id: str) -> Stored:
    found = seen_photograph(user, photograph_id)
    if found.piece_id is None:
        raise Http404
    changeable_piece(user, found.piece_id)
    return found


@allow(Role.GUEST)
@require_safe
def show(request: HttpRequest, photograph_id: str, size: str) -> HttpResponse:
    """A photograph, without what the camera wrote into it."""
    if size not in photographs.SIZES:
        raise Http404
    found = seen_photograph(request.user, photograph_id)
    answer = HttpResponse(photographs.shown(found, size), content_type="image/jpeg")
    answer["Content-Disposition"] = f'inline; filename="{found.sha256[:12]}-{size}.jpg"'
    answer["Cache-Control"] = FRESH
    return answer


@allow(Role.MEMBER)
@require_safe
def original(request: HttpRequest, photograph_id: str) -> HttpResponse:
    """The file as it came, for whoever may change the piece: the camera may have written into it where it was taken."""
    found = seen_photograph(request.user, photograph_id)
    if found.piece is None or not may_change(request.user, found.piece):
        raise Http404
    data, kind = photographs.original(found)
    answer = HttpResponse(data, content_type=f"image/{kind.lower()}")
    answer["Content-Disposition"] = f'attachment; filename="{found.sha256[:12]}.{KINDS[kind]}"'
    return answer


def seen_photograph(user: User, photograph_id: str) -> Stored:
    """A photograph that a person may see: of a piece they may see; guests only with a permission on record.

    Raises
    ------
    Http404
        There is none.
    """
    found = visible("photographs", user).select_related("piece__added_in", "added_in").filter(pk=photograph_id).first()
    if found is None or (found.piece_id is None and not may_change(user, found)):
        raise Http404
    if found.piece_id is not None:
        seen_piece(user, found.piece_id)
    if not user.may(Role.MEMBER) and not found.permission:
        raise Http404
    return found
