"""A piece that is put away, back on the page: its readings as they stand, and what it was said not to be."""

from __future__ import annotations

from collections.abc import Iterable

from footring.marks.readings import Reading
from footring.records.models import Stored, User
from footring.records.privacy import visible
from footring.records.readings import as_read
from footring.web.pages.examine.asked import Asked


def state_of(piece: Stored, readings: Iterable[Reading], rejections: Iterable[Stored]) -> Asked:
    """The state of the page for a piece."""
    ruled_out = tuple(f"{row.subject_table}/{row.subject}" for row in rejections)
    return Asked(tuple(dict.fromkeys(readings)), ruled_out=ruled_out, of=piece.pk)


def seen_by(user: User, piece: Stored) -> Asked:
    """The same, from what a person may see of the piece.

    Raises
    ------
    BadInput
        A reading is called what no reading is.
    """
    stored = visible("readings", user).current().filter(piece=piece).select_related("part").order_by("pk")
    rejections = visible("rejections", user).current().filter(piece=piece).order_by("pk")
    return state_of(piece, filter(None, map(as_read, stored)), rejections)
