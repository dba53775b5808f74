"""What was found of a piece over time, and why it changed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from footring.reasoning.finding import Finding
from footring.reasoning.label_text import chance
from footring.reasoning.ranked_cells import RankedCell
from footring.records.findings import cells_of
from footring.records.known import Known
from footring.records.models import MODELS, Stored
from footring.records.privacy import open_to
from footring.web.cells import cell_in_words

CELL = ("line", "form", "size", "body", "glaze", "decoration", "trim")
MOVED = 0.05
"""By how much a chance has moved that is another one."""
_OUTCOMES = {"unrecorded": "something that nobody recorded", "outside": "none that is in your reference"}
_REFERENCE = "the reference changed"
_MADE_WITH = (
    ("reference_digest", "reference", _REFERENCE),
    ("parameter_digest", "parameters", "what is learned from pieces changed"),
    ("version", "footring", "Footring changed"),
)
"""Columns of a kept finding, what they are called in a new one, and what a difference means."""


@dataclass(frozen=True)
class Told:
    """A finding that was kept: what came first and how likely, and why it was another than the one before."""

    row: Stored
    said: str
    why: str


def told(findings: Sequence[Stored], readings: Iterable[Stored], own: bool) -> list[Told]:
    """Findings of a piece and its parts, the last first."""
    firsts = _firsts(findings)
    read = list(readings)
    found, before = list[Told](), dict[str | None, Stored]()
    for one in findings:
        last = before.get(one.part_id)
        why = "the first" if last is None else ", ".join(_between(last, one, read)) or "nothing had changed"
        found.append(Told(one, _in_words(firsts.get(one.pk), own), why))
        before[one.part_id] = one
    return found[::-1]


def _firsts(findings: Sequence[Stored]) -> dict[str, Stored]:
    """The likeliest answer of each."""
    if not findings:
        return {}
    answers = MODELS["finding_answers"].objects.filter(finding__in=[one.pk for one in findings], rank=1)
    return {one.finding_id: one for one in answers.select_related(*CELL)}


def _in_words(answer: Stored | None, own: bool) -> str:
    if answer is None:
        return "no answer was kept"
    named = {name: str(thing) for name in CELL if open_to(own, thing := getattr(answer, name))}
    return f"{_OUTCOMES.get(answer.outcome) or cell_in_words(named)} ({chance(answer.probability)})"


def _between(before: Stored, after: Stored, readings: Iterable[Stored]) -> Iterator[str]:
    """Why one finding is another than the one before."""
    added = [one for one in readings if before.added_in_id < one.added_in_id <= after.added_in_id]
    if added:
        names = ", ".join(dict.fromkeys(one.name.partition(".")[0].replace("_", " ") for one in added))
        corrected = any(one.supersedes_id for one in added)
        yield f"{names} {'corrected or ' if corrected else ''}read since"
    for column, _, means in _MADE_WITH:
        if getattr(before, column) != getattr(after, column):
            yield means


def since(last: Stored | None, now: Known, finding: Finding, readings: Iterable[Stored]) -> list[str]:
    """Why what is found now is another thing than what was kept last; empty where it is not.

    A reference that changed without changing the answer is no reason.
    """
    if last is None:
        return ["none was kept yet"]
    read = any(one.added_in_id > last.added_in_id for one in readings)
    others = [
        means for column, name, means in _MADE_WITH if getattr(last, column) not in (None, finding.provenance[name])
    ]
    if not read and others == [_REFERENCE] and not _moved(last, cells_of(now.examiner.model, finding)):
        return []
    return [*(["something was read"] if read else []), *others]


def _moved(last: Stored, cells: Sequence[RankedCell]) -> bool:
    """Whether another answer comes first now, or its chance is clearly another."""
    kept = _firsts([last]).get(last.pk)
    if kept is None or not cells:
        return True
    ids = {name: thing for name in CELL if (thing := getattr(kept, f"{name}_id")) is not None}
    return (kept.outcome, ids) != (cells[0].outcome, dict(cells[0].ids)) or abs(kept.probability - cells[0].p) >= MOVED
