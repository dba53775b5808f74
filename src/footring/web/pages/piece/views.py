"""A piece's entry."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_safe

from footring.care.cautions import Caution, cautions
from footring.marks.foot import Foot
from footring.marks.readings import NAMES
from footring.reasoning.finding import Finding
from footring.reasoning.label_parts import ALWAYS
from footring.reasoning.label_text import sentences
from footring.reasoning.typed import understood
from footring.records.findings import cells_of, leading
from footring.records.known import Known, at_once
from footring.records.models import Role, Stored, User
from footring.records.privacy import may_change, places_of, visible
from footring.records.readings import usable
from footring.web.access import allow
from footring.web.cautioned import grouped
from footring.web.cells import cell_in_words, names_of
from footring.web.glaze_colour import colour_of
from footring.web.pages.examine.again import state_of
from footring.web.pages.examine.label import Writing
from footring.web.pages.piece import findings, said, words
from footring.web.pages.piece.entry import SIDES, Entry, cited_as, entry_of
from footring.web.pages.piece.read import lines

Shown = dict[str, Any]


@allow(Role.GUEST)
@require_safe
def piece(request: HttpRequest, piece_id: str) -> HttpResponse:
    """The entry, read from top to foot; `?t=417 green printed` asks whether that line was understood."""
    return shown(request, seen_piece(request.user, piece_id))


def shown(request: HttpRequest, found: Stored, status: int = 200, **more: Any) -> HttpResponse:
    """The page of a piece, with what more is to be told on it."""
    entry, ready = entry_of(found, request.user), at_once()
    now = ready.to(request.user) if ready else None
    told = {
        "piece": found, "entry": entry, "waiting": now is None,
        "read": lines(entry.readings, entry.people, {}),
        "read_before": lines(entry.superseded, entry.people, entry.reasons),
        "said": said.attributions(entry.attributions, entry.people, entry.own_side),
        "not_said": said.rejections(entry.rejections, entry.people, request.user),
        "found": findings.told(entry.findings, [*entry.readings, *entry.superseded], entry.own_side),
        "notes": [(one, said.by(one, entry.people)) for one in entry.notes],
        "notes_before": [(one, said.by(one, entry.people)) for one in entry.notes_before],
        "colour": colour_of(entry.said.glaze) if entry.said else None,
        "source": cited_as(found, request.user),
        "cautions": _cautions(entry, None),
    }  # fmt: skip
    told |= _of_the_reasoning(request, entry, now) if now else {}
    told |= _to_fill_in(request.user) if entry.changeable else {}
    return render(request, "piece/piece.html", told | more, status=status)


def _of_the_reasoning(request: HttpRequest, entry: Entry, now: Known) -> Shown:
    """The label, and what can be said only once what is known is ready."""
    read, unused = usable(entry.readings, now.examiner.model.channels)
    finding = now.examiner.finding(read, explain=False, most=0) if read else None
    told: Shown = {"unused": unused, "cautions": _cautions(entry, finding)}
    if finding is not None:
        told |= _label(request, entry, finding, now)
    if entry.changeable:
        typed = request.GET.get("t", "").strip()
        told |= {"typed": typed, "clauses": understood(now.examiner.model, typed) if typed else ()}
        told |= _to_say(entry, finding, now) if finding is not None else {}
    return told


def _label(request: HttpRequest, entry: Entry, finding: Finding, now: Known) -> Shown:
    """The label with each word leading to Examine; as plain sentences for who may not go there."""
    if not request.user.may(Role.MEMBER):
        return {"sentences": list(sentences(finding))}
    parts = [one for one in (finding, finding.lid) if one is not None and one.readings]
    state = state_of(entry.piece, (reading for one in parts for reading in one.readings), entry.rejections)
    labels = [Writing(one, now.examiner.model.channels, request.user.form_word).label().linked(state) for one in parts]
    return {"labels": labels, "examine": reverse("examine") + state.address}


def _to_say(entry: Entry, finding: Finding, now: Known) -> Shown:
    """What a person may put their word to, and why what is found now may differ from what was kept."""
    last = next((one for one in reversed(entry.findings) if one.part_id is None), None)
    told: Shown = {"since": findings.since(last, now, finding, entry.readings), "subjects": said.subjects(entry.said)}
    if entry.said is None or entry.said.basis != "confirmed":
        cell = leading(cells_of(now.examiner.model, finding))
        told |= {"may_be": cell_in_words(names_of(now, cell.ids)), "cell": cell.ids} if cell else {}
    return told


def _to_fill_in(user: User) -> Shown:
    """What forms offer."""
    return {
        "reading_names": NAMES, "sides": SIDES, "making_words": words.MAKING, "damage_words": words.DAMAGE,
        "spots": words.SPOTS, "belongings": words.BELONGINGS, "sure": words.SURE, "ways": words.WAYS,
        "instruments": visible("instruments", user).order_by("name"),
        "all_places": places_of(user).order_by("name")[: words.MOST_OFFERED],
    }  # fmt: skip


def _cautions(entry: Entry, finding: Finding | None) -> dict[str, list[Caution]]:
    """Those of the finding, and those that what is noted of its condition calls for."""
    noted = tuple(f"{one.what} {one.place or ''}" for one in entry.conditions)
    of_its_state = cautions(Foot(notes=noted))
    told = list(finding.cautions) if finding is not None else of_its_state
    texts = {one.text for one in told}
    told += [one for one in of_its_state if one.text not in texts and one.trigger != ALWAYS and _of_words(one)]
    return grouped(told)


def _of_words(caution: Caution) -> bool:
    """Whether a caution is shown for words that were noted, and not for a date or for their lack."""
    return '"' in caution.trigger


def seen_piece(user: User, piece_id: str) -> Stored:
    """A piece that a person may see.

    Raises
    ------
    Http404
        There is none: one that may not be seen is not there.
    """
    found = visible("pieces", user).select_related("added_in__by", "place", "owner").filter(pk=piece_id).first()
    if found is None:
        raise Http404
    return found


def changeable_piece(user: User, piece_id: str) -> Stored:
    """A piece that a person may change.

    Raises
    ------
    Http404
        There is none.
    PermissionDenied
        It may be seen, and not changed.
    """
    found = seen_piece(user, piece_id)
    if not may_change(user, found):
        raise PermissionDenied
    return found
