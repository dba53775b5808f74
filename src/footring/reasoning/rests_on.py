"""What a reading's weight rests on: rows of the reference, counts, and rules with their source."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from footring.marks.datecode_schemes import Scheme
from footring.marks.foot import MarkPart
from footring.marks.readings import Reading, feet
from footring.reasoning.channels.factor import SLOTS, Factor
from footring.reasoning.code_years import codes_on, date_code_years
from footring.reasoning.date_mark import foot_evidence
from footring.reasoning.examination import Examination
from footring.reasoning.leader import Leader
from footring.reasoning.model import Model
from footring.reasoning.slots import choices
from footring.reasoning.thing_names import thing_name
from footring.reference import TREATMENT

MOST = 3
"""Numbers or marks that are named for one reading."""


def rests_on(examination: Examination, leader: Leader, reading: Reading) -> tuple[str, ...]:
    """What the weight of one reading rests on, each a phrase.

    Parameters
    ----------
    examination : Examination
    leader : Leader
        From `leading`; of an answer from outside only rules are told.
    reading : Reading
    """
    model = examination.model
    factors = {f.slot: f for _, several in choices(model.channels.factors([reading])) for f in several}
    found = [phrase for factor in factors.values() for phrase in _of_slot(model, leader, factor)]
    return tuple(dict.fromkeys([*found, *_codes(model, reading), *_rules(model, reading)]))


def _of_slot(model: Model, leader: Leader, factor: Factor) -> Iterator[str]:
    if leader.form < 0:
        return
    if factor.slot in ("mark_in_clay", "mark_printed", "label", "customer"):
        yield from _best_rows(model, factor)
    elif factor.slot == "number":
        yield from _numbers(model, leader)
    elif factor.slot == "size":
        yield f"sizes of {thing_name(model.reference, 'forms', leader.form)}"
    elif (row := row_of(model, leader, factor.slot)) >= 0:
        yield f"{factor.slot} {thing_name(model.reference, SLOTS[factor.slot], row)}{_counted(model, leader, factor)}"


def row_of(model: Model, leader: Leader, slot: str) -> int:
    """Row of the leading answer in the table of a slot; -1 where it has none or it is not said."""
    if slot == "form" or leader.form < 0:
        return leader.form
    line = int(model.form_line[leader.form])
    if slot in ("line", "maker"):
        return line if slot == "line" else int(model.line_maker[line])
    if slot in TREATMENT and leader.treatment >= 0:
        return int(model.known.treatments[leader.treatment, 1 + TREATMENT.index(slot)])
    return -1


def _counted(model: Model, leader: Leader, factor: Factor) -> str:
    met, of = counts(model, leader, factor.slot)
    return f" ({met:.0f} of {of:.0f} met)" if of >= 0.5 else ""


def counts(model: Model, leader: Leader, slot: str) -> tuple[float, float]:
    """Pieces met with the leading answer's value of a slot, of those met on its line; of a form or line, of all."""
    known, line = model.known, int(model.form_line[leader.form])
    if slot == "form":
        return float(known.form_pieces[leader.form]), float(known.line_pieces[line])
    if slot in ("line", "maker"):
        same = (
            model.line_maker == model.line_maker[line] if slot == "maker" else np.arange(len(model.line_maker)) == line
        )
        return float(known.line_pieces[same].sum()), float(known.line_pieces.sum())
    here = model.cell_line == line
    column = known.treatments[known.cell_treatment[here], 1 + TREATMENT.index(slot)]
    pieces = known.pieces[here]
    return float(pieces[column == row_of(model, leader, slot)].sum()), float(pieces.sum())


def _best_rows(model: Model, factor: Factor) -> Iterator[str]:
    table = SLOTS[factor.slot]
    for row in np.argsort(-factor.log, kind="stable")[:MOST].tolist():
        if factor.log[row] > factor.new and factor.log[row] > factor.log.max() - 1.0:
            yield f"{table[:-1]} {thing_name(model.reference, table, row)}"


def _numbers(model: Model, leader: Leader) -> Iterator[str]:
    if leader.treatment < 0:
        return
    own = model.numbering.own
    rows = own.indices[slice(*own.indptr[leader.treatment : leader.treatment + 2])].tolist()
    source = model.reference.tables["numbers"].links["source"]
    for row in rows[:MOST]:
        said = f", {thing_name(model.reference, 'sources', int(source[row]))}" if source[row] >= 0 else ""
        yield f"number {thing_name(model.reference, 'numbers', row)}{said}"
    if not rows:
        yield "no number recorded for this treatment"


def _codes(model: Model, reading: Reading) -> Iterator[str]:
    """The schemes that make a date of a code, the likeliest first, or that have it that one should be there."""
    rules = model.rules
    for code, in_mark in codes_on(feet([reading])[None], rules.schemes, rules.words):
        best = _by_scheme(model, code, in_mark)
        for scheme in sorted(best, key=lambda row: (-best[row], row))[:MOST]:
            yield _scheme(rules.schemes[scheme])
        if not best:
            yield "no scheme of the reference: none " + (f"makes a date of {code.text}" if code.text else "has a code")


def _by_scheme(model: Model, code: MarkPart, in_mark: bool) -> dict[int, float]:
    """How likely each scheme makes a code in its likeliest year, of those that do so better than none."""
    scheme_of = model.reference.tables["marks"].links["date_code_scheme"]
    best: dict[int, float] = {}
    for told in date_code_years(code, in_mark, model.reference, model.rules.schemes, model.rules.years).values():
        for mark, chance in told.by_year.items():
            if code.absent or chance.max() > told.otherwise:
                scheme = int(scheme_of[mark])
                best[scheme] = max(best.get(scheme, 0.0), float(chance.max()))
    return best


def _scheme(scheme: Scheme) -> str:
    first, last = (month // 12 for month in scheme.span)
    return f"date code {scheme.name} ({scheme.id}), {first}-{last} {_cited(scheme.source, scheme.status)}"


def _rules(model: Model, reading: Reading) -> Iterator[str]:
    for item in foot_evidence(feet([reading])[None], model.rules.schemes):
        yield f"{item.says} {_cited(item.source, item.status)}"


def _cited(source: str, status: str) -> str:
    return f"[{source or 'no source'}]{' from memory' if status == 'memory' else ''}"
