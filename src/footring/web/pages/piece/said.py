"""What people said that a piece is, and is not, in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from footring.records.ids import new_id
from footring.records.models import MODELS, Stored, User
from footring.records.privacy import open_to, visible
from footring.rows import TABLES
from footring.rows.collection import Attribution
from footring.web.cells import cell_in_words
from footring.web.pages.piece.entry import CELL
from footring.web.pages.piece.read import day


@dataclass(frozen=True)
class Said:
    """One thing that was said: who and when is empty where names are not shown."""

    row: Stored
    text: str
    by: str


def attributions(said: Iterable[Stored], people: bool, own: bool) -> list[Said]:
    """What the piece and its parts are said to be, as it stands now; what was taken back is left out."""
    return [Said(one, cell_in_words(named_in(one, own)), by(one, people)) for one in said if one.weight > 0.0]


def named_in(attribution: Stored, own: bool = True) -> dict[str, str]:
    """What an attribution says, by the names of the things; without private ones where it is not one's own to see."""
    return {name: str(thing) for name in CELL if open_to(own, thing := getattr(attribution, name))}


def rejections(said: Sequence[Stored], people: bool, user: User) -> list[Said]:
    """What it is said not to be."""
    names = {
        (table, row.pk): str(row)
        for table in {one.subject_table for one in said}
        for row in visible(table, user).filter(pk__in=[one.subject for one in said if one.subject_table == table])
    }
    return [
        Said(one, names[subject], by(one, people))
        for one in said
        if (subject := (one.subject_table, one.subject)) in names
    ]


def by(row: Stored, people: bool) -> str:
    """Who said it and when; without names of people where none are shown."""
    return ", ".join(filter(None, (row.recorded_by if people else "", day(row.recorded_at))))


def subjects(attribution: Stored | None) -> list[tuple[str, str]]:
    """What may be said not to be: the column it stands in and what it is called, the form first."""
    if attribution is None:
        return []
    return sorted(named_in(attribution).items(), key=lambda one: one[0] != "form")


def thing_of(attribution: Stored, column: str) -> tuple[str, str]:
    """Table and id of what an attribution says in a column."""
    return str(TABLES["attributions"].column(column).refers_to), str(getattr(attribution, f"{column}_id"))


def said_of(piece: Stored, part: str | None = None) -> list[Stored]:
    """Everything that is said now of what a piece, or a part of it, is, the last last; not what was taken back."""
    rows = MODELS["attributions"].objects.current().filter(piece=piece, part=part, weight__gt=0.0)
    return list(rows.order_by("added_in_id", "pk"))


def withdrawn(said: Stored) -> Attribution:
    """A statement in the place of another that takes it back: it weighs nothing, and nobody stands for it."""
    return Attribution(
        new_id(), piece=said.piece_id, part=said.part_id, line=said.line_id, weight=0.0, basis="proposed",
        supersedes=said.pk,
    )  # fmt: skip
