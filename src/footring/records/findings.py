"""What the reasoning makes of a piece, as rows to be kept: findings with their answers, and what they propose."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from footring.reasoning.finding import Finding
from footring.reasoning.label_text import LIKELIER
from footring.reasoning.model import Model
from footring.reasoning.propose import LEAST
from footring.reasoning.ranked_cells import RankedCell, ranked_cells
from footring.records.ids import new_id
from footring.rows import Row
from footring.rows import collection as rows


@dataclass(frozen=True)
class Kept:
    """A finding of a piece, or of its lid, as it is kept.

    Parameters
    ----------
    finding : rows.Finding
        Its `part` is None where it is of the piece itself.
    cells : tuple of RankedCell
        Its answers, the likeliest first; never empty.
    """

    finding: rows.Finding
    cells: tuple[RankedCell, ...]

    def as_rows(self) -> Iterator[Row]:
        """The finding and its answers."""
        yield self.finding
        for rank, cell in enumerate(self.cells, 1):
            yield rows.FindingAnswer(
                new_id(), finding=self.finding.id, rank=rank, probability=cell.p, outcome=cell.outcome, **cell.ids
            )

    def proposal(self) -> rows.Attribution | None:
        """The likeliest recorded cell; None where it is not likely enough to be proposed."""
        best = _recorded(self.cells)
        if best is None or best.p < LEAST:
            return None
        return rows.Attribution(
            new_id(), piece=self.finding.piece, part=self.finding.part, weight=best.p, basis="proposed",
            finding=self.finding.id, **best.ids,
        )  # fmt: skip


def kept(model: Model, finding: Finding, piece: str, parts: Mapping[str, str]) -> list[Kept]:
    """What is kept of a finding: of the piece itself first, then of its lid; nothing of what nothing was read of.

    Parameters
    ----------
    model : Model
        That the finding was made with.
    finding : Finding
    piece : str
        Id of the piece.
    parts : mapping of str to str
        Ids of its parts by their names; "lid" is needed where a lid was read apart.
    """
    whole = _kept(finding, cells_of(model, finding), piece, None)
    lid = _kept(finding, cells_of(model, finding, "lid"), piece, parts.get("lid"))
    return [one for one in (whole, lid) if one.cells]


def _kept(of: Finding, cells: tuple[RankedCell, ...], piece: str, part: str | None) -> Kept:
    made_with = of.provenance
    row = rows.Finding(
        new_id(), piece=piece, part=part, version=made_with["footring"], reference_digest=made_with["reference"],
        parameter_digest=made_with["parameters"],
    )  # fmt: skip
    return Kept(row, cells)


def cells_of(model: Model, finding: Finding, part: str | None = None) -> tuple[RankedCell, ...]:
    """The likeliest cells of a piece, or of its lid, the likeliest first; empty where nothing was read of it.

    Parameters
    ----------
    model : Model
        That the finding was made with.
    finding : Finding
        Of the whole piece: where its lid was read apart, the piece itself is no lid.
    part : {None, "lid"}
    """
    of_lid = finding.lid.readings if finding.lid else ()
    read = of_lid if part == "lid" else finding.readings
    return ranked_cells(model, (*finding.readings, *of_lid), part) if read else ()


def leading(cells: Sequence[RankedCell]) -> RankedCell | None:
    """What a person may confirm: the likeliest recorded form in its treatment.

    None where nothing was read, nothing is recorded, or the piece is likelier from outside the reference.
    """
    outside = sum(cell.p for cell in cells if cell.outcome == "outside")
    return None if outside > LIKELIER else _recorded(cells)


def _recorded(cells: Sequence[RankedCell]) -> RankedCell | None:
    return next((cell for cell in cells if cell.outcome == "recorded"), None)
