"""A page that does something to a piece, shows it again, and says what was wrong where something was."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from footring.records.acts import Conflict
from footring.records.models import MODELS, Role, Stored
from footring.reference import ReferenceFaults
from footring.rows import TABLES
from footring.terms.errors import BadInput, FootringError
from footring.web.access import allow
from footring.web.pages.piece.views import changeable_piece, shown
from footring.web.whole import whole

Change = Callable[[HttpRequest, Any], str]
View = Callable[[HttpRequest, str], HttpResponse]
_OURS = ("csrfmiddlewaretoken", "seen", "instead_of")


class Overtaken(Conflict):
    """Somebody put another statement in the place of one that was shown; `now` is its id."""

    def __init__(self, text: str, theirs: dict[str, Any], yours: dict[str, Any], now: str) -> None:
        super().__init__(text, theirs, yours)
        self.now = now


def changing(at: str) -> Callable[[Change], View]:
    """Make a page of a function that does something to a piece and says what it did.

    Parameters
    ----------
    at : str
        The form on the piece's page: where it is gone back to, and where what was wrong is told.
    """

    def made(change: Change) -> View:
        @allow(Role.MEMBER)
        @require_POST
        def view(request: HttpRequest, piece_id: str) -> HttpResponse:
            piece = changeable_piece(request.user, piece_id)
            try:
                messages.success(request, change(request, piece))
            except Conflict as conflict:
                return both(request, piece, conflict)
            except FootringError as error:
                return shown(request, piece, status=400, problem=_plainly(error), at=at, given=request.POST)
            return redirect(reverse("piece", args=[piece_id]) + f"#{at}")

        view.__doc__ = change.__doc__
        return view

    return made


def _plainly(error: FootringError) -> str:
    """What is wrong, without the names of tables where it is a fault of a row."""
    if not isinstance(error, ReferenceFaults):
        return str(error)
    told = (f"{one.column or one.table}: given {one.given}; expected {one.expected}" for one in error.faults)
    return ". ".join(one.replace("_", " ") for one in told)


def both(request: HttpRequest, piece: Stored, conflict: Conflict, changed: Stored | None = None) -> HttpResponse:
    """What stands there now and what was to be written, to choose from.

    Parameters
    ----------
    changed : Stored, optional
        What was to be changed, where it is not the piece itself.
    """
    given = [(name, value) for name, values in request.POST.lists() if name not in _OURS for value in values]
    now = conflict.now if isinstance(conflict, Overtaken) else None
    of = changed or piece
    stands = type(of).objects.filter(pk=of.pk).values_list("written_in", flat=True).first()
    again = [*given, *([("seen", stands)] if now is None else [("instead_of", now)])]
    why = str(conflict).replace(of.pk, "what you had before you")
    told = {
        "piece": piece,
        "problem": why[:1].upper() + why[1:],
        "both": list(map(_named, conflict.differences)),
        "again": again,
    }
    return render(request, "piece/conflict.html", told, status=409)


def _named(difference: tuple[str, Any, Any]) -> tuple[str, str, str]:
    """A difference with the names of what it refers to."""
    name, *values = difference
    table = next((c.refers_to for c in TABLES["pieces"].columns if c.name == name and c.refers_to), None)
    theirs, yours = (_called(table, value) for value in values)
    return name.replace("_", " "), theirs, yours


def _called(table: str | None, value: Any) -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    found = MODELS[table].objects.filter(pk=value).first() if table else None
    return str(found or value)


def seen(request: HttpRequest) -> int | None:
    """The act that the piece had when its form was shown."""
    return whole(request.POST.get("seen", ""))


def text(request: HttpRequest, name: str) -> str | None:
    """What was typed; None where nothing was."""
    return request.POST.get(name, "").strip() or None


def needed(request: HttpRequest, name: str, what: str) -> str:
    """What was typed.

    Raises
    ------
    BadInput
        Nothing was.
    """
    given = text(request, name)
    if given is None:
        raise BadInput(f"{what}: expected a word or two; it was left empty")
    return given


def number(request: HttpRequest, name: str, what: str) -> float:
    """A number that was typed, with a comma or a point.

    Raises
    ------
    BadInput
        It is none.
    """
    given = request.POST.get(name, "").strip()
    if not re.fullmatch(r"[0-9]+([.,][0-9]+)?", given):
        raise BadInput(f"{what} {given!r}: expected a number, 12.50 say")
    return float(given.replace(",", "."))


def part_of(request: HttpRequest, piece: Stored) -> str | None:
    """Id of the part of the piece that something is said of; None for the whole.

    Raises
    ------
    BadInput
        The piece has no such part.
    """
    given = text(request, "part")
    if given and not MODELS["parts"].objects.filter(piece=piece, pk=given).exists():
        raise BadInput("that part is gone from this piece: look at the piece again")
    return given
