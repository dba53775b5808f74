"""A piece that is put away, back on the page: its readings as they stand, and what it was said not to be."""

from __future__ import annotations

from dataclasses import replace

from footring.marks.readings import read_reading
from footring.records.models import Stored, User
from footring.records.privacy import visible
from footring.web.pages.examine.asked import Asked


def state_of(piece: Stored, user: User) -> Asked:
    """The state of the page for a piece, from what a person may see of it."""
    stored = visible("readings", user).current().filter(piece=piece).select_related("part").order_by("pk")
    read = []
    for row in stored:
        part = f"{row.part.name}." if row.part and row.part.name in ("lid", "base") else ""
        reading = read_reading(part + row.name, "none" if row.absent else row.value or "")
        if reading is not None:
            read.append(reading if row.sure is None else replace(reading, p=row.sure))
    out = visible("rejections", user).current().filter(piece=piece).order_by("pk")
    ruled_out = tuple(f"{row.subject_table}/{row.subject}" for row in out)
    return Asked(tuple(dict.fromkeys(read)), ruled_out=ruled_out, of=piece.pk)
