"""The sources, one by one: what each says, how it has proved, and a line to write a claim down quickly."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from footring.reasoning.tell_sources import firmness_sentence, source_sentence
from footring.records.known import at_once
from footring.records.models import MODELS, Role, Stored, User
from footring.web.access import allow
from footring.web.pages.reference.called import LONGEST, THINGS, called, rows
from footring.web.pages.reference.opened import CLAIMABLE, properties, seen_row, value_words
from footring.web.pages.reference.told import FIRMNESS
from footring.web.pages.reference.when import in_words
from footring.web.pages.sources.claiming import Typed, claim_of, write
from footring.web.pages.sources.weighed import Weighed, open_to, weighed
from footring.web.whole import whole

AT_ONCE = 50


@allow(Role.MEMBER)
@require_safe
def sources(request: HttpRequest) -> HttpResponse:
    """Every source, and how reliable it has proved."""
    user, words = request.user, request.GET.get("q", "").strip()[:LONGEST]
    found = rows("sources", user).filter(name__icontains=words, name__gt=request.GET.get("after", "")).order_by("name")
    page = list(found[: AT_ONCE + 1])
    known = at_once()
    now = weighed(known.reference) if known else None
    return render(request, "sources/sources.html", {
        "q": words, "sources": [_listed(one, now, user) for one in page[:AT_ONCE]],
        "after": page[AT_ONCE - 1].name if len(page) > AT_ONCE else "", "ready": now is not None,
        "firmness": [firmness_sentence(one) for one in now.firmness if one.firmness != "printed"] if now else [],
        "disagreements": sum(1 for one in now.found if open_to(user, known.reference, one)) if now and known else None,
        "edits": user.may(Role.CURATOR),
    })  # fmt: skip


def _listed(one: Stored, now: Weighed | None, user: User) -> dict[str, Any]:
    return {"source": one, "published": in_words(one.published, user.whole_years), "proved": _proved(one, now)}


def _proved(one: Stored, now: Weighed | None) -> str:
    """How a source has proved, without its name."""
    record = now.records.get(one.pk) if now else None
    return source_sentence(record).partition(": ")[2] if record else ""


@allow(Role.MEMBER)
@require_http_methods(["GET", "HEAD", "POST"])
def source(request: HttpRequest, key: str) -> HttpResponse:
    """One source: its record, its claims, and a line for the next."""
    row = seen_row("sources", key, request.user)
    typed, status = Typed(), 200
    if request.method == "POST":
        typed, status = _written(request, row)
        if status == 200 and not request.htmx:
            messages.success(request, "Written down.")
            return redirect("source", key=key)
    template = "sources/claims.html" if request.htmx else "sources/source.html"
    return render(request, template, _context(row, typed, request), status=status)


def _written(request: HttpRequest, row: Stored) -> tuple[Typed, int]:
    """Nothing left in the line but how it is put, or what is wrong with it."""
    given = request.POST.dict() | {"source": row.pk}
    made, typed = claim_of(given, None, request.user)
    if made is None or not write(made, typed, request.user):
        return typed, 400
    kept = {name: given.get(name, "") for name in ("firmness", "stance", "page")}
    return Typed(kept), 200


def _context(row: Stored, typed: Typed, request: HttpRequest) -> dict[str, Any]:
    user = request.user
    found = rows("claims", user).filter(source=row).order_by("-added_in_id", "-pk")
    page = list(found.filter(**_older(request.GET.get("before", "")))[: AT_ONCE + 1])
    known = None if request.htmx else at_once()
    return {
        "row": row, "published": in_words(row.published, user.whole_years), "typed": typed,
        "claims": _claims(page[:AT_ONCE], user), "count": found.count(),
        "before": page[AT_ONCE - 1].added_in_id if len(page) > AT_ONCE else "",
        "proved": _proved(row, weighed(known.reference)) if known else None,
        "draws_on": rows("lineages", user).filter(source=row),
        "drawn_by": rows("lineages", user).filter(drawn_from=row),
        "properties": sorted({name for table in THINGS for name in properties(table)}), "edits": user.may(Role.CURATOR),
    }  # fmt: skip


def _older(before: str) -> dict[str, int]:
    act = whole(before)
    return {} if act is None else {"added_in__lt": act}


def _claims(claims: Sequence[Stored], user: User) -> list[dict[str, Any]]:
    """Claims with the names of what they speak of, one query for each table."""
    wanted: dict[str, set[str]] = {}
    for one in claims:
        wanted.setdefault(one.subject_table, set()).add(one.subject)
        column = _column(one)
        if column is not None and column.refers_to and one.value:
            wanted.setdefault(column.refers_to, set()).add(one.value)
    names = {(t, row.pk): called(row) for t, ids in wanted.items() for row in rows(t, user).filter(pk__in=ids)}
    shown = [one for one in claims if (one.subject_table, one.subject) in names]
    return [{"claim": one, "subject": names[one.subject_table, one.subject], "firmness": FIRMNESS[one.firmness],
             "value": _value(one, names, user), "opens": one.subject_table in CLAIMABLE} for one in shown]  # fmt: skip


def _column(claim: Stored) -> Any:
    spec = MODELS[claim.subject_table].SPEC
    return next((column for column in spec.columns if column.name == claim.property), None)


def _value(claim: Stored, names: dict[tuple[str, str], str], user: User) -> str:
    column = _column(claim)
    if claim.value is None:
        return ""
    if column is not None and column.refers_to:
        return names.get((column.refers_to, claim.value), claim.value)
    return value_words(column, claim.value, user)
