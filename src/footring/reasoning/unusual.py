"""What is uncommon about the leading answer, with the counts behind it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import log2

import numpy as np

from footring.reasoning.examination import Examination
from footring.reasoning.leader import Leader
from footring.reasoning.model import Model
from footring.reasoning.rests_on import counts
from footring.reasoning.unusual_readings import of_readings
from footring.reference import TREATMENT

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
    """Everything about the leading answer that is under one in twenty, the rarest first.

    Sizes, marks and numbers only where something was read of them.
    """
    if lead.form < 0:
        return ()
    told = (*_conditionals(examination.model, lead), *of_readings(examination, lead))
    found = [Unusual(f"{what}.", _bits(p)) for what, p in told if p < UNCOMMON]
    found.sort(key=lambda item: -item.bits)
    if lead.cell < 0:
        form = _name(examination.model, "forms", lead.form).lower()
        what = f"Not recorded before: no piece and no document names this treatment on the {form}."
        share = lead.own + lead.free or float(examination.model.shares.form_rest[lead.form])
        found.insert(0, Unusual(what, _bits(share)))
    return tuple(found)


def _bits(p: float) -> float:
    return round(-log2(max(p, 2.0**-60)), 2)


def _conditionals(model: Model, lead: Leader) -> Iterator[tuple[str, float]]:
    line = int(model.form_line[lead.form])
    here, (some, whole) = _name(model, "lines", line), counts(model, lead, "form")
    form = _name(model, "forms", lead.form)
    yield f"{form} on {here}: {_met(some, whole)}", float(model.shares.form[lead.form])
    if lead.treatment >= 0:
        yield from _parts(model, lead, line)
    if lead.cell >= 0:
        pieces, of_form = float(model.known.pieces[lead.cell]), float(model.known.form_pieces[lead.form])
        yield f"This treatment on the {form.lower()}: {_met(pieces, of_form)}", lead.own + lead.free


def _parts(model: Model, lead: Leader, line: int) -> Iterator[tuple[str, float]]:
    """p(glaze | line), p(decoration | line, glaze) and p(trim | line, decoration), a share counting as one piece."""
    _, glaze, decoration, trim = model.known.treatments[lead.treatment, 1:].tolist()
    parts, here = model.shares.parts, _name(model, "lines", line)
    pair = np.flatnonzero((parts.pair_line == line) & (parts.pair_decoration == decoration))
    if glaze >= 0:
        counted = met_with(model, line, {}, "glaze", glaze)
        yield _told(f"{_name(model, 'glazes', glaze)} on {here}", counted, float(parts.glaze[line, glaze]))
    if glaze >= 0 and len(pair):
        met = parts.met_share[(parts.met_pair == pair[0]) & (parts.met_glaze == glaze)].sum()
        p = float(met + parts.glaze_rest[line, glaze] * parts.pair_share[pair[0]])
        what = f"{_name(model, 'decorations', decoration)} on {here} in {_name(model, 'glazes', glaze)}"
        yield _told(what, met_with(model, line, {"glaze": glaze}, "decoration", decoration), p)
    if trim >= 0 and len(pair):
        edge = parts.edge_share[(parts.edge_pair == pair[0]) & (parts.edge_trim == trim)].sum()
        p = float(edge + parts.edge_rest[pair[0]] * parts.trim[line, trim])
        what = f"{_name(model, 'trims', trim)} on {here} with {_name(model, 'decorations', decoration)}"
        yield _told(what, met_with(model, line, {"decoration": decoration}, "trim", trim), p)


def met_with(model: Model, line: int, given: Mapping[str, int], name: str, value: int) -> tuple[float, float]:
    """Pieces met on a line with one value of a part, of those met there with the parts given."""
    known, here = model.known, model.cell_line == line
    treatments, pieces = known.treatments[known.cell_treatment[here], 1:], known.pieces[here]
    there = np.all([treatments[:, TREATMENT.index(part)] == row for part, row in given.items()], axis=0)
    has = there & (treatments[:, TREATMENT.index(name)] == value)
    return float(pieces[has].sum()), float((pieces * there).sum())


def _told(what: str, counted: tuple[float, float], p: float) -> tuple[str, float]:
    some, whole = counted
    return f"{what}: {_met(some, whole)}", (some + p) / (whole + 1.0)


def _met(some: float, whole: float) -> str:
    return f"{some:,.0f} of {whole:,.0f} met"


def _name(model: Model, table: str, row: int) -> str:
    return str(model.reference.tables[table].text("name").value(row))
