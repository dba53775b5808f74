"""What was read off a piece, as it stands in the entry."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from footring.reasoning.label_text import chance
from footring.records.models import Stored
from footring.records.readings import name_of
from footring.web.pages.reference.when import in_words


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
