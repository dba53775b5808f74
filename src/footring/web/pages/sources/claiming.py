"""A claim written down: from one line, or beside the statement that it speaks of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from footring.records.acts import act
from footring.records.ids import new_id
from footring.records.models import Role, Stored, User
from footring.reference import ReferenceFaults
from footring.rows import TABLES
from footring.rows.statements import Claim
from footring.terms.errors import BadInput
from footring.terms.phrases import parse_when
from footring.web.access import allow
from footring.web.pages.reference.called import called, meant, meant_thing
from footring.web.pages.reference.fields import LASTED, beside
from footring.web.pages.reference.opened import CLAIMABLE, opened, seen_row

FIRMNESSES = (
    ("seen", "seen: in the hand, or in a photograph"), ("printed", "in print, or written at the time"),
    ("said_firmly", "said firmly"), ("said_from_memory", "said from memory"), ("guessed", "guessed"),
)  # fmt: skip
STANCES = (("for", "for"), ("against", "against"), ("not_met", "looked for and not met"))


@dataclass
class Typed:
    """A claim as it was typed, and what is wrong with it, by field."""

    given: Mapping[str, str] = field(default_factory=dict)
    problems: dict[str, str] = field(default_factory=dict)


def claim_of(given: Mapping[str, str], subject: Stored | None, user: User) -> tuple[Claim | None, Typed]:
    """The claim that somebody typed; None, with what is wrong, where it cannot stand.

    Parameters
    ----------
    given : mapping of str to str
        subject (unless it is known), property, value, source, page, firmness, stance, hours, handled, searched.
    subject : Stored or None
        What it is said of, where that is known.
    """
    typed = Typed(given)
    subject = subject or _tried(typed, "subject", lambda text: meant_thing(text, user))
    source = _tried(typed, "source", lambda text: meant("sources", text, user))
    name = _tried(typed, "property", _property)
    value = _value(typed, subject, name, user)
    amounts = {name: _tried(typed, name, kind, needed=False) for name, kind in _AMOUNTS.items()}
    if typed.problems or subject is None or source is None or name is None:
        return None, typed
    plain = {name: given.get(name, "").strip() or None for name in ("page", "searched")}
    return Claim(
        new_id(), subject_table=subject.SPEC.name, subject=subject.pk, property=name, value=value, source=source.pk,
        firmness=given.get("firmness", ""), stance=given.get("stance", ""), private=bool(given.get("private")),
        **plain, **amounts,
    ), typed  # fmt: skip


def _tried(typed: Typed, name: str, read: Any, needed: bool = True) -> Any:
    """What a field says; None, with its fault written down, where it cannot be read."""
    text = typed.given.get(name, "").strip()
    try:
        if text:
            return read(text)
        if needed:
            raise BadInput(f"nothing was given for {name}, and a claim cannot stand without it")
    except BadInput as error:
        typed.problems[name] = str(error)
    return None


def _property(text: str) -> str:
    """The name of a property as the tables write it, where one of its columns is meant."""
    column = text.casefold().replace(" ", "_")
    return column if any(column == c.name for table in CLAIMABLE for c in TABLES[table].columns) else text


def _amount(kind: type) -> Any:
    def read(text: str) -> float | int:
        try:
            return kind(text.replace(",", "."))
        except ValueError:
            raise BadInput(f"given “{text}”, expected a number, 0 or more") from None

    return read


_AMOUNTS = {"hours": _amount(float), "handled": _amount(int)}


def _value(typed: Typed, subject: Stored | None, name: str | None, user: User) -> str | None:
    """The value as the reference writes it: the id of what is named, a date in EDTF, or the words as they are."""
    column = next((c for c in subject.SPEC.columns if c.name == name), None) if subject is not None else None
    if column is not None and column.refers_to:
        found = _tried(typed, "value", lambda text: meant(str(column.refers_to), text, user), needed=False)
        return found.pk if found is not None else None
    if column is not None and column.date:
        return _tried(typed, "value", lambda text: str(parse_when(text, lasted=column.name in LASTED)), needed=False)
    return typed.given.get("value", "").strip() or None


def write(claim: Claim, typed: Typed, user: User) -> bool:
    """Write a claim down; False, with what is wrong, where the check of a pack finds a fault."""
    try:
        with act("Write down a claim", user) as doing:
            doing.add(claim)
    except ReferenceFaults as faults:
        typed.problems.update(beside(faults))
        return False
    return True


@allow(Role.MEMBER)
@require_POST
def claim(request: HttpRequest, table: str, key: str) -> HttpResponse:
    """A claim beside the statement that it speaks of; who proposes it stands with it."""
    row = seen_row(table, key, request.user)
    if table not in CLAIMABLE:
        raise Http404
    of = request.GET.get("property", "")
    made, typed = claim_of({"property": of} | request.POST.dict(), row, request.user)
    if made is None or not write(made, typed, request.user):
        answer = opened(request, row, of, typed=typed)
        answer.status_code = 400
        return answer
    if request.htmx:
        return opened(request, row, of, written=True)
    messages.success(request, f"Written down, of {called(row)}.")
    back = reverse("reference-said", args=[table, key])
    return redirect(f"{back}?property={of}" if of else back)
