"""What was done to a piece, in words, and taken back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.db.models import Count, Q
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from footring.records.acts import CannotUndo, undo
from footring.records.models import MODELS, Act, Role, Stored, User
from footring.records.models import Change as Changed
from footring.web.access import allow
from footring.web.pages.piece.views import changeable_piece

OF_A_PIECE = {
    "pieces": "the piece", "parts": "part", "encounters": "meeting", "photographs": "photograph",
    "readings": "read", "findings": "what was found", "attributions": "what it is said to be",
    "rejections": "what it is said not to be", "conditions": "condition", "prices": "price",
    "acquisitions": "how it came", "leach_results": "test", "notes": "note",
}  # fmt: skip
"""Tables whose rows name a piece, and what stands in front of their rows in words."""
_HIDDEN = ("id", "recorded_at", "recorded_by")


@dataclass(frozen=True)
class Done:
    """One act: what it did to this piece, and how many other pieces came with it. `may_undo`: by who is looking."""

    act: Act
    told: tuple[str, ...]
    others: int
    may_undo: bool


@allow(Role.MEMBER)
@require_safe
def history(request: HttpRequest, piece_id: str) -> HttpResponse:
    """What was done to it, the last first."""
    return _page(request, changeable_piece(request.user, piece_id))


@allow(Role.MEMBER)
@require_POST
def take_back(request: HttpRequest, piece_id: str, act_id: int) -> HttpResponse:
    """Undo one thing that was done to a piece."""
    piece = changeable_piece(request.user, piece_id)
    done = next((one for one in done_to(piece, request.user) if one.act.pk == act_id), None)
    if done is None or not done.may_undo:
        raise Http404
    try:
        undo(done.act, request.user)
    except CannotUndo as cannot:
        return _page(request, piece, problem=str(cannot), at=act_id, status=409)
    messages.success(request, f"Undone: {done.act.what}.")
    return redirect("piece", piece_id) if MODELS["pieces"].objects.filter(pk=piece_id).exists() else redirect("examine")


def _page(request: HttpRequest, piece: Stored, status: int = 200, **more: Any) -> HttpResponse:
    told = {"piece": piece, "done": done_to(piece, request.user), **more}
    return render(request, "piece/history.html", told, status=status)


def done_to(piece: Stored, user: User) -> list[Done]:
    """What was done to a piece, the last first."""
    added, changes = _added(piece), _changes(piece)
    acts = Act.objects.filter(Q(pk__in={*added, *changes}) | Q(undone_by__in=set(changes)))
    found = list(acts.select_related("by", "undone_by", "undoes").order_by("-pk"))
    others = _came_with(found)
    return [
        Done(one, tuple(_told(added[one.pk], changes[one.pk])), others.get(one.pk, 0), _may_undo(one, others, user))
        for one in found
    ]


def _may_undo(done: Act, others: dict[int, int], user: User) -> bool:
    """What brought in many pieces is taken back where it was brought in, not from the page of one of them."""
    own = user.may(Role.CURATOR) or done.by_id == user.pk
    return own and not hasattr(done, "undone_by") and not others.get(done.pk)


def _added(piece: Stored) -> dict[int, list[Stored]]:
    """Rows that every act added to the piece."""
    found: dict[int, list[Stored]] = defaultdict(list)
    for table in OF_A_PIECE:
        own = {"pk": piece.pk} if table == "pieces" else {"piece": piece}
        for row in MODELS[table].objects.filter(**own).order_by("pk"):
            found[row.added_in_id].append(row)
    return found


def _changes(piece: Stored) -> dict[int, list[Changed]]:
    """What every act changed of the piece, or took away from it."""
    ids = [piece.pk]
    for table in ("parts", "photographs", "encounters"):
        ids += MODELS[table].objects.filter(piece=piece).values_list("pk", flat=True)
    of_rows = Q(row_id__in=ids, table__in=("pieces", "parts", "photographs", "encounters"))
    gone = Q(after__isnull=True, table__in=tuple(OF_A_PIECE), before__piece=piece.pk)
    found: dict[int, list[Changed]] = defaultdict(list)
    for change in Changed.objects.filter(of_rows | gone).order_by("pk"):
        found[change.act_id].append(change)
    return found


def _came_with(acts: Sequence[Act]) -> dict[int, int]:
    """How many pieces more came with an act that brought in several."""
    many = MODELS["pieces"].objects.filter(added_in__in=[one.pk for one in acts if "pieces" in one.tables])
    counts = many.values("added_in").annotate(n=Count("pk")).order_by().values_list("added_in", "n")
    return {act: count - 1 for act, count in counts if count > 1}


def _told(added: Sequence[Stored], changes: Sequence[Changed]) -> Iterator[str]:
    yield from _by_table((row.SPEC.name, row.values()) for row in added)
    taken = ((change.table, change.before) for change in changes if change.after is None)
    yield from (f"taken away: {line}" for line in _by_table(taken))
    for change in changes:
        if change.after is not None:
            yield from _differences(change)


def _by_table(rows: Iterable[tuple[str, dict[str, Any]]]) -> Iterator[str]:
    found: dict[str, list[str]] = defaultdict(list)
    for table, values in rows:
        found[table].append(_row_in_words(table, values))
    for table, told in found.items():
        words = ", ".join(filter(None, told))
        yield f"{OF_A_PIECE[table]}: {words}" if words else OF_A_PIECE[table]


def _row_in_words(table: str, values: dict[str, Any]) -> str:
    if table == "readings":
        value = "looked for and not found" if values["absent"] else values["value"]
        return f"{values['name'].replace('_', ' ')} {value}"
    if table == "prices":
        return f"{values['kind']} {values['amount']:g} {values['currency']}"
    return " ".join(str(values[name]) for name in ("name", "side", "what", "how", "reason", "text") if values.get(name))


def _differences(change: Changed) -> Iterator[str]:
    for name, after in change.after.items():
        before = change.before.get(name)
        if name not in _HIDDEN and before != after:
            yield f"{name.replace('_', ' ')}: {_shown(name, before)} before, {_shown(name, after)} after"


def _shown(name: str, value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    table = {"place": "places", "owner": "people", "part": "parts"}.get(name)
    found = MODELS[table].objects.filter(pk=value).first() if table else None
    return f"“{found or value}”"
