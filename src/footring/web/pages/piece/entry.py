"""Everything that a catalogue entry tells of one piece, gathered in a fixed number of queries."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from math import inf

from footring.records.models import MODELS, Role, Stored, User
from footring.records.privacy import may_change, open_to, sees_the_owner_s_side, visible

CELL = ("line", "form", "size", "body", "glaze", "decoration", "trim", "mark_in_clay", "mark_printed", "customer")
SIDES = ("whole", "front", "inside", "top", "side", "back", "foot", "mark", "label", "lid", "base", "detail")
"""Sides of a piece in the order that its photographs stand in; others follow as they came."""
Rows = Sequence[Stored]


@dataclass(frozen=True)
class Entry:
    """One piece with what belongs to it; what the reader may not see is not in it.

    `people` tells whether names of people are shown, `own_side` whether place, cost and provenance are.
    """

    piece: Stored
    changeable: bool
    own_side: bool
    people: bool
    readings: Rows
    superseded: Rows
    attributions: Rows
    rejections: Rows
    findings: Rows
    conditions: Rows
    parts: Rows
    photographs: Rows
    encounters: Rows
    prices: Rows
    acquisitions: Rows
    leach_results: Rows
    notes: Rows
    notes_before: Rows
    reasons: dict[str, str] = field(default_factory=dict)

    @property
    def said(self) -> Stored | None:
        """What the whole piece is said to be: what a person said last, else what was proposed."""
        whole = [one for one in self.attributions if one.part_id is None and one.weight > 0.0]
        return max(whole, key=lambda one: (one.basis == "confirmed", one.added_in_id, one.pk), default=None)

    @property
    def called(self) -> str:
        """Its name; without one, what it is said to be."""
        if self.piece.name or self.said is None:
            return self.piece.name or "A piece without a name"
        told = (self.said.form or self.said.line, self.said.decoration)
        return ", ".join(str(one) for one in told if open_to(self.own_side, one)) or "A piece without a name"

    @property
    def making(self) -> list[tuple[str, list[Stored]]]:
        """Faults of the making, by the place on the piece."""
        return _by_place(one for one in self.conditions if one.kind == "making")

    @property
    def damage(self) -> list[tuple[str, list[Stored]]]:
        """What happened to it since, by the place on the piece."""
        return _by_place(one for one in self.conditions if one.kind == "damage")


def entry_of(piece: Stored, user: User) -> Entry:
    """The entry of one piece as a person may see it."""
    return _Gathering(piece, user).entry()


class _Gathering:
    def __init__(self, piece: Stored, user: User) -> None:
        self.piece, self.user = piece, user
        self.own_side = sees_the_owner_s_side(user, piece)

    def entry(self) -> Entry:
        return Entry(
            self.piece, may_change(self.user, self.piece), self.own_side, self.user.may(Role.MEMBER),
            readings=self._of("readings", "part", "instrument", "read_by"),
            superseded=self._superseded("readings", "part", "instrument", "read_by"),
            attributions=self._of("attributions", "part", *CELL),
            rejections=self._of("rejections", "part"),
            findings=self._of("findings", "part"),
            conditions=self._of("conditions", "part"),
            parts=self._of("parts"),
            photographs=self._photographs(),
            encounters=self._own("encounters", "channel", "place", "outing"),
            prices=self._own("prices", "place", "channel"),
            acquisitions=self._own("acquisitions", "from_whom", "place", "price"),
            leach_results=self._of("leach_results", "part"),
            notes=self._of("notes", "part"),
            notes_before=self._superseded("notes"),
            reasons=self._reasons(),
        )  # fmt: skip

    def _of(self, table: str, *related: str) -> list[Stored]:
        """Current rows of the piece, in the order they came."""
        rows = MODELS[table].objects.current().filter(piece=self.piece).select_related(*related)
        seen = rows if self.own_side else rows.filter(private=False)
        return list(seen.order_by("added_in_id", "pk"))

    def _own(self, table: str, *related: str) -> list[Stored]:
        return self._of(table, *related) if self.own_side else []

    def _superseded(self, table: str, *related: str) -> list[Stored]:
        if not self.own_side:
            return []
        gone = MODELS[table].objects.filter(piece=self.piece, later__isnull=False)
        return list(gone.select_related(*related).order_by("added_in_id", "pk"))

    def _reasons(self) -> dict[str, str]:
        """Why readings were corrected, by the id of the reading."""
        if not self.own_side:
            return {}
        given = MODELS["corrections"].objects.current().filter(reading__piece=self.piece)
        return {pk: reason for pk, reason in given.values_list("reading", "reason") if reason}

    def _photographs(self) -> list[Stored]:
        """As somebody put them, the others by side; a guest sees those that somebody permits to be published."""
        own = self._of("photographs", "part", "letter__sender")
        seen = own if self.user.may(Role.MEMBER) else [one for one in own if one.permission]
        rank = {side: i for i, side in enumerate(SIDES)}
        return sorted(
            seen,
            key=lambda one: (one.position or inf, rank.get((one.side or "").casefold().strip(), len(rank))),
        )


def cited_as(piece: Stored, user: User) -> Stored | None:
    """The source that a piece is in the reference, where it is one: it has the same id."""
    return visible("sources", user).filter(pk=piece.pk).first()


def _by_place(conditions: Iterable[Stored]) -> list[tuple[str, list[Stored]]]:
    found: dict[str, list[Stored]] = {}
    for one in conditions:
        where = ", ".join(filter(None, (one.part.name if one.part_id else "", one.place)))
        found.setdefault(where, []).append(one)
    return list(found.items())
