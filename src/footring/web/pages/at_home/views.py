"""The list and the shelf, several pieces moved at once, and the table for a spreadsheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from footring.records.acts import act
from footring.records.models import MODELS, Role, Shelved, Stored
from footring.records.privacy import may_change, visible
from footring.web.access import allow
from footring.web.glaze_colour import colour_of
from footring.web.pages.at_home.choosing import BY, PAGE, SHOWN, YES_NO, Choice, page_of, pieces, places, things, told
from footring.web.pages.at_home.export import lines
from footring.web.pages.reference.drawn import outline

SCALE = 0.42
"""Pixels to the millimetre on the shelf."""


@allow(Role.MEMBER)
@require_GET
def at_home(request: HttpRequest) -> HttpResponse:
    """What is at home, the newest first: drawn to scale, and as a list."""
    choice = Choice.of(request.GET)
    rows, looked_for = pieces(choice, request.user)
    page = page_of(rows, choice)
    shown, more = page[:PAGE], len(page) > PAGE
    return render(
        request,
        "at_home/at_home.html",
        {
            "choice": choice,
            "shown": shown,
            "where": {row.piece_id for row in shown if may_change(request.user, row.piece)},
            "shelf": list(_shelf(shown)),
            "next": choice.next(shown[-1]) if more else "",
            "told": told(choice, request.user),
            "mended": looked_for if looked_for != choice.words.casefold() else "",
            "by": [(name, _values(name), dict(choice.chosen).get(name, "")) for name in BY],
            "yes_no": [(name, label, name in choice.flags) for name, label in YES_NO.items()],
            "all_places": places(request.user),
        },
    )


def _shelf(rows: list[Shelved]) -> Iterator[tuple[Shelved, object, str | None]]:
    """Pieces with their outlines, None where nobody measured such a size, and the colours of their glazes.

    A piece of which nobody said the size is drawn where its form has but one.
    """
    sizes: dict[str, list[Stored]] = defaultdict(list)
    forms = {row.form_id for row in rows if row.form_id}
    for size in MODELS["sizes"].objects.filter(form__in=forms, across_mm__gt=0, high_mm__gt=0):
        sizes[size.form_id].append(size)
    for row in rows:
        measured = [size for size in sizes[row.form_id] if row.size_id in (None, size.pk)]
        drawn = outline(row.form, measured[0], SCALE) if len(measured) == 1 else None
        yield row, drawn, colour_of(row.glaze)


def _values(name: str) -> list[tuple[str, str]]:
    return list(things(name).order_by("name").values_list("pk", "name")[:1000])


@allow(Role.MEMBER)
@require_POST
def move(request: HttpRequest) -> HttpResponse:
    """Put several pieces away in one place, in one act."""
    chosen = visible("pieces", request.user).select_related("added_in").filter(pk__in=request.POST.getlist("piece"))
    if not all(may_change(request.user, piece) for piece in chosen):
        raise PermissionDenied
    place = request.POST.get("put_in") or None
    with act(f"Move {len(chosen)} pieces", request.user) as doing:
        for piece in chosen:
            doing.change("pieces", piece.pk, place=place)
    messages.success(request, f"{len(chosen)} pieces moved.")
    return redirect(f"{reverse('at-home')}?{Choice.of(request.POST).address}")


@allow(Role.MEMBER)
@require_GET
def export(request: HttpRequest) -> HttpResponse:
    """All that was asked for, as CSV."""
    rows, _ = pieces(Choice.of(request.GET), request.user)
    rows = rows.select_related(*SHOWN)
    answer = StreamingHttpResponse(lines(rows.iterator(1000), request.user.may(Role.CURATOR)), content_type="text/csv")
    answer["Content-Disposition"] = 'attachment; filename="at-home.csv"'
    return answer
