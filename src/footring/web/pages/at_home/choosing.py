"""Which pieces a list shows: what was asked for, read from the address."""

from __future__ import annotations

from dataclasses import dataclass, replace
from urllib.parse import urlencode

from django.db.models import Exists, OuterRef, QuerySet
from django.http import QueryDict

from footring.records.models import MODELS, Role, Shelved, Stored, User
from footring.records.privacy import own_side, visible
from footring.records.search import found
from footring.rows import TABLES

BY = ("line", "form", "glaze", "decoration", "trim", "customer")
"""What can be chosen by its name."""
YES_NO = {"photographed": "has a picture", "damaged": "damage noted", "settled": "settled by somebody"}
SHOWN = ("piece__place", "line", "form", "size", "glaze", "decoration", "trim")
"""What a list shows of a piece besides itself."""
PAGE = 50


@dataclass(frozen=True)
class Choice:
    """What was asked for.

    Parameters
    ----------
    words : str
        That must occur.
    chosen : dict of str to str
        Id of each thing that was chosen.
    place : str
        Id of a place.
    flags : frozenset of str
        Of `YES_NO`.
    after : int or None
        Number of the last piece of the page before.
    """

    words: str = ""
    chosen: tuple[tuple[str, str], ...] = ()
    place: str = ""
    flags: frozenset[str] = frozenset()
    after: int | None = None

    @staticmethod
    def of(given: QueryDict) -> Choice:
        """From an address; what nobody knows is left out."""
        after = given.get("after", "")
        return Choice(
            given.get("words", "").strip()[:200],
            tuple((name, given[name]) for name in BY if given.get(name)),
            given.get("place", ""),
            frozenset(name for name in YES_NO if given.get(name)),
            int(after) if after.isdecimal() and len(after) < 19 else None,
        )

    @property
    def address(self) -> str:
        """The same, for an address, from its first page."""
        flags = [(name, "1") for name in sorted(self.flags)]
        return urlencode(
            [pair for pair in (("words", self.words), *self.chosen, ("place", self.place), *flags) if pair[1]]
        )

    def next(self, last: Shelved) -> str:
        """The page after the one that ends with a piece."""
        return f"{self.address}&after={last.pk}"

    def without(self, name: str) -> str:
        """The same but for one thing that was asked for."""
        if name == "words":
            return replace(self, words="").address
        if name == "place":
            return replace(self, place="").address
        chosen = tuple(pair for pair in self.chosen if pair[0] != name)
        return replace(self, chosen=chosen, flags=self.flags - {name}).address


def pieces(choice: Choice, user: User) -> tuple[QuerySet[Shelved], str]:
    """What is on the shelf of what was asked for, the newest first, and the words that were looked for."""
    rows = Shelved.objects.all()
    if not user.may(Role.CURATOR):
        rows = rows.filter(piece__in=visible("pieces", user))
    rows = rows.filter(**{f"{name}_id": key for name, key in choice.chosen})
    if choice.place:
        rows = rows.filter(own_side(user), piece__place=choice.place)
    for name, table, condition in (("photographed", "photographs", {}), ("damaged", "conditions", {"kind": "damage"})):
        if name in choice.flags:
            of = MODELS[table].objects.current().filter(piece=OuterRef("piece"), **condition)
            rows = rows.filter(Exists(of))
    if "settled" in choice.flags:
        rows = rows.filter(confirmed=True)
    rows, told = found(rows, choice.words, own_side(user))
    return rows.order_by("-pk"), told


def page_of(rows: QuerySet[Shelved], choice: Choice) -> list[Shelved]:
    """One page and one more piece, with what is shown of each: looked up only when the fifty are chosen."""
    if choice.after is not None:
        rows = rows.filter(pk__lt=choice.after)
    numbers = list(rows.values_list("pk", flat=True)[: PAGE + 1])
    return list(Shelved.objects.filter(pk__in=numbers).order_by("-pk").select_related("piece__added_in", *SHOWN))


def places(user: User) -> QuerySet[Stored]:
    """The places that a person may choose from: all, or those of their own pieces."""
    rows = MODELS["places"].objects.order_by("name")
    if user.may(Role.CURATOR):
        return rows
    return rows.filter(pk__in=MODELS["pieces"].objects.filter(added_in__by=user).values("place"))


def told(choice: Choice, user: User) -> list[tuple[str, str, str]]:
    """What was asked for in words: its name, what it is, and the address without it."""
    said = [("words", choice.words, choice.without("words"))] if choice.words else []
    for name, key in (*choice.chosen, ("place", choice.place)):
        if key:
            of = places(user) if name == "place" else things(name)
            said.append((name, str(of.filter(pk=key).first() or key), choice.without(name)))
    return said + [(name, YES_NO[name], choice.without(name)) for name in sorted(choice.flags)]


def things(name: str) -> QuerySet[Stored]:
    """What a choice by name is made from."""
    return MODELS[str(TABLES["attributions"].column(name).refers_to)].objects.all()
