"""A statement opened: claims for and against, sources, what stands, and everything it was before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from footring.reasoning.tell_sources import in_hundred
from footring.records.known import at_once
from footring.records.models import Act, Change, Role, Stored, User
from footring.records.privacy import visible
from footring.rows import COLLECTION, TABLES, Column
from footring.web.access import allow
from footring.web.pages.reference.called import RELATED, THINGS, WORD, called, rows, seen
from footring.web.pages.reference.told import STANCE, claim_words, claims_of, source_words
from footring.web.pages.reference.when import in_words
from footring.web.pages.sources.weighed import open_to, weighed

OPEN = tuple(table for table in TABLES if table not in COLLECTION)


@dataclass(frozen=True)
class Before:
    """What was done, by whom, and what has stood there since."""

    act: Act
    by: str
    said: Sequence[tuple[str, str]]

    @property
    def undoable(self) -> bool:
        """Whether it did nothing but this, so that it can be undone from here."""
        return len(self.act.tables) == 1 and self.act.undoes_id is None


def seen_row(table: str, key: str, user: User) -> Stored:
    """A row of the reference that somebody may see, a superseded one too.

    Raises
    ------
    Http404
        There is none.
    """
    if table not in OPEN:
        raise Http404
    found = seen(table, user).select_related("written_in__by", *RELATED.get(table, ())).filter(pk=key).first()
    if found is None or not _of_what_is_seen(found, user):
        raise Http404
    return found


def _of_what_is_seen(row: Stored, user: User) -> bool:
    of = (
        (getattr(row, column.refers_by), getattr(row, column.name)) for column in row.SPEC.columns if column.refers_by
    )
    return user.may(Role.CURATOR) or all(visible(table, user).filter(pk=key).exists() for table, key in of)


@allow(Role.GUEST)
@require_safe
def said(request: HttpRequest, table: str, key: str) -> HttpResponse:
    """Everything about a statement: in place, or as a page of its own."""
    return opened(request, seen_row(table, key, request.user), request.GET.get("property", ""))


def opened(request: HttpRequest, row: Stored, of: str, **more: Any) -> HttpResponse:
    """The fold of a statement, or its page."""
    template = "reference/said_fold.html" if request.htmx else "reference/said.html"
    return render(request, template, context(row, of, request.user) | more)


def context(row: Stored, of: str, user: User) -> dict[str, Any]:
    """What is shown of a statement."""
    table = row.SPEC.name
    told = _told(row, [one for one in claims_of(table, row.pk, user) if not of or one.property == of], user)
    column = next((c for c in row.SPEC.columns if c.name == of), None)
    return {
        "row": row, "table": table, "word": WORD.get(table, table), "name": called(row), "of": of,
        "stands": shown(row, column, user) if column else "",
        "row_source": source_words(row.source, user) if "source" in _columns(row) and user else "",
        "names_source": "source" in _columns(row),
        "claims": [(heading, [x for x in told if x["claim"].stance == stance]) for stance, heading in STANCE.items()],
        "weighed": list(_weighed(row, of, user)), "resolution": _resolution(row, of, user),
        "history": list(history(row, user)) if user.may(Role.MEMBER) else [],
        "claimable": table in CLAIMABLE and user.may(Role.MEMBER), "edits": user.may(Role.CURATOR) and table in WORD,
         "properties": properties(table), "offered": column.refers_to if column else "",
    }  # fmt: skip


CLAIMABLE = (*THINGS, "productions", "mark_uses", "telltales", "goes_with", "sizes")
"""Tables of whose rows something can be claimed."""
_NOT_CLAIMED = ("id", "source", "private", "supersedes", "recorded_at", "recorded_by")


def properties(table: str) -> list[str]:
    """What one usually claims of a row of a table."""
    free = ["history", "advertised as"] if table in THINGS else ["exists"]
    return [*free, *(c.name for c in TABLES[table].columns if c.name not in _NOT_CLAIMED)]


def _columns(row: Stored) -> set[str]:
    return {column.name for column in row.SPEC.columns}


def shown(row: Stored, column: Column, user: User) -> str:
    """The value of a column in words."""
    value = getattr(row, column.name)
    if isinstance(value, Stored) and value.private and not user.may(Role.CURATOR):
        return "not published"
    return value_words(column, called(value) if isinstance(value, Stored) else value, user)


def value_words(column: Column | None, value: Any, user: User) -> str:
    """A value in words: a date as one says it, the rest as it stands."""
    if value is None or value == "":
        return "not said"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if column is not None and column.date:
        return in_words(str(value), user.whole_years)
    return f"{value:g}" if isinstance(value, float) else str(value)


def _told(row: Stored, claims: Sequence[Stored], user: User) -> list[dict[str, Any]]:
    """Claims of a row in words; the names of what they say come in one query for each table."""
    columns = {column.name: column for column in row.SPEC.columns}
    wanted: dict[str, set[str]] = {}
    for one in claims:
        table = columns[one.property].refers_to if one.property in columns else None
        if table and one.value:
            wanted.setdefault(table, set()).add(one.value)
    names = {found.pk: called(found) for t, ids in wanted.items() for found in rows(t, user).filter(pk__in=ids)}
    return [
        {
            "claim": one, "by": claim_words(one, user), "looked": _looked(one),
            "value": value_words(columns.get(one.property), names.get(one.value, one.value), user) if one.value else "",
        }
        for one in claims
    ]  # fmt: skip


def _looked(claim: Stored) -> str:
    told = [f"{claim.handled:,} handled"] if claim.handled is not None else []
    told += [f"{claim.hours:g} hours"] if claim.hours is not None else []
    return ", ".join([*told, *([claim.searched] if claim.searched else [])])


def _resolution(row: Stored, of: str, user: User) -> Stored | None:
    if not of:
        return None
    return rows("resolutions", user).filter(subject_table=row.SPEC.name, subject=row.pk, property=of).first()


def _weighed(row: Stored, of: str, user: User) -> Iterator[str]:
    """What claims and pieces come to, where they disagree and who asks may see all of them."""
    known = at_once()
    if known is None or not user.may(Role.MEMBER):
        return
    for one in weighed(known.reference).about(row.SPEC.name, row.pk, of):
        if open_to(user, known.reference, one):
            about = "" if of else f"{one.property.replace('_', ' ')} "
            yield from (f"{about}{value.name or 'it was'}, {in_hundred(value.probability)}" for value in one.values)


def history(row: Stored, user: User) -> Iterator[Before]:
    """Every version of a row, the newest first."""
    if row.SPEC.kind == "statement":
        yield from _superseded(row, user)
        return
    changes = Change.objects.filter(table=row.SPEC.name, row_id=row.pk).select_related("act__by").order_by("-pk")
    for change in changes:
        if change.before and change.after and (user.may(Role.CURATOR) or not change.before.get("private")):
            yield Before(change.act, _who(change.act.by), _differences(row, change, user))
    yield Before(row.added_in, _who(row.added_in.by), ())


_NO_HISTORY = ("id", "supersedes", "recorded_at", "recorded_by", "private")


def _superseded(row: Stored, user: User) -> Iterator[Before]:
    at: Stored | None = row
    columns = [
        c for c in row.SPEC.columns if c.name not in ("id", "supersedes", "recorded_at", "recorded_by", "private")
    ]
    related = [c.name for c in columns if c.refers_to]
    while at is not None:
        said = [(c.name.replace("_", " "), shown(at, c, user)) for c in columns if getattr(at, c.name) is not None]
        yield Before(at.added_in, _who(at.added_in.by), said)
        query = seen(row.SPEC.name, user).select_related("added_in__by", *related)
        at = query.filter(pk=at.supersedes_id).first() if at.supersedes_id else None


def _differences(row: Stored, change: Change, user: User) -> list[tuple[str, str]]:
    told = []
    for column in row.SPEC.columns:
        before, after = change.before.get(column.name), change.after.get(column.name)
        if before != after:
            told.append((column.name.replace("_", " "), f"{_was(column, before, user)} → {_was(column, after, user)}"))
    return told


def _was(column: Column, value: Any, user: User) -> str:
    found = rows(column.refers_to, user).filter(pk=value).first() if column.refers_to and value else None
    return value_words(column, called(found) if found else value, user)


def _who(user: User | None) -> str:
    return user.get_username() if user else "the program"
