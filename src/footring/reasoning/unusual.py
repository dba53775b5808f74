"""What is uncommon about the leading answer, with the counts behind it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import log2

from footring.reasoning.examination import Examination
from footring.reasoning.leader import Leader
from footring.reasoning.marginals import PARTS
from footring.reasoning.model import Model
from footring.reasoning.rests_on import counts

UNCOMMON = 0.05
"""Conditionals below this are told."""


@dataclass(frozen=True, slots=True)
class Unusual:
    """One thing that is uncommon.

    Parameters
    ----------
    what : str
        A sentence with its counts.
    bits : float
        -log2 of its probability given the rest.
    """

    what: str
    bits: float


def unusual(examination: Examination, lead: Leader) -> tuple[Unusual, ...]:
    """Everything about the leading answer that is under one in twenty, the rarest first."""
    if lead.form < 0:
        return ()
    found = [
        Unusual(f"{what}.", round(-log2(p), 2)) for what, p in _conditionals(examination.model, lead) if p < UNCOMMON
    ]
    found.sort(key=lambda item: -item.bits)
    if lead.cell < 0:
        form = _name(examination.model, "forms", lead.form).lower()
        what = f"Not recorded before: no piece and no document names this treatment on the {form}."
        found.insert(0, Unusual(what, round(-log2(max(lead.p, 1e-18)), 2)))
    return tuple(found)


def _conditionals(model: Model, lead: Leader) -> Iterator[tuple[str, float]]:
    shares, line = model.shares, int(model.form_line[lead.form])
    here, (some, whole) = _name(model, "lines", line), counts(model, lead, "form")
    form = _name(model, "forms", lead.form)
    yield f"{form} on {here}: {some:,.0f} of {whole:,.0f} met", float(shares.form[lead.form])
    if lead.cell < 0:
        return
    _, *parts = model.known.treatments[lead.treatment].tolist()
    tables = dict(zip(PARTS, ("bodies", "glazes", "decorations", "trims"), strict=True))
    for name, value in zip(PARTS, parts, strict=True):
        if value >= 0 and (p := _share(model, line, name, value, parts)) is not None:
            some, whole = counts(model, lead, name)
            yield (
                f"{_name(model, tables[name], value)} on {here}: {some:,.0f} of {whole:,.0f} met",
                (some + p) / (whole + 1),
            )
    pieces, of_form = model.known.pieces[lead.cell], model.known.form_pieces[lead.form]
    p = float(model.cell_own[lead.cell])
    yield f"This treatment on the {form.lower()}: {pieces:,.0f} of {of_form:,.0f} met", p


def _share(model: Model, line: int, name: str, value: int, treatment: list[int]) -> float | None:
    """p(part | line) before counting pieces; None where nothing is known."""
    parts = model.shares.parts
    if name == "glaze":
        return float(parts.glaze[line, value])
    pair = ((parts.pair_line == line) & (parts.pair_decoration == treatment[2])).nonzero()[0]
    if name == "decoration" and len(pair):
        return float(parts.pair_share[pair[0]])
    if name == "trim":
        return float(parts.trim[line, value])
    return None


def _name(model: Model, table: str, row: int) -> str:
    return str(model.reference.tables[table].text("name").value(row))
