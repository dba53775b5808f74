"""What was read off a piece: as it stands in the entry, and as the reasoning takes it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from footring.marks.readings import Reading, read_reading
from footring.reasoning.channels.build import Channels
from footring.reasoning.label_text import chance
from footring.records.models import Stored
from footring.terms.errors import BadInput
from footring.web.pages.reference.when import in_words

EXAMINED_APART = ("lid", "base")
"""Parts that the reasoning knows of; what is read off others (a box, a paper) says nothing of the piece."""

_STANDS = "as it stands"
"""Any value that is no sign for anything; the reading's own takes its place."""


@dataclass(frozen=True)
class Line:
    """One reading as the entry tells it.

    `name` is what it is read again by, part and number included; `how` says by whom, when, with what and how sure.
    """

    row: Stored
    name: str
    what: str
    value: str
    how: str
    reason: str = ""


def lines(readings: Iterable[Stored], people: bool, reasons: dict[str, str]) -> dict[str, list[Line]]:
    """Readings by the part they are of; those of the whole piece under an empty name, first."""
    found: dict[str, list[Line]] = {"": []}
    for row in readings:
        part = row.part.name if row.part_id else ""
        found.setdefault(part, []).append(_line(row, people, reasons.get(row.pk, "")))
    return {part: of_part for part, of_part in found.items() if of_part}


def _line(row: Stored, people: bool, reason: str) -> Line:
    bare, _, number = row.name.partition(".")
    what = bare.replace("_", " ") + (f" ({number})" if number else "")
    return Line(row, name_of(row), what, "looked for and not found" if row.absent else row.value or "",
                _how(row, people), reason)  # fmt: skip


def _how(row: Stored, people: bool) -> str:
    sure = f"{chance(row.sure)} sure" if row.sure is not None and row.sure < 1.0 else ""
    within = f"to {row.uncertainty:g} mm" if row.uncertainty else ""
    tool = f"with {row.instrument}" if row.instrument_id else ""
    reader = str(row.read_by) if row.read_by_id else row.recorded_by or ""
    return ", ".join(filter(None, (sure, tool, within, reader if people else "", day(row.recorded_at))))


def day(recorded_at: str | None) -> str:
    """The day something was written down, in words."""
    return in_words((recorded_at or "")[:10])


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


def beside(look: Sequence[Reading], others: Iterable[Reading]) -> list[Reading]:
    """One look with the next number that its names have free on its part, so that it stands beside what was read."""
    names = {reading.name for reading in look}
    same = [other.index for other in others if other.name in names and other.part == look[0].part]
    return [replace(reading, index=1 + max(same)) if same else reading for reading in look]
