"""What can be said of a piece, and taken back."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from footring.marks.readings import read_reading
from footring.records.acts import Conflict, act, undo
from footring.records.ids import new_id
from footring.records.known import known
from footring.records.models import MODELS, Role
from footring.records.privacy import may_change
from footring.rows.collection import Attribution, Condition, Correction, Part, Price, Reading, Rejection
from footring.terms.errors import BadInput, FootringError
from footring.web.access import allow
from footring.web.pages.piece.entry import CELL, acts_of
from footring.web.pages.piece.views import changeable_piece, context

Change = Callable[[HttpRequest, Any], str]


def _changing(change: Change) -> Callable[[HttpRequest, str], HttpResponse]:
    """A page that does something to a piece, shows it again, and says what was wrong where something was."""

    @allow(Role.MEMBER)
    @require_POST
    def view(request: HttpRequest, piece_id: str) -> HttpResponse:
        piece = changeable_piece(request.user, piece_id)
        try:
            messages.success(request, change(request, piece))
        except Conflict as conflict:
            return render(request, "piece/conflict.html", {"piece": piece, "conflict": conflict}, status=409)
        except FootringError as error:
            told = context(request.user, piece) | {"problem": str(error), "given": request.POST}
            return render(request, "piece/piece.html", told, status=400)
        return redirect("piece", piece_id)

    view.__doc__ = change.__doc__
    return view


@_changing
def rename(request: HttpRequest, piece: Any) -> str:
    """Call it something else."""
    with act("Rename", request.user) as doing:
        doing.change("pieces", piece.pk, _seen(request), name=_text(request, "name"))
    return "Renamed."


@_changing
def place(request: HttpRequest, piece: Any) -> str:
    """Say where it is put away."""
    with act("Move", request.user) as doing:
        doing.change("pieces", piece.pk, _seen(request), place=_text(request, "place"))
    return "Moved."


@_changing
def read(request: HttpRequest, piece: Any) -> str:
    """Add a reading, or put a better one in the place of one that was wrong."""
    name, value = request.POST.get("name", "").strip(), request.POST.get("value", "").strip()
    where, _, bare = name.rpartition(".")
    typed = read_reading(name, "none" if request.POST.get("absent") else value)
    if typed is None:
        raise BadInput(f"{name or 'a reading'}: expected what was seen, or that it was looked for and not found")
    known().examiner.model.channels.factors([typed])
    wrong = _wrong(request, piece)
    with act("Correct a reading" if wrong else "Add a reading", request.user) as doing:
        part = _part(doing, piece, where)
        new = Reading(
            new_id(), piece=piece.pk, part=part, name=bare, value=typed.value or None, absent=typed.absent,
            sure=None if typed.p >= 1.0 else typed.p, supersedes=wrong.pk if wrong else None,
        )  # fmt: skip
        doing.add(new)
        if wrong:
            doing.add(Correction(new_id(), reading=wrong.pk, value=new.value, reason=_text(request, "reason")))
    return "Corrected. What was read before is kept." if wrong else "Added."


@_changing
def attribute(request: HttpRequest, piece: Any) -> str:
    """Say what it is, or that it is not what is said."""
    said = MODELS["attributions"].objects.current().filter(piece=piece, part=None).order_by("added_in").last()
    if request.POST.get("not_this"):
        if said is None:
            raise BadInput("nothing is said yet of what this piece is: there is nothing to reject")
        with act("Not this", request.user) as doing:
            subject = ("forms", said.form_id) if said.form_id else ("lines", said.line_id)
            doing.add(Rejection(new_id(), piece=piece.pk, subject_table=subject[0], subject=subject[1],
                                reason=_text(request, "reason")))  # fmt: skip
            doing.add(Attribution(new_id(), piece=piece.pk, line=said.line_id, weight=0.0, basis="confirmed",
                                  supersedes=said.pk))  # fmt: skip
        return "Kept: it is not that."
    cell = {name: _text(request, name) for name in CELL}
    if not cell["line"]:
        raise BadInput("line: expected one of your reference's lines; without a line nothing can be said")
    with act("Say what it is", request.user) as doing:
        doing.add(Attribution(new_id(), piece=piece.pk, weight=1.0, basis="confirmed",
                              supersedes=said.pk if said else None, **cell))  # fmt: skip
    return "Kept."


@_changing
def condition(request: HttpRequest, piece: Any) -> str:
    """Note a fault of the making, or damage, and where it is."""
    with act("Note its condition", request.user) as doing:
        doing.add(Condition(new_id(), piece=piece.pk, kind=request.POST.get("kind", ""), what=_needed(request, "what"),
                            place=_text(request, "where")))  # fmt: skip
    return "Noted."


@_changing
def price(request: HttpRequest, piece: Any) -> str:
    """Note what was asked or paid."""
    try:
        amount = float(request.POST.get("amount", ""))
    except ValueError as error:
        raise BadInput(f"amount {request.POST.get('amount', '')!r}: expected a number, 12.50 say") from error
    with act("Note a price", request.user) as doing:
        given = {"kind": request.POST.get("kind", ""), "currency": _needed(request, "currency")}
        doing.add(Price(new_id(), piece=piece.pk, amount=amount, dated=_text(request, "dated"), private=True, **given))
    return "Noted."


@allow(Role.MEMBER)
@require_POST
def take_back(request: HttpRequest, piece_id: str, act_id: int) -> HttpResponse:
    """Undo one thing that was done to a piece."""
    piece = changeable_piece(request.user, piece_id)
    found = next((one for one, _ in acts_of(piece) if one.pk == act_id), None)
    if found is None or not (request.user.may(Role.CURATOR) or found.by_id == request.user.pk):
        raise Http404
    undo(found, request.user)
    messages.success(request, f"Undone: {found.what}.")
    if MODELS["pieces"].objects.filter(pk=piece_id).exists() and may_change(request.user, piece):
        return redirect("piece", piece_id)
    return redirect("examine")


def _seen(request: HttpRequest) -> int | None:
    seen = request.POST.get("seen", "")
    return int(seen) if seen.isdecimal() else None


def _text(request: HttpRequest, name: str) -> str | None:
    return request.POST.get(name, "").strip() or None


def _needed(request: HttpRequest, name: str) -> str:
    given = _text(request, name)
    if given is None:
        raise BadInput(f"{name}: expected a word or two; it was left empty")
    return given


def _wrong(request: HttpRequest, piece: Any) -> Any:
    """The reading that this one takes the place of."""
    pk = request.POST.get("instead_of")
    if not pk:
        return None
    found = MODELS["readings"].objects.current().filter(piece=piece, pk=pk).first()
    if found is None:
        raise BadInput("that reading was corrected meanwhile: look at the piece again")
    return found


def _part(doing: Any, piece: Any, name: str) -> str | None:
    """The part a reading is of, made where it was not there."""
    if not name:
        return None
    found = MODELS["parts"].objects.filter(piece=piece, name=name).first()
    if found is not None:
        return str(found.pk)
    part = Part(new_id(), piece=piece.pk, name=name)
    doing.add(part)
    return part.id
