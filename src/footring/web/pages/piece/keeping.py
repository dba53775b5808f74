"""What is found of a piece, kept while something is done to it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from footring.reasoning.finding import Finding
from footring.records.acts import Doing
from footring.records.findings import kept
from footring.records.known import Known
from footring.records.models import MODELS, Stored
from footring.records.readings import usable
from footring.rows.collection import Attribution
from footring.web.pages.piece.said import whole, withdrawn


def keep_finding(doing: Doing, now: Known, piece: Stored) -> None:
    """Keep what follows from all that was read of a piece, and propose what it may be where nobody confirmed it.

    Parameters
    ----------
    now : Known
        As it was before the act: during one it is not known yet what the act will have touched.
    """
    parts = dict(MODELS["parts"].objects.filter(piece=piece).values_list("name", "pk"))
    found = kept(now.examiner.model, found_now(now, piece), piece.pk, parts)
    doing.add(*(row for one in found for row in one.as_rows()))
    said = [one for one in whole(piece) if one.weight > 0.0]
    confirmed = any(one.basis == "confirmed" for one in said)
    proposed = next((one.proposal() for one in found if one.finding.part is None and not confirmed), None)
    doing.add(*_in_place_of([one for one in said if one.basis == "proposed"], proposed))


def _in_place_of(before: Sequence[Stored], proposed: Attribution | None) -> Iterator[Attribution]:
    """What is proposed now in the place of what was proposed before; what was proposed beside that is taken back."""
    if proposed is not None:
        yield replace(proposed, supersedes=before[0].pk) if before else proposed
    yield from map(withdrawn, before[1:] if proposed is not None else before)


def found_now(now: Known, piece: Stored) -> Finding:
    """What follows from all that was read of a piece."""
    rows = MODELS["readings"].objects.current().filter(piece=piece).select_related("part").order_by("added_in_id", "pk")
    return now.examiner.finding(usable(rows, now.examiner.model.channels)[0], explain=False, most=0)
