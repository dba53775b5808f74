"""Readings as they are stored, and as the reasoning takes them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from footring.marks.readings import Reading, read_reading
from footring.reasoning.channels.build import Channels
from footring.records.ids import new_id
from footring.records.models import Stored
from footring.rows import collection as rows
from footring.terms.errors import BadInput

EXAMINED_APART = ("lid", "base")
"""Parts that the reasoning knows of; what is read off others (a box, a paper) says nothing of the piece."""

_STANDS = "as it stands"
"""Any value that is no sign for anything; the reading's own takes its place."""


def name_of(row: Stored) -> str:
    """A stored reading's name with its part, as it is typed."""
    return f"{row.part.name}.{row.name}" if row.part_id else row.name


def as_read(row: Stored) -> Reading | None:
    """A stored reading as the reasoning takes it; None where it is of a part that it does not know of.

    Raises
    ------
    BadInput
        No reading is called so.
    """
    if row.part_id and row.part.name not in EXAMINED_APART:
        return None
    named = read_reading(name_of(row), "none" if row.absent else _STANDS if row.value else "")
    if named is None:
        return None
    return replace(named, value="" if row.absent else row.value, p=1.0 if row.sure is None else row.sure)


def to_store(read: Reading, piece: str, part: str | None = None, instrument: str | None = None) -> rows.Reading:
    """A reading as it is stored: `as_read` the other way round.

    Parameters
    ----------
    piece, part : str
        Ids of the piece, and of the part that it was read off; None for the whole.
    instrument : str, optional
        Id of what it was read with.
    """
    number = f".{read.index}" if read.index > 1 else ""
    return rows.Reading(
        new_id(), piece=piece, part=part, name=read.name + number, value=None if read.absent else read.value,
        absent=read.absent, sure=read.p if read.p < 1.0 else None, instrument=instrument,
    )  # fmt: skip


def usable(readings: Iterable[Stored], channels: Channels) -> tuple[list[Reading], list[str]]:
    """Stored readings as the reasoning takes them, and why others could not be used."""
    found: list[Reading] = []
    unused: list[str] = []
    for row in readings:
        try:
            read = as_read(row)
            channels.factors([read] if read else [])
        except BadInput as error:
            unused.append(str(error))
        else:
            found += [read] if read else []
    return found, unused
