"""What disagrees, and what a person decides; what is to be checked later."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from footring.reasoning.disagreements import Disagreement
from footring.reasoning.tell_sources import in_hundred
from footring.records.acts import act
from footring.records.ids import new_id
from footring.records.known import at_once
from footring.records.models import MODELS, LaterCheck, Role, User
from footring.rows.statements import Resolution
from footring.terms.errors import BadInput
from footring.web.access import allow
from footring.web.pages.reference.called import called, in_full, meant_thing, rows
from footring.web.pages.reference.opened import OPEN, seen_row, value_words
from footring.web.pages.reference.told import FIRMNESS, STANCE
from footring.web.pages.sources.weighed import open_to, weighed
from footring.web.whole import whole

AT_ONCE = 20


@allow(Role.MEMBER)
@require_safe
def disagree(request: HttpRequest) -> HttpResponse:
    """Every property on which claims disagree, those that nobody decided first."""
    known = at_once()
    if known is None:
        return render(request, "sources/disagree.html", {"ready": False})
    found = [one for one in weighed(known.reference).found if open_to(request.user, known.reference, one)]
    found.sort(key=lambda one: one.resolution is not None)
    start = whole(request.GET.get("from", "")) or 0
    return render(request, "sources/disagree.html", {
        "found": [told(one, request.user) for one in found[start : start + AT_ONCE]], "ready": True,
        "count": len(found),
        "next": start + AT_ONCE if len(found) > start + AT_ONCE else 0, "edits": request.user.may(Role.CURATOR),
    })  # fmt: skip


def told(one: Disagreement, user: User) -> dict[str, Any]:
    """A disagreement in words, with the claims for and against each value."""
    column = next((c for c in MODELS[one.table].SPEC.columns if c.name == one.property), None)
    names = {
        value.value: value_words(column, value.name, user) if value.name else "it was made" for value in one.values
    }
    return {
        "one": one, "asked": "whether it was at all" if one.property == "exists" else one.property.replace("_", " "),
        "answer": names.get(one.answer, one.answer or ""), "settled": _settled(one),
        "values": [(v, names[v.value], in_hundred(v.probability), list(_said(v))) for v in one.values],
        "else": in_hundred(one.something_else) if one.something_else >= 0.01 else "",
    }  # fmt: skip


def _settled(one: Disagreement) -> bool:
    return one.values[0].probability >= max(one.something_else, 0.5)


def _said(value: Any) -> Iterator[tuple[str, list[str]]]:
    for stance, heading in STANCE.items():
        said = [_claim(one) for one in value.opened if one.stance == stance]
        if said:
            yield heading, said
    for count, heading in (
        (value.met_for, "Pieces in the hand for it"),
        (value.met_against, "Pieces in the hand against it"),
    ):
        if count:
            yield heading, [f"{round(count, 1):g}"]


def _claim(one: Any) -> str:
    page = f", {one.page}" if one.page else ""
    looked = [f"{one.handled:,} handled"] if one.handled is not None else []
    looked += [one.searched] if one.searched else []
    counts = (
        f"counts with {' and '.join(one.counts_with)}" if one.counts_with else f"{in_hundred(one.weight)} by itself"
    )
    return f"{one.source_name or 'no source named'}{page} ({', '.join([FIRMNESS[one.firmness], *looked, counts])})"


@allow(Role.CURATOR)
@require_POST
def decide(request: HttpRequest, table: str, key: str) -> HttpResponse:
    """A person's word on a disagreement, with the reason; an earlier one is superseded and stays in the history."""
    row = seen_row(table, key, request.user)
    of, reason = request.POST.get("property", ""), request.POST.get("reason", "").strip()
    if not of or not reason:
        messages.error(request, "Nothing was given as the reason; a decision stands with why it was made. Write it in.")
        return redirect("sources-disagree")
    _decided(row, of, request.POST.get("value") or None, reason, request.user)
    messages.success(request, f"Decided: {called(row)}, {of.replace('_', ' ')}. It can be decided anew.")
    return redirect("sources-disagree")


def _decided(row: Any, of: str, value: str | None, reason: str, user: User) -> None:
    table = row.SPEC.name
    with act(f"Decide on {called(row)}, {of.replace('_', ' ')}", user) as doing:
        earlier = (
            MODELS["resolutions"].objects.current().filter(subject_table=table, subject=row.pk, property=of).first()
        )
        doing.add(Resolution(
            new_id(), subject_table=table, subject=row.pk, property=of, value=value, reason=reason,
            supersedes=earlier.pk if earlier else None,
        ))  # fmt: skip


@allow(Role.MEMBER)
@require_http_methods(["GET", "HEAD", "POST"])
def later(request: HttpRequest) -> HttpResponse:
    """What is to be checked later, what was checked below it."""
    user, problem = request.user, ""
    if request.method == "POST":
        problem = _noted(request)
        if not problem:
            return redirect("sources-later")
    checks = LaterCheck.objects.select_related("by", "done_by")
    waiting, done = checks.filter(done_at=None), checks.exclude(done_at=None)[:AT_ONCE]
    told = {"waiting": _with_subjects(waiting, user), "done": _with_subjects(done, user), "problem": problem}
    given = (
        {name: request.POST.get(name, "") for name in ("what", "of")} if problem else {"of": request.GET.get("of", "")}
    )
    return render(request, "sources/later.html", told | {"given": given}, status=400 if problem else 200)


def _noted(request: HttpRequest) -> str:
    """Put a question on the list; what is wrong with it, if anything."""
    what, of = request.POST.get("what", "").strip(), request.POST.get("of", "").strip()
    if not what:
        return "nothing was given to check; write what is to be looked at, and where"
    try:
        row = meant_thing(of, request.user) if of else None
    except BadInput as error:
        return str(error)
    table, key = (row.SPEC.name, row.pk) if row is not None else ("", "")
    LaterCheck.objects.create(what=what, table=table, row_id=key, by=request.user)
    messages.success(request, "On the list.")
    return ""


def _with_subjects(checks: Any, user: User) -> list[tuple[LaterCheck, Any]]:
    """Each with the thing it is about, one query for each table; not those about what may not be seen."""
    found = list(checks)
    wanted: dict[str, set[str]] = {}
    for one in found:
        if one.table in OPEN:
            wanted.setdefault(one.table, set()).add(one.row_id)
    things = {
        (table, row.pk): in_full(row) for table, ids in wanted.items() for row in rows(table, user).filter(pk__in=ids)
    }
    return [
        (one, things.get((one.table, one.row_id), ""))
        for one in found
        if not one.table or (one.table, one.row_id) in things
    ]


@allow(Role.MEMBER)
@require_POST
def checked(request: HttpRequest, number: int) -> HttpResponse:
    """It was looked at; once more puts it back on the list."""
    one = get_object_or_404(LaterCheck, pk=number)
    if one.by_id != request.user.pk and not request.user.may(Role.CURATOR):
        raise Http404
    one.done_at, one.done_by = (None, None) if one.done_at else (timezone.now(), request.user)
    one.save(update_fields=["done_at", "done_by"])
    return redirect("sources-later")
