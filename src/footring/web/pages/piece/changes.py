"""What can be said of a piece itself: name, place, parts, condition, cost, and whence it came."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from footring.records.acts import act
from footring.records.ids import new_id
from footring.records.models import MODELS
from footring.records.named import named
from footring.rows.collection import Acquisition, Condition, Part, Person, Place, Price
from footring.terms.errors import BadInput
from footring.terms.phrases import parse_when
from footring.web.pages.piece.doing import changing, needed, number, part_of, seen, text


@changing("name")
def rename(request: HttpRequest, piece: Any) -> str:
    """Call it something else."""
    with act("Rename", request.user) as doing:
        doing.change("pieces", piece.pk, seen(request), name=text(request, "name"))
    return "Renamed."


@changing("place")
def place(request: HttpRequest, piece: Any) -> str:
    """Say where it is put away; a place not known yet is made."""
    with act("Move", request.user) as doing:
        where, made = named(Place, text(request, "place"))
        doing.add(*made)
        doing.change("pieces", piece.pk, seen(request), place=where)
    return "Moved."


@changing("private")
def private(request: HttpRequest, piece: Any) -> str:
    """Keep it to oneself, or no longer."""
    hidden = bool(request.POST.get("private"))
    with act("Keep private" if hidden else "Let others see it", request.user) as doing:
        doing.change("pieces", piece.pk, seen(request), private=hidden)
    return "Only you and the curators see it now." if hidden else "Others see it now, without its place and cost."


@changing("parts")
def part(request: HttpRequest, piece: Any) -> str:
    """Name a part of it, or a box or paper that belongs to it."""
    name = needed(request, "name", "what belongs to it").casefold()
    if MODELS["parts"].objects.filter(piece=piece, name=name).exists():
        raise BadInput(f"{name}: this piece has one already; call a second one {name} 2, say")
    with act("Name what belongs to it", request.user) as doing:
        doing.add(Part(new_id(), piece=piece.pk, name=name))
    return "Noted."


@changing("condition")
def condition(request: HttpRequest, piece: Any) -> str:
    """Note a fault of the making, or damage, and where it is."""
    with act("Note its condition", request.user) as doing:
        doing.add(Condition(new_id(), piece=piece.pk, part=part_of(request, piece), kind=request.POST.get("kind", ""),
                            what=needed(request, "what", "what is seen"), place=text(request, "where")))  # fmt: skip
    return "Noted."


@changing("price")
def price(request: HttpRequest, piece: Any) -> str:
    """Note what was asked or paid."""
    with act("Note a price", request.user) as doing:
        doing.add(_price(request, piece, request.POST.get("kind", "")))
    return "Noted."


@changing("came")
def came(request: HttpRequest, piece: Any) -> str:
    """Say how it came into the collection, from whom and for how much."""
    with act("Say where it came from", request.user) as doing:
        paid = _price(request, piece, "sold") if text(request, "amount") else None
        whom, made = named(Person, text(request, "from_whom"))
        doing.add(*made, *[paid] if paid else [])
        doing.add(Acquisition(
            new_id(), piece=piece.pk, how=request.POST.get("how", ""), got=_day(request, "got"),
            from_whom=whom, price=paid.id if paid else None, private=True,
        ))  # fmt: skip
    return "Noted. Only you and the curators see it."


def _price(request: HttpRequest, piece: Any, kind: str) -> Price:
    return Price(
        new_id(), piece=piece.pk, kind=kind, amount=number(request, "amount", "amount"),
        currency=needed(request, "currency", "currency").upper(), dated=_day(request, "dated") or _day(request, "got"),
        private=True,
    )  # fmt: skip


def _day(request: HttpRequest, name: str) -> str | None:
    """A date as it is kept, from how people write one."""
    given = text(request, name)
    return str(parse_when(given)) if given else None
