"""The reference changed in place: a thing is written over and keeps its history, a statement is superseded."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST
from django_htmx.http import HttpResponseClientRedirect

from footring.records.acts import Conflict, act, undo
from footring.records.ids import new_id
from footring.records.models import MODELS, Act, Role, Stored, User
from footring.reference import ReferenceFaults
from footring.rows import TABLES, Row
from footring.web.access import allow
from footring.web.pages.reference.addresses import page_of
from footring.web.pages.reference.called import RELATED, WORD, called
from footring.web.pages.reference.fields import as_typed, beside, fields_of, read_form
from footring.web.pages.reference.opened import OPEN, seen_row
from footring.web.whole import whole

CHANGED_HERE = tuple(table for table in OPEN if table in WORD)
Problems = dict[str, str]


@allow(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def add(request: HttpRequest, table: str) -> HttpResponse:
    """A new row of a table; what is in the address stands in the form already."""
    if table not in CHANGED_HERE:
        raise Http404
    given = request.POST if request.method == "POST" else request.GET
    if request.method == "GET":
        return _form(request, table, given.dict(), {}, None)
    row, problems = _made(table, given.dict(), request.user)
    if row is None:
        return _form(request, table, given.dict(), problems, None)
    messages.success(request, f"Written down: {called(row)}.")
    return _on(request, row)


def _made(table: str, given: Mapping[str, str], user: User) -> tuple[Stored | None, Problems]:
    values, problems = read_form(table, given, user)
    if problems:
        return None, problems
    row = TABLES[table].row_class(id=new_id(), **values)
    try:
        with act(f"Add a {WORD[table]}", user) as doing:
            doing.add(row)
    except ReferenceFaults as faults:
        return None, beside(faults)
    return _stored(table, row.id), {}


def _stored(table: str, key: str) -> Stored:
    return MODELS[table].objects.select_related(*RELATED.get(table, ())).get(pk=key)


@allow(Role.CURATOR)
@require_http_methods(["GET", "HEAD", "POST"])
def change(request: HttpRequest, table: str, key: str) -> HttpResponse:
    """A row changed; if somebody else changed it meanwhile, both versions are shown."""
    row = seen_row(table, key, request.user)
    if table not in CHANGED_HERE:
        raise Http404
    if request.method == "GET":
        return _form(request, table, as_typed(row, request.user), {}, row)
    given = request.POST.dict()
    values, problems = read_form(table, given, request.user)
    if not problems and "source" in values and values["source"] is None and TABLES[table].kind == "statement":
        problems["source"] = "nothing was given for source; say who says so, so that it can be weighed"
    if problems:
        return _form(request, table, given, problems, row)
    try:
        new = _changed(row, values, whole(given.get("shown_in", "")) or 0, request.user)
    except ReferenceFaults as faults:
        return _form(request, table, given, beside(faults), row)
    except Conflict as conflict:
        return _both(request, row, given, conflict)
    messages.success(request, f"Kept: {called(new)}. What stood there before is in its history.")
    return _on(request, new)


def _changed(row: Stored, values: dict[str, Any], seen: int, user: User) -> Stored:
    """The row as it stands afterwards: the thing itself, or the statement that replaced it."""
    table = row.SPEC.name
    with act(f"Change a {WORD[table]}: {called(row)}", user) as doing:
        if row.SPEC.kind == "thing":
            doing.change(table, row.pk, seen=seen, **values)
            return _stored(table, row.pk)
        _not_superseded(row, values)
        new: Row = row.SPEC.row_class(id=new_id(), supersedes=row.pk, **values)
        doing.add(new)
        return _stored(table, new.id)


def _not_superseded(row: Stored, values: dict[str, Any]) -> None:
    model = MODELS[row.SPEC.name]
    later = model.objects.select_for_update(of=("self",)).select_related("added_in__by").filter(supersedes=row).first()
    if later is not None:
        who = later.added_in.by.get_username() if later.added_in.by else "the program"
        text = f"{called(row)} was replaced meanwhile by {who}, {later.added_in.at:%d %B %Y %H:%M}"
        raise Conflict(f"{text}: both versions are shown; choose", later.values(), {**row.values(), **values})


def _both(request: HttpRequest, row: Stored, given: dict[str, str], conflict: Conflict) -> HttpResponse:
    """Both versions side by side; to keep one's own, it is written over the other, which stays in the history."""
    table = row.SPEC.name
    now = MODELS[table].objects.select_related(*RELATED.get(table, ()), "written_in").get(pk=conflict.theirs["id"])
    theirs = as_typed(now, request.user)
    rows = [
        (field.label, theirs[field.column.name], given.get(field.column.name, ""), field.column.name)
        for field in fields_of(table, theirs, {})
    ]
    template = "reference/both_fold.html" if request.htmx else "reference/both.html"
    told = {
        "problem": str(conflict),
        "rows": rows,
        "row": now,
        "table": table,
        "word": WORD[table],
        "seen": now.written_in_id,
    }
    return render(request, template, told | {"url": page_of(now)}, status=409)


def _form(
    request: HttpRequest, table: str, given: Mapping[str, str], problems: Problems, row: Stored | None
) -> HttpResponse:
    seen = given.get("shown_in") or (row.written_in_id if row else "")
    where = reverse("reference-change", args=[table, row.pk]) if row else reverse("reference-add", args=[table])
    template = "reference/change_fold.html" if request.htmx else "reference/change.html"
    told = {
        "fields": fields_of(table, given, problems), "row": row, "word": WORD[table], "table": table, "seen": seen,
        "where": where, "problem": problems.get("", ""), "name": called(row) if row else "",
        "statement": TABLES[table].kind == "statement",
    }  # fmt: skip
    return render(request, template, told, status=400 if problems else 200)


@allow(Role.CURATOR)
@require_POST
def take_back(request: HttpRequest, act_id: int) -> HttpResponse:
    """Undo one act that did nothing but change a row of the reference."""
    done = get_object_or_404(Act, pk=act_id)
    if len(done.tables) != 1 or done.tables[0] not in OPEN:
        raise Http404
    undo(done, request.user)
    messages.success(request, f"Undone: {done.what}.")
    return redirect("reference")


def _on(request: HttpRequest, row: Stored) -> HttpResponse:
    """On to the page of what was written."""
    where = page_of(row)
    return HttpResponseClientRedirect(where) if request.htmx else redirect(where)
