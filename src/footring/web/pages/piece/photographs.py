"""Photographs of a piece: taken in, shown, described, in order."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from footring.records import photographs
from footring.records.models import Role, Stored, User
from footring.records.privacy import may_change, visible
from footring.terms.errors import BadInput
from footring.web.access import allow
from footring.web.pages.piece.views import changeable_piece, context

FRESH = "private, max-age=86400, immutable"


@allow(Role.MEMBER)
@require_POST
def add(request: HttpRequest, piece_id: str) -> HttpResponse:
    """Take a photograph in."""
    piece = changeable_piece(request.user, piece_id)
    file = request.FILES.get("photograph")
    said = {name: request.POST.get(name, "").strip() or None for name in ("side", "credit", "permission")}
    try:
        if file is None or file.size > photographs.LARGEST_BYTES:
            raise BadInput(f"choose a photograph of at most {photographs.LARGEST_BYTES / 1e6:.0f} MB")
        photographs.keep(file.read(), request.user, piece=piece.pk, **said)
    except BadInput as error:
        told = context(request.user, piece) | {"problem": str(error)}
        return render(request, "piece/piece.html", told, status=400)
    messages.success(request, "Kept, as it came.")
    return redirect("piece", piece_id)


@allow(Role.GUEST)
@require_GET
def show(request: HttpRequest, photograph_id: str, size: str) -> HttpResponse:
    """A photograph, without what the camera wrote into it."""
    if size not in photographs.SIZES:
        raise Http404
    found = seen_photograph(request.user, photograph_id)
    answer = HttpResponse(photographs.shown(found, size), content_type="image/jpeg")
    answer["Cache-Control"] = FRESH
    return answer


@allow(Role.MEMBER)
@require_GET
def original(request: HttpRequest, photograph_id: str) -> HttpResponse:
    """The file as it came, for whoever may change the piece: the camera may have written into it where it was taken."""
    found = seen_photograph(request.user, photograph_id)
    if found.piece is None or not may_change(request.user, found.piece):
        raise Http404
    data, kind = photographs.original(found)
    answer = HttpResponse(data, content_type=f"image/{kind.lower()}")
    answer["Content-Disposition"] = f'attachment; filename="{found.sha256[:12]}.{photographs.KINDS[kind]}"'
    return answer


def seen_photograph(user: User, photograph_id: str) -> Stored:
    """A photograph that a person may see: of a piece they may see; guests only with a permission on record.

    Raises
    ------
    Http404
        There is none.
    """
    found = visible("photographs", user).select_related("piece__added_in").filter(pk=photograph_id).first()
    if found is None or (found.piece_id and not visible("pieces", user).filter(pk=found.piece_id).exists()):
        raise Http404
    if not user.may(Role.MEMBER) and not found.permission:
        raise Http404
    return found
