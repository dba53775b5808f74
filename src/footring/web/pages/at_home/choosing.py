"""Which pieces a list shows of what was asked for."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Q, QuerySet

from footring.records.models import MODELS, Shelved, Stored, User
from footring.records.privacy import on_the_shelf, own_on_the_shelf, places_of, visible
from footring.records.search import found
from footring.records.shelf import inside
from footring.records.shelf_words import folded
from footring.web.pages.at_home.asked import NAMED, ORDERS, STATES, YEARS, Choice

PAGE = 50
MOST_COUNTED = 10_000
OWN = frozenset(("place", "met_from", "met_to", "met"))
"""What is asked of their own pieces alone by who sees the owner's side of no others."""


@dataclass(frozen=True)
class Listed:
    """What is on the shelf of what was asked for: rows in their order, by which column, the highest first or last."""

    rows: QuerySet[Shelved]
    looked_for: str
    column: str
    down: bool


def pieces(choice: Choice, user: User) -> Listed:
    """What is on the shelf of what was asked for."""
    rows, own = on_the_shelf(user), own_on_the_shelf(user)
    for name, value in choice.asked:
        rows = rows.filter(_condition(name, value, user))
    if own is not None and OWN & {choice.order, *(name for name, _ in choice.asked)}:
        rows = rows.filter(own)
    given, (column, down, _) = found(rows, choice.words, own), ORDERS[choice.order]
    by = ["pk"] if column == "pk" else [column, "pk"]
    ordered = given.rows.order_by(*(f"-{one}" if down else one for one in by))
    return Listed(ordered, given.looked_for, column, down)


def _condition(name: str, value: str, user: User) -> Q:
    if name in STATES:
        return Q(**{name: value == "yes"})
    if name in YEARS:
        return _in_years(name, int(value))
    if name == "number":
        return Q(number=folded(value))
    return _is(name, value) if things(name, user).filter(pk=value).exists() else Q(pk__in=())


def _in_years(name: str, year: int) -> Q:
    """That some year in which it may have been made, or the day it was first met on, is within a bound."""
    return {
        "made_from": Q(made_to__gte=year),
        "made_to": Q(made_from__lte=year),
        "met_from": Q(met__gte=f"{year:04}"),
        "met_to": Q(met__gt="", met__lt=f"{year + 1:04}"),
    }[name]


def _is(name: str, value: str) -> Q:
    if name == "place":
        return Q(place__in=inside([value]))
    if name == "mark":
        return Q(mark_in_clay=value) | Q(mark_printed=value)
    if name == "maker":
        return Q(line__in=list(MODELS["lines"].objects.filter(maker=value).values_list("pk", flat=True)))
    return Q(**{name: value})


def page_of(listed: Listed, choice: Choice) -> tuple[list[Shelved], str]:
    """One page, and the address of the next; empty where there is none. Rows are looked up once they are chosen."""
    rows = listed.rows if choice.after is None else _after(listed, choice)
    chosen = list(rows.values_list("pk", flat=True)[: PAGE + 1])
    found = Shelved.objects.defer("text", "own_text").in_bulk(chosen[:PAGE])
    page = [found[pk] for pk in chosen[:PAGE]]
    if len(chosen) <= PAGE:
        return page, ""
    last = page[-1]
    return page, choice.next(last.pk, "" if listed.column == "pk" else getattr(last, listed.column))


def _after(listed: Listed, choice: Choice) -> QuerySet[Shelved]:
    column = listed.column
    if column == "pk":
        return listed.rows.filter(pk__lt=choice.after)
    key: str | int = choice.after_key
    if column == "made_from":
        key = int(key) if key.isdecimal() and len(key) < 5 else 0
    onwards, already = ("lte", "gte") if listed.down else ("gte", "lte")
    return listed.rows.filter(**{f"{column}__{onwards}": key}).exclude(**{column: key, f"pk__{already}": choice.after})


def counted(rows: QuerySet[Shelved]) -> int:
    """How many there are; one more than `MOST_COUNTED` for more."""
    return int(rows.order_by().values("pk")[: MOST_COUNTED + 1].count())


def things(name: str, user: User) -> QuerySet[Stored]:
    """What a choice by name is made from."""
    return places_of(user) if name == "place" else visible(NAMED[name], user)


def told(choice: Choice, user: User) -> list[tuple[str, str]]:
    """What was asked for in words, and the address without it."""
    said = [(f"“{choice.words}”", choice.without("words"))] if choice.words else []
    return said + [(_in_words(name, value, user), choice.without(name)) for name, value in choice.asked]


def _in_words(name: str, value: str, user: User) -> str:
    if name in STATES:
        return STATES[name][value == "no"]
    if name in NAMED:
        return str(things(name, user).filter(pk=value).first() or f"a {name} that is not here")
    return f"{name.replace('_', ' ')} {value}"
