"""Readings taken in: a line as one would say it, one by its name, a better one in the place of a wrong one."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from django.http import HttpRequest

from footring.marks.readings import Reading as Read
from footring.marks.readings import read_reading
from footring.reasoning.typed import Understood, understood
from footring.records.acts import Doing, act
from footring.records.ids import new_id
from footring.records.known import Known, known
from footring.records.models import MODELS, Stored
from footring.records.readings import EXAMINED_APART, name_of, to_store
from footring.rows.collection import Correction, Part, Reading
from footring.terms.errors import BadInput
from footring.web.pages.piece.doing import Overtaken, changing, text
from footring.web.pages.piece.keeping import keep_finding, read_of
from footring.web.pages.piece.words import SURE
from footring.web.whole import whole


@changing("readings")
def take(request: HttpRequest, piece: Any) -> str:
    """Take in what a line was understood to say, clause by clause as it was confirmed."""
    now = known().to(request.user)
    looks = _chosen(request, understood(now.examiner.model, request.POST.get("t", "").strip()))
    if not looks:
        raise BadInput("nothing of that was taken: type what you see, and say what of it was understood")
    with act("Add readings" if len(looks) > 1 else "Add a reading", request.user) as doing:
        before = read_of(now, piece)
        for look in looks:
            placed = _beside(look, before)
            before += placed
            doing.add(*[_row(doing, piece, one) for one in placed])
        keep_finding(doing, now, piece)
    return "Added."


def _chosen(request: HttpRequest, lines: Sequence[Understood]) -> list[Sequence[Read]]:
    """The meaning that was chosen of each clause."""
    found = []
    for i, line in enumerate(lines):
        which = whole(request.POST.get(f"c{i}", ""))
        if which is not None and which < len(line.meanings):
            found.append(line.meanings[which].readings)
    return found


@changing("readings")
def read(request: HttpRequest, piece: Any) -> str:
    """Add one reading by its name."""
    now, name = known().to(request.user), _full_name(request)
    typed = _typed(request, name, now)
    with act("Add a reading", request.user) as doing:
        if not name.rpartition(".")[2].isdigit():
            [typed] = _beside([typed], read_of(now, piece))
        doing.add(_row(doing, piece, typed, request.POST.get("part", "").strip(), _instrument(request)))
        keep_finding(doing, now, piece)
    return "Added."


@changing("readings")
def correct(request: HttpRequest, piece: Any) -> str:
    """Put a better reading in the place of one that was wrong; both are kept."""
    now = known().to(request.user)
    wrong = _wrong(request, piece)
    typed = _typed(request, name_of(wrong), now)
    better = to_store(typed, piece.pk, wrong.part_id, _instrument(request))
    better = replace(better, name=wrong.name, supersedes=wrong.pk, private=wrong.private)
    with act("Correct a reading", request.user) as doing:
        doing.add(better, Correction(new_id(), reading=wrong.pk, value=better.value, reason=text(request, "reason")))
        keep_finding(doing, now, piece)
    return "Corrected. What was read before is kept."


def _wrong(request: HttpRequest, piece: Any) -> Stored:
    """The reading that is to be corrected.

    Raises
    ------
    Overtaken
        Somebody corrected it since it was shown.
    BadInput
        It is gone.
    """
    found = MODELS["readings"].objects.filter(piece=piece, pk=request.POST.get("instead_of", "")).first()
    now = found
    while now is not None and (later := MODELS["readings"].objects.filter(supersedes=now).first()) is not None:
        now = later
    if found is None or now is None:
        raise BadInput("that reading was taken back meanwhile: look at the piece again")
    if now.pk != found.pk:
        yours = {"value": "" if request.POST.get("absent") else text(request, "value")}
        told = f"this reading was corrected meanwhile by {now.recorded_by}: both are shown; choose"
        raise Overtaken(told, {"value": "" if now.absent else now.value}, yours, now.pk)
    return now


def _beside(look: Sequence[Read], others: Iterable[Read]) -> list[Read]:
    """One look with the next number that its names have free on its part, so that it stands beside what was read."""
    names = {reading.name for reading in look}
    same = [other.index for other in others if other.name in names and other.part == look[0].part]
    return [replace(reading, index=1 + max(same)) if same else reading for reading in look]


def _full_name(request: HttpRequest) -> str:
    """A reading's name with the part that was chosen in front."""
    name, part = request.POST.get("name", "").strip(), request.POST.get("part", "").strip()
    return f"{part}.{name}" if part and "." not in name else name


def _typed(request: HttpRequest, name: str, now: Known) -> Read:
    """What was typed, as the reasoning reads it, however sure it was chosen to be.

    Raises
    ------
    BadInput
        Nothing was typed, no reading is called so, or its value cannot be read.
    """
    value = "none" if request.POST.get("absent") else request.POST.get("value", "").strip()
    where, _, bare = name.partition(".")
    typed = read_reading(name if where in EXAMINED_APART or not bare else bare, value)
    if typed is None:
        raise BadInput(f"{name or 'a reading'}: expected what was seen, or that it was looked for and not found")
    sure = request.POST.get("sure", "")
    if sure and sure in dict(SURE):
        typed = replace(typed, p=float(sure))
    now.examiner.model.channels.factors([typed])
    return typed


def _instrument(request: HttpRequest) -> str | None:
    given = text(request, "instrument")
    return given if given and MODELS["instruments"].objects.filter(pk=given).exists() else None


def _row(doing: Doing, piece: Stored, read: Read, part: str = "", instrument: str | None = None) -> Reading:
    return to_store(read, piece.pk, _part(doing, piece, read.part or part), instrument)


def _part(doing: Doing, piece: Stored, name: str) -> str | None:
    """The part a reading is of, made where it was not there."""
    if not name:
        return None
    found = MODELS["parts"].objects.filter(piece=piece, name=name).first()
    if found is not None:
        return str(found.pk)
    made = Part(new_id(), piece=piece.pk, name=name)
    doing.add(made)
    return made.id
