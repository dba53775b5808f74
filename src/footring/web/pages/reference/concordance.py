"""The concordance: a decoration and its number on each line; a number and what it means on each."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from footring.records.models import Role, Stored, User
from footring.web.access import allow
from footring.web.pages.reference.addresses import page_of
from footring.web.pages.reference.called import LONGEST, called, rows
from footring.web.pages.reference.index import AT_ONCE
from footring.web.pages.reference.met import Met, met_by
from footring.web.pages.reference.told import FIRMNESS, Told, number, source_words
from footring.web.pages.reference.when import in_words

LINES_WITHOUT = 8
"""Where a maker has no more lines than this, those without a number are shown too."""


@dataclass(frozen=True)
class Place:
    """A decoration on one line: its numbers there, and how many pieces were met."""

    line: Stored
    numbers: Sequence[tuple[Stored, Told, Sequence[str]]]
    pieces: int | None


@dataclass(frozen=True)
class Meaning:
    """A number on one line, and what it stands for there."""

    number: Stored
    told: Told
    others: Sequence[str]
    pieces: int | None


@dataclass(frozen=True)
class Entry:
    """A decoration with its place on each line of its maker."""

    decoration: Stored
    url: str
    also: str
    designed: str
    places: Sequence[Place]
    without: int


@allow(Role.GUEST)
@require_safe
def concordance(request: HttpRequest) -> HttpResponse:
    """Every decoration with its numbers, or what a number or a name was searched for."""
    user, words = request.user, " ".join(request.GET.get("q", "").split())[:LONGEST]
    found = _decorations(words, user)
    if request.GET.get("after"):
        found = found.filter(name__gt=request.GET["after"])
    decorations = list(found.order_by("name", "pk")[: AT_ONCE + 1])
    met = met_by(user)
    return render(request, "reference/concordance.html", {
        "q": words, "meanings": _meanings(words, met, user), "entries": entries(decorations[:AT_ONCE], met, user),
        "after": decorations[AT_ONCE - 1].name if len(decorations) > AT_ONCE else "",
        "edits": user.may(Role.CURATOR), "alone": len(decorations) == 1,
    })  # fmt: skip


def _decorations(words: str, user: User):  # type: ignore[no-untyped-def]
    """Decorations of that name, or of that other name; all of them where nothing is asked."""
    every = rows("decorations", user).exclude(technique="none")
    if not words:
        return every
    named = rows("names", user).filter(thing_table="decorations", name__icontains=words).values("thing")
    return every.filter(name__icontains=words) | every.filter(pk__in=named)


def _meanings(words: str, met: Met | None, user: User) -> list[Meaning]:
    """What a number means on each line: the very one first, then those that hold it."""
    if not re.search(r"\d", words):
        return []
    found = list(rows("numbers", user).filter(code__icontains=words).order_by("code", "line__name")[:AT_ONCE])
    found.sort(key=lambda one: (one.code.casefold() != words.casefold(), one.code, one.line.name))
    said = _said_of(found, user)
    return [Meaning(one, number(one, user), said.get(one.pk, ()), _pieces(one, met)) for one in found]


def _pieces(one: Stored, met: Met | None) -> int | None:
    """Pieces met on the line of everything that a number names."""
    if met is None:
        return None
    parts = ("body", "glaze", "decoration", "trim")
    return met.of(line=one.line_id, **{part: name for part in parts if (name := getattr(one, f"{part}_id"))})


def entries(decorations: Sequence[Stored], met: Met | None, user: User) -> list[Entry]:
    """Decorations with their numbers on each line, in a fixed number of queries."""
    numbers = list(rows("numbers", user).filter(decoration__in=decorations).order_by("code"))
    said = _said_of(numbers, user)
    lines = defaultdict(list)
    for line in rows("lines", user).filter(maker__in={one.maker_id for one in decorations}).order_by("name"):
        lines[line.maker_id].append(line)
    also = _other_names(decorations, user)
    told = []
    for one in decorations:
        own = [number for number in numbers if number.decoration_id == one.pk]
        told.append(_entry(one, lines[one.maker_id], own, said, also[one.pk], met, user))
    return told


def _entry(
    one: Stored,
    lines: Sequence[Stored],
    numbers: Sequence[Stored],
    said: dict[str, list[str]],
    also: list[str],
    met: Met | None,
    user: User,
) -> Entry:
    pieces = met.by("line", decoration=one.pk) if met else None
    by_line = defaultdict(list)
    for found in numbers:
        by_line[found.line_id].append((found, number(found, user), said.get(found.pk, ())))
    shown = {line.pk: line for line in [*lines, *(found.line for found in numbers)]}
    places = [Place(line, by_line[key], None if pieces is None else pieces.get(key, 0)) for key, line in shown.items()]
    kept = [place for place in places if place.numbers or place.pieces or len(places) <= LINES_WITHOUT]
    designed = in_words(one.designed, user.whole_years)
    return Entry(one, page_of(one), ", ".join(also), designed, kept, len(places) - len(kept))


BY = {"factory": "by the factory", "shop": "by shops", "author": "by an author", "collectors": "by collectors"}


def _other_names(decorations: Sequence[Stored], user: User) -> dict[str, list[str]]:
    """What each is called by whom, in words; that its own name is the factory's, where somebody says so."""
    own, found = {one.pk: one.name for one in decorations}, defaultdict(list)
    for name in rows("names", user).filter(thing_table="decorations", thing__in=list(own)).order_by("kind", "name"):
        if name.name != own[name.thing]:
            by = BY.get(name.kind)
            found[name.thing].append(f"called {name.name} {by}" if by else f"wrongly called {name.name}")
        elif name.kind == "factory":
            found[name.thing].append("a factory name")
    return found


def _said_of(numbers: Sequence[Stored], user: User) -> dict[str, list[str]]:
    """What claims say of numbers, apart from the statements themselves."""
    claims = rows("claims", user).filter(subject_table="numbers", subject__in=[one.pk for one in numbers])
    claims = list(claims if user.may(Role.CURATOR) else claims.filter(source__private=False))
    ids = [one.value for one in claims if one.value and one.property == "decoration"]
    names = {row.pk: called(row) for row in rows("decorations", user).filter(pk__in=ids)}
    found = defaultdict(list)
    for one in claims:
        what = names.get(one.value, one.value) or one.property
        stance = {"for": "also said", "against": "said not to be", "not_met": "looked for and not met"}[one.stance]
        found[one.subject].append(f"{stance}: {what} ({source_words(one.source, user)}, {FIRMNESS[one.firmness]})")
    return found
