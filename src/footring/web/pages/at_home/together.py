"""Several pieces changed together: in one act, after what would change was shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import QueryDict

from footring.records.acts import act, revision
from footring.records.models import MODELS, Act, Role, Stored, User
from footring.records.privacy import may_change, own_on_the_shelf, places_of, visible
from footring.terms.errors import BadInput
from footring.web.pages.at_home.asked import Choice
from footring.web.pages.at_home.choosing import pieces

MOST = 1000
"""Pieces that are changed in one act."""
AS_IT_IS, NONE = "", "-"


@dataclass(frozen=True)
class Together:
    """Pieces that were chosen, and what is to become of them.

    Parameters
    ----------
    chosen : list of Stored
    values : dict of str to object
        New values of some of a piece's columns.
    called : dict of str to str
        The same in words.
    """

    chosen: list[Stored]
    values: dict[str, Any]
    called: dict[str, str]

    @property
    def changes(self) -> list[tuple[Stored, list[tuple[str, str, str]]]]:
        """Pieces that would change, each with what, from what, to what."""
        found = [(piece, self._of(piece)) for piece in self.chosen]
        return [(piece, changes) for piece, changes in found if changes]

    def _of(self, piece: Stored) -> list[tuple[str, str, str]]:
        before = piece.values()
        return [
            (name, _called(name, getattr(piece, name)), self.called[name])
            for name, value in self.values.items()
            if value != before[name]
        ]

    def do(self, user: User, seen: int) -> Act:
        """Change them.

        Raises
        ------
        BadInput
            There is nothing to change, or one was changed since.
        """
        changes = self.changes
        if not changes:
            raise BadInput("nothing would change: choose pieces, and say what is to become of them")
        if any(piece.written_in.revision > seen for piece, _ in changes):
            raise BadInput("one of them was changed meanwhile: look at what changes once more")
        told = ", ".join(called if name == "private" else f"{name} {called}" for name, called in self.called.items())
        with act(f"Change {len(changes)} pieces together: {told}", user) as doing:
            for piece, _ in changes:
                doing.change("pieces", piece.pk, piece.written_in_id, **self.values)
        return doing.act


def _called(name: str, value: Any) -> str:
    if name == "private":
        return "private" if value else "not private"
    return "none noted" if value is None else str(value)


def together(given: QueryDict, user: User) -> Together:
    """From a form.

    Raises
    ------
    BadInput
        More pieces than are changed at once, or a place or an owner that the person may not choose.
    PermissionDenied
        One of them is not theirs to change.
    """
    chosen = list(_chosen(given, user)[: MOST + 1])
    if len(chosen) > MOST:
        raise BadInput(f"more than {MOST:,} pieces: expected at most so many at once; ask for fewer of them")
    if not all(may_change(user, piece) for piece in chosen):
        raise PermissionDenied
    values: dict[str, Any] = {}
    called = {}
    for name, options in (("place", places_of(user)), ("owner", people(user))):
        if (key := given.get(name if name == "owner" else "put_in", AS_IT_IS)) != AS_IT_IS:
            thing = None if key == NONE else _option(options, key, name)
            values[name], called[name] = thing.pk if thing else None, _called(name, thing)
    if given.get("hide") in ("yes", "no"):
        values["private"] = given["hide"] == "yes"
        called["private"] = _called("private", values["private"])
    return Together(chosen, values, called)


def _option(options: QuerySet[Stored], key: str, name: str) -> Stored:
    thing = options.filter(pk=key).first()
    if thing is None:
        raise BadInput(f"{name} {key!r}: expected one of those offered; choose again")
    return thing


def _chosen(given: QueryDict, user: User) -> QuerySet[Stored]:
    rows = (
        MODELS["pieces"]
        .objects.select_related("added_in", "written_in", "place", "owner")
        .order_by("added_in_id", "pk")
    )
    if not given.get("all"):
        ids = given.getlist("piece")
        return rows.filter(pk__in=visible("pieces", user).filter(pk__in=ids).values("pk"))
    found = pieces(Choice.of(given), user).rows
    own = own_on_the_shelf(user)
    return rows.filter(pk__in=(found if own is None else found.filter(own)).order_by().values("piece"))


def people(user: User) -> QuerySet[Stored]:
    """The owners that a person may choose from: all, or those they named."""
    rows = MODELS["people"].objects.order_by("name")
    return rows if user.may(Role.CURATOR) else rows.filter(added_in__by=user)


def now() -> int:
    """What was last done; what is shown is as of it."""
    return revision()
