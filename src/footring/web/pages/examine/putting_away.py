"""Putting a piece away: the piece, what was read of it, what the reasoning made of that, and what a person says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from footring.reasoning.finding import Finding
from footring.reasoning.label_text import SURE
from footring.records.findings import Kept, kept, leading
from footring.records.ids import new_id
from footring.records.known import Known
from footring.records.models import MODELS
from footring.records.named import named
from footring.records.readings import to_store
from footring.rows import TABLES, Row
from footring.rows import collection as rows
from footring.terms.errors import BadInput

_TAKEN_ALONG = {"in_clay_mark": "mark_in_clay", "printed_mark": "mark_printed", "customer": "customer", "size": "size"}
"""Attributes beside the cell that a confirmation takes along where they are nearly sure, and their columns."""


@dataclass(frozen=True)
class PutAway:
    """What a person says on putting a piece away.

    Parameters
    ----------
    name : str
        What it is called; empty for no name.
    place : str
        Name or id of a place; one not known yet is made. Empty for none.
    confirmed : bool
        Whether it is what the label says, on the person's word.
    ruled_out : tuple of str
        Things it is not, each as `table/id`.
    """

    name: str = ""
    place: str = ""
    confirmed: bool = False
    ruled_out: tuple[str, ...] = ()


def rows_of(known: Known, finding: Finding, said: PutAway) -> list[Row]:
    """Every row of a piece that is put away.

    Raises
    ------
    BadInput
        Nothing was read, or what was to be confirmed is nothing that the reference holds.
    """
    readings = (*finding.readings, *(finding.lid.readings if finding.lid else ()))
    if not readings:
        raise BadInput("nothing was read of this piece: read one thing off it, then put it away")
    piece, (place, made) = new_id(), named(rows.Place, said.place)
    parts = {name: new_id() for name in dict.fromkeys(r.part for r in readings) if name}
    out: list[Row] = [*made, rows.Piece(piece, name=said.name.strip() or None, place=place)]
    out += [rows.Part(id_, piece=piece, name=name) for name, id_ in parts.items()]
    out += [to_store(reading, piece, parts.get(reading.part or "")) for reading in readings]
    out += _concluded(known, finding, piece, parts, said.confirmed)
    out += [_rejection(piece, one) for one in said.ruled_out]
    return out


def _concluded(known: Known, finding: Finding, piece: str, parts: Mapping[str, str], confirmed: bool) -> Iterator[Row]:
    """Findings with their answers, and what is said or proposed on the strength of each."""
    found = kept(known.examiner.model, finding, piece, parts)
    yield from (row for one in found for row in one.as_rows())
    whole = next((one for one in found if one.finding.part is None), None)
    if confirmed:
        yield _on_their_word(finding, whole)
    proposed = [one.proposal() for one in found if not (confirmed and one is whole)]
    yield from filter(None, proposed)


def _on_their_word(finding: Finding, whole: Kept | None) -> rows.Attribution:
    cell = leading(whole.cells) if whole else None
    if whole is None or cell is None:
        raise BadInput("this cannot be confirmed: your reference holds no such form in such a treatment; leave it open")
    return rows.Attribution(
        new_id(), piece=whole.finding.piece, weight=1.0, basis="confirmed", finding=whole.finding.id, **cell.ids,
        **_beside(finding),
    )  # fmt: skip


def _beside(of: Finding) -> dict[str, str]:
    best = {column: of.marginals[name][0] for name, column in _TAKEN_ALONG.items() if of.marginals.get(name)}
    return {column: thing for column, (_, p, thing) in best.items() if thing and p >= SURE}


def _rejection(piece: str, thing: str) -> rows.Rejection:
    table, _, subject = thing.partition("/")
    return rejection(piece, table, subject)


def rejection(piece: str, table: str, subject: str, reason: str = "") -> rows.Rejection:
    """A person's word that a piece is not this.

    Raises
    ------
    BadInput
        No such table or thing.
    """
    if table not in TABLES or not MODELS[table].objects.filter(pk=subject).exists():
        raise BadInput(f"{table}/{subject} is nothing in this collection: choose again under the word on the label")
    return rows.Rejection(new_id(), piece=piece, subject_table=table, subject=subject, reason=reason.strip() or None)
