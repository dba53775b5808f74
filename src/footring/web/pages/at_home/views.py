"""The list and the shelf, what to ask for, and the tables for a spreadsheet."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from footring.records.models import Act, Role
from footring.records.shelf_words import folded
from footring.standards.ooxml import MEDIA_TYPE
from footring.web.access import allow
from footring.web.pages.at_home.asked import NAMED, ORDERS, STATES, Choice
from footring.web.pages.at_home.choosing import MOST_COUNTED, counted, page_of, pieces, things, told
from footring.web.pages.at_home.export import csv_of, workbook_of
from footring.web.pages.at_home.shown import shown
from footring.web.whole import whole

MOST_OFFERED = 2000


@allow(Role.MEMBER)
@require_safe
def at_home(request: HttpRequest) -> HttpResponse:
    """What is at home: drawn to scale, and as a list."""
    choice = Choice.of(request.GET)
    listed = pieces(choice, request.user)
    page, following = page_of(listed, choice)
    count = counted(listed.rows)
    context = {
        "choice": choice,
        "shown": shown(page, request.user),
        "next": following,
        "count": min(count, MOST_COUNTED),
        "more_than": count > MOST_COUNTED,
        "told": told(choice, request.user),
        "mended": listed.looked_for if listed.looked_for != " ".join(folded(choice.words).split()) else "",
        "orders": [(called, choice.ordered(name), name == choice.order) for name, (_, _, called) in ORDERS.items()],
        "views": request.user.views.all(),
        "done": _done(request),
    }
    return render(request, "at_home/at_home.html", context)


def _done(request: HttpRequest) -> Act | None:
    """What was just done here and can be undone."""
    number = whole(request.GET.get("done", ""))
    if number is None:
        return None
    return Act.objects.filter(pk=number, by=request.user, undone_by=None, tables=["pieces"]).first()


@allow(Role.MEMBER)
@require_safe
def ask(request: HttpRequest) -> HttpResponse:
    """What can be asked for besides words."""
    choice = Choice.of(request.GET)
    now = dict(choice.asked)
    options = [(name, _options(name, now, request), now.get(name, "")) for name in NAMED]
    context: dict[str, Any] = {
        "choice": choice,
        "options": [(name, offered, key) for name, offered, key in options if offered],
        "states": [(name, said, now.get(name, "")) for name, said in STATES.items()],
        "now": now,
    }
    return render(request, f"at_home/{'_ask' if request.htmx else 'ask'}.html", context)


def _options(name: str, now: dict[str, str], request: HttpRequest) -> list[tuple[str, str]]:
    """What is offered to choose from; forms are those of the line that was chosen."""
    rows = things(name, request.user)
    if name == "form":
        line = now.get("line")
        rows = rows.filter(line=line) if line else rows.select_related("line")
        named = [(form.pk, form.name if line else f"{form.name}, {form.line.name}") for form in rows[:MOST_OFFERED]]
    else:
        named = [(thing.pk, str(thing)) for thing in rows[:MOST_OFFERED]]
    return sorted(named, key=lambda pair: pair[1].casefold())


@allow(Role.MEMBER)
@require_safe
def export(request: HttpRequest) -> HttpResponse:
    """All that was asked for, as CSV."""
    rows = pieces(Choice.of(request.GET), request.user).rows
    return _file(csv_of(rows, request.user), "text/csv; charset=utf-8", "at-home.csv")


@allow(Role.MEMBER)
@require_safe
def workbook(request: HttpRequest) -> HttpResponse:
    """All that was asked for, as a workbook."""
    rows = pieces(Choice.of(request.GET), request.user).rows
    return _file(workbook_of(rows, request.user), MEDIA_TYPE, "at-home.xlsx")


def _file(content: Iterable[str] | Iterable[bytes], kind: str, name: str) -> HttpResponse:
    answer = StreamingHttpResponse(content, content_type=kind)
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer
