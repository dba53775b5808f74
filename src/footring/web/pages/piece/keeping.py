"""What is found of a piece, kept while something is done to it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from footring.marks.readings import Reading
from footring.records.acts import Doing
from footring.records.findings import kept
from footring.records.known import Known
from footring.records.models import MODELS, Stored
from footring.records.readings import usable
from footring.rows.collection import Attribution
from footring.web.pages.piece.said import said_of, withdrawn


def keep_finding(doing: Doing, now: Known, piece: Stored) -> None:
    """Keep what follows from all that was read of a piece, and propose what it may be where nobody confirmed it.

    Parameters
    ----------
    now : Known
        As it was before the act: during one it is not known yet what the act will have touched.
    """
    parts = dict(MODELS["parts"].objects.filter(piece=piece).values_list("name", "pk"))
    finding = now.examiner.finding(read_of(now, piece), explain=False, most=0)
    found = kept(now.examiner.model, finding, piece.pk, parts)
    doing.add(*(row for one in found for row in one.as_rows()))
    proposals = {one.finding.part: one.proposal() for one in found}
    for part in dict.fromkeys((None, parts.get("lid"))):
        doing.add(*_proposed_anew(said_of(piece, part), proposals.get(part)))


def _proposed_anew(said: Sequence[Stored], proposal: Attribution | None) -> Iterator[Attribution]:
    """A proposal in the place of what was proposed before, unless somebody confirmed; the others are taken back."""
    before = [one for one in said if one.basis == "proposed"]
    if proposal is not None and len(before) == len(said):
        yield replace(proposal, supersedes=before.pop(0).pk) if before else proposal
    yield from map(withdrawn, before)


def read_of(now: Known, piece: Stored) -> list[Reading]:
    """What was read of a piece and can be used, in the order it came."""
    rows = MODELS["readings"].objects.current().filter(piece=piece).select_related("part").order_by("added_in_id", "pk")
    return usable(rows, now.examiner.model.channels)[0]
