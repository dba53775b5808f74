"""What programs are told, and what they may ask: the shapes of it."""

from __future__ import annotations

from typing import Annotated, Any

from ninja import Schema
from pydantic import ConfigDict, Field

WRITTEN = r"^[^\x00]*$"
"""Any text that every database can hold."""
ID = Annotated[str, Field(min_length=1, max_length=200, pattern=WRITTEN)]
SHORT = Annotated[str, Field(max_length=200, pattern=WRITTEN)]
MOST_READINGS = 60


class Problem(Schema):
    """Why something was not done, in a sentence."""

    detail: str


ANYTIME = {401: Problem, 422: Problem, 503: Problem}
"""What may be answered whatever is asked: no token, not as described here, a disk or database that fails."""


class Reading(Schema):
    """One thing read or measured off a piece, as it stands now."""

    id: str
    piece: str
    part: str | None
    name: str
    value: str | None
    absent: bool
    sure: float | None


class Encounter(Schema):
    """A piece met on a day. Where is told only to whoever may change the piece."""

    id: str
    piece: str
    met: str | None
    channel: str | None
    place: str | None = None


class Piece(Schema):
    """A piece. Where it is put away is told only to whoever may change it."""

    id: str
    name: str | None
    private: bool
    place: str | None = None


class Note(Schema):
    """What somebody has to say of a piece. A private one is told only to whoever wrote it, and to curators."""

    id: str
    piece: str
    part: str | None
    text: str
    private: bool


class WholePiece(Piece):
    """A piece with what was read of it, when it was met, and the notes on it."""

    readings: list[Reading]
    encounters: list[Encounter]
    notes: list[Note]


class Answer(Schema):
    """One answer of a finding; ids of things of the reference, None where nobody knows."""

    rank: int
    probability: float
    outcome: str
    line: str | None
    form: str | None
    size: str | None
    body: str | None
    glaze: str | None
    decoration: str | None
    trim: str | None


class Finding(Schema):
    """What the reasoning made of a piece when it was put away or examined again."""

    id: str
    piece: str
    part: str | None
    recorded_at: str | None
    version: str
    answers: list[Answer]


class Pieces(Schema):
    """Some pieces in the order of their ids; `next` is what to ask `after` for more."""

    items: list[Piece]
    next: str | None


class Readings(Schema):
    """Some readings in the order of their ids; `next` is what to ask `after` for more."""

    items: list[Reading]
    next: str | None


class Findings(Schema):
    """Some findings in the order of their ids; `next` is what to ask `after` for more."""

    items: list[Finding]
    next: str | None


class Asked(Schema):
    """What a program sends: nothing beside what is named."""

    model_config = ConfigDict(extra="forbid")


class Read(Asked):
    """A reading as one types it: `none` is looked for and not found, `value ~0.7` is doubtful."""

    name: SHORT
    value: Annotated[str, Field(max_length=2000, pattern=WRITTEN)]


class ToExamine(Asked):
    """Readings of one piece."""

    readings: Annotated[list[Read], Field(min_length=1, max_length=MOST_READINGS)]
    about: SHORT | None = None


class ToMeet(Asked):
    """A piece met again: on a day (EDTF), by a channel, at an outing or a place, each by its id."""

    piece: ID
    met: SHORT | None = None
    channel: ID | None = None
    outing: ID | None = None
    place: ID | None = None


Plain = dict[str, Any]
