"""What can be said of a piece itself: name, place, parts, condition, notes, cost, and whence it came."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from django.http import HttpRequest

from footring.records.acts import act
from footring.records.ids import new_id
from footring.records.models import MODELS
from footring.records.named import named
from footring.rows.collection import Acquisition, Condition, Note, Part, Person, Place, Price
from footring.terms.errors import BadInput
from footring.terms.phrases import parse_when
from footring.web.pages.piece.doing import changing, needed, number, part_of, seen, text
from footring.web.pages.piece.mending import as_before, instead_of


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
    """Name a part of it, or a box or paper that belongs to it; or call one that is named otherwise."""
    name, named_already = needed(request, "name", "what belongs to it").casefold(), text(request, "row")
    if MODELS["parts"].objects.filter(piece=piece, name=name).exclude(pk=named_already or "").exists():
        raise BadInput(f"{name}: this piece has one already; call a second one {name} 2, say")
    if named_already and not MODELS["parts"].objects.filter(piece=piece, pk=named_already).exists():
        raise BadInput("that was taken away meanwhile: look at the piece again")
    with act("Name what belongs to it", request.user) as doing:
        if named_already:
            doing.change("parts", named_already, seen(request), name=name)
        else:
            doing.add(Part(new_id(), piece=piece.pk, name=name))
    return "Noted."


@changing("condition")
def condition(request: HttpRequest, piece: Any) -> str:
    """Note a fault of the making, or damage, and where it is."""
    said = {
        "part": part_of(request, piece), "kind": request.POST.get("kind", ""),
        "what": needed(request, "what", "what is seen"), "place": text(request, "where"),
    }  # fmt: skip
    before = instead_of(request, piece, "conditions", **said)
    with act("Correct its condition" if before else "Note its condition", request.user) as doing:
        doing.add(Condition(new_id(), piece=piece.pk, supersedes=before, **said))
    return "Noted."


@changing("notes")
def note(request: HttpRequest, piece: Any) -> str:
    """Write a note, or put another text in the place of one: what was written before is kept."""
    said = {"text": needed(request, "text", "the note"), "private": request.POST.get("shown") != "1"}
    before = instead_of(request, piece, "notes", **said)
    with act("Correct a note" if before else "Write a note", request.user) as doing:
        doing.add(Note(new_id(), piece=piece.pk, supersedes=before, **as_before("notes", before, "part"), **said))
    return "Noted. Only you and the curators see it." if said["private"] else "Noted. Whoever sees the piece sees it."


@changing("price")
def price(request: HttpRequest, piece: Any) -> str:
    """Note what was asked or paid."""
    said = _price(request, piece, request.POST.get("kind", ""))
    before = instead_of(request, piece, "prices", kind=said.kind, amount=said.amount, currency=said.currency)
    with act("Correct a price" if before else "Note a price", request.user) as doing:
        doing.add(replace(said, supersedes=before, **as_before("prices", before, "channel", "place")))
    return "Noted."


@changing("came")
def came(request: HttpRequest, piece: Any) -> str:
    """Say how it came into the collection, from whom and for how much."""
    how, got = request.POST.get("how", ""), _day(request, "got")
    before = instead_of(request, piece, "acquisitions", how=how, got=got)
    with act("Say where it came from", request.user) as doing:
        paid = _price(request, piece, "sold") if text(request, "amount") else None
        whom, made = named(Person, text(request, "from_whom"))
        doing.add(*made, *[paid] if paid else [])
        kept = as_before("acquisitions", before, "place", "price") | ({"price": paid.id} if paid else {})
        doing.add(Acquisition(
            new_id(), piece=piece.pk, how=how, got=got, from_whom=whom, supersedes=before, private=True, **kept,
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
