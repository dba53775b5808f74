"""What a piece is, from what was read off it: the label that writes itself."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from footring.reasoning.finding import Finding
from footring.reasoning.typed import understood
from footring.records.acts import act
from footring.records.findings import cells_of, leading
from footring.records.known import Known, at_once, known
from footring.records.models import Role
from footring.records.privacy import may_change, places_of, visible
from footring.terms.errors import BadInput
from footring.web.access import allow
from footring.web.cautioned import grouped
from footring.web.cells import cell_in_words, names_of
from footring.web.pages.examine import again, putting_away
from footring.web.pages.examine.asked import Asked, asked
from footring.web.pages.examine.confirming import chosen
from footring.web.pages.examine.curves import curves
from footring.web.pages.examine.folds import fold_of
from footring.web.pages.examine.label import Label, Writing
from footring.web.pages.examine.nearest import nearest, piece_page
from footring.web.pages.examine.why import why

Shown = dict[str, Any]
MOST_PLACES = 200
AWAY = "away"
"""What is unfolded to put a piece away."""


@allow(Role.MEMBER)
@require_safe
def examine(request: HttpRequest) -> HttpResponse:
    """The label, from readings in the address: `?r=form=bowl&r=number=417`."""
    ready = at_once()
    if ready is None:
        return render(request, "examine/getting_ready.html", {"again": request.get_full_path()})
    now = ready.to(request.user)
    state = asked(request.GET, now.examiner.model.channels)
    lines = understood(now.examiner.model, state.typed) if state.typed else ()
    if lines and request.GET.get("take"):
        return _taken(request, now, chosen(request.GET, lines, state))
    return _page(request, now, state, lines=lines)


def _taken(request: HttpRequest, now: Known, state: Asked) -> HttpResponse:
    """The page with what was confirmed, under its own address."""
    if not _part_of_a_page(request):
        return redirect(reverse("examine") + state.address)
    lines = understood(now.examiner.model, state.typed) if state.typed else ()
    answer = _page(request, now, state, lines=lines, focus="add")
    answer.headers["HX-Push-Url"] = reverse("examine") + state.address
    return answer


def _part_of_a_page(request: HttpRequest) -> bool:
    return bool(request.htmx) and not request.htmx.history_restore_request


def _page(request: HttpRequest, now: Known, state: Asked, status: int = 200, **more: Any) -> HttpResponse:
    readable = any(line.meanings for line in more.get("lines", ()))
    template = "examine/piece.html" if _part_of_a_page(request) else "examine/examine.html"
    return render(request, template, {**_shown(request, now, state), "readable": readable, **more}, status=status)


def _shown(request: HttpRequest, now: Known, state: Asked) -> Shown:
    """Everything that stands on the page; what takes long is left for a second request."""
    channels, readings = now.examiner.model.channels, state.readings
    wanted = bool(readings or state.open)
    finding = now.examiner.finding(readings, explain="why" in request.GET, most=0) if wanted else None
    shown: Shown = {
        "state": state, "finding": finding, "label": _label(request, finding, now, state),
        "fold": fold_of(state, finding, channels), "piece_url": piece_page(state.of) if state.of else "",
    }  # fmt: skip
    if finding is not None and readings:
        shown |= {"curves": curves(finding.dates), "near": nearest(finding, request.user)}
        shown |= {"cautions": grouped(finding.cautions), "away": state.opening(AWAY).address}
        shown |= _to_put_away(request, now, finding) if state.open == AWAY else {}
        shown |= {"lid": _label(request, finding.lid, now, state)} if finding.lid else {}
        shown |= {"why": why(finding)} if "why" in request.GET else {}
    return shown


def _label(request: HttpRequest, finding: Finding | None, now: Known, state: Asked) -> Label:
    told = finding if state.readings else None
    return Writing(told, now.examiner.model.channels, request.user.form_word).label().linked(state)


def _to_put_away(request: HttpRequest, now: Known, finding: Finding) -> Shown:
    """What the form asks that a piece is put away with."""
    places = places_of(request.user).order_by("name").values_list("name", flat=True)[:MOST_PLACES]
    cell = leading(cells_of(now.examiner.model, finding))
    may_be = cell_in_words(names_of(now, cell.ids)) if cell else ""
    return {"may_be": may_be, "known_places": places, "said": putting_away.PutAway()}


@allow(Role.MEMBER)
@require_safe
def reasons(request: HttpRequest) -> HttpResponse:
    """Why, and what to look at next: asked for once the label stands."""
    now = known().to(request.user)
    state = asked(request.GET, now.examiner.model.channels)
    found = now.examiner.finding(state.readings, most=0)
    return render(request, "examine/why.html", {"why": why(found), "state": state, "later": True})


@allow(Role.MEMBER)
@require_POST
def put_away(request: HttpRequest) -> HttpResponse:
    """Make a piece of what was read, in one act."""
    now = known().to(request.user)
    state = asked(request.POST, now.examiner.model.channels)
    said = putting_away.PutAway(
        request.POST.get("name", ""), request.POST.get("place", ""), request.POST.get("is_this") == "yes",
        state.ruled_out,
    )  # fmt: skip
    finding = now.examiner.finding(state.readings, explain=False, most=0)
    try:
        rows = putting_away.rows_of(now, finding, said)
    except BadInput as error:
        return _page(request, now, state.now(open=AWAY), problem=str(error), said=said, status=400)
    with act("put away", request.user) as doing:
        doing.add(*rows)
    [piece] = [row for row in rows if row.TABLE == "pieces"]
    messages.success(request, f"Put away: {piece.name or 'a piece without a name'}. It can be undone from its history.")
    return redirect("piece", piece.id)


@allow(Role.MEMBER)
@require_POST
def not_this(request: HttpRequest, piece: str) -> HttpResponse:
    """Set down that a piece which is put away is not this."""
    if not may_change(request.user, get_object_or_404(visible("pieces", request.user), pk=piece)):
        raise PermissionDenied
    row = putting_away.rejection(
        piece, request.POST.get("table", ""), request.POST.get("subject", ""), request.POST.get("reason", "")
    )
    with act("said what it is not", request.user) as doing:
        doing.add(row)
    messages.success(request, "Set down with the piece.")
    back = request.POST.get("back", "")
    return redirect(reverse("examine") + _query(back)) if back else redirect("piece", piece)


def _query(given: str) -> str:
    """An address of this page: its query and nothing else, so that nobody is sent elsewhere."""
    return "?" + given.partition("?")[2]


@allow(Role.MEMBER)
@require_safe
def examine_again(request: HttpRequest, piece: str) -> HttpResponse:
    """The label of a piece that is put away, from what was read of it."""
    of = get_object_or_404(visible("pieces", request.user), pk=piece)
    return redirect(reverse("examine") + again.seen_by(request.user, of).address)
