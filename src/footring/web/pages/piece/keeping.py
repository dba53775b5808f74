"""What is found of a piece, kept while something is done to it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from footring.reasoning.finding import Finding
from footring.records.acts import Doing
from footring.records.known import Known
from footring.records.models import MODELS, Stored
from footring.records.readings import usable
from footring.rows import Row
from footring.rows.collection import Attribution
from footring.web.pages.piece.findings import rows_to_keep
from footring.web.pages.piece.said import whole, withdrawn


def keep_finding(doing: Doing, now: Known, piece: Stored) -> None:
    """Keep what follows from all that was read of a piece, and propose what it may be where nobody confirmed it.

    Parameters
    ----------
    now : Known
        As it was before the act: during one it is not known yet what the act will have touched.
    """
    finding = found_now(now, piece)
    said = [one for one in whole(piece) if one.weight > 0.0]
    confirmed = any(one.basis == "confirmed" for one in said)
    parts = dict(MODELS["parts"].objects.filter(piece=piece).values_list("name", "pk"))
    kept = list(rows_to_keep(now, finding, piece.pk, parts, confirmed))
    doing.add(*_in_place_of([one for one in said if one.basis == "proposed"], kept))


def _in_place_of(before: Sequence[Stored], kept: Sequence[Row]) -> Iterator[Row]:
    """What is kept, a new proposal in the place of the one before; what was proposed beside that is taken back."""
    left = list(before)
    for row in kept:
        yield replace(row, supersedes=left.pop(0).pk) if isinstance(row, Attribution) and left else row
    yield from map(withdrawn, left)


def found_now(now: Known, piece: Stored) -> Finding:
    """What follows from all that was read of a piece."""
    rows = MODELS["readings"].objects.current().filter(piece=piece).select_related("part").order_by("added_in_id", "pk")
    return now.examiner.finding(usable(rows, now.examiner.model.channels)[0], explain=False, most=0)
