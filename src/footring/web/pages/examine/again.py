"""A piece that is put away, back on the page: its readings as they stand, and what it was said not to be."""

from __future__ import annotations

from dataclasses import replace

from django.db.models import Q, QuerySet

from footring.marks.readings import read_reading
from footring.records.models import MODELS, Role, User
from footring.records.models.stored import Stored
from footring.web.pages.examine.asked import Asked


def pieces_for(user: User) -> QuerySet:
    """Pieces that a person may see."""
    pieces = MODELS["pieces"].objects.all()
    if user.may(Role.CURATOR):
        return pieces
    return pieces.filter(Q(private=False) | Q(recorded_by=user.get_username()))


def state_of(piece: Stored) -> Asked:
    """The state of the page for a piece."""
    stored = MODELS["readings"].objects.current().filter(piece=piece).select_related("part").order_by("pk")
    read = []
    for row in stored:
        part = f"{row.part.name}." if row.part and row.part.name in ("lid", "base") else ""
        reading = read_reading(part + row.name, "none" if row.absent else row.value or "")
        if reading is not None:
            read.append(reading if row.sure is None else replace(reading, p=row.sure))
    out = MODELS["rejections"].objects.current().filter(piece=piece).order_by("pk")
    ruled_out = tuple(f"{row.subject_table}/{row.subject}" for row in out)
    return Asked(tuple(dict.fromkeys(read)), ruled_out=ruled_out, of=piece.pk)
