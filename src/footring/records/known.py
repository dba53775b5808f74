"""What is known, ready to examine with: one of it in a process, made anew when the collection changes."""

from __future__ import annotations

import threading
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from django.conf import settings
from django.db import connections

from footring.reasoning.examine import Examiner
from footring.reasoning.model import compile_model
from footring.reasoning.parameters import Parameters, read_parameters
from footring.records.acts import added_since, revision
from footring.records.models import Act, Change
from footring.records.snapshot import snapshot
from footring.reference import Reference, compile_reference, extend
from footring.rows import TABLES

IDLE = frozenset(
    "people places instruments letters talks photographs findings finding_answers rejections conditions prices"
    " acquisitions leach_results".split()
)
"""Tables that no answer rests on."""
_NEVER_NAMED = frozenset("finding_answers rejections conditions prices acquisitions leach_results talks".split())
"""Those among them that no row of another such table names."""
QUICK_SECONDS = 1.5
"""What was made ready in less is made ready again while one waits; else in the background."""


@dataclass(frozen=True)
class Known:
    """A reference as of one revision of the collection.

    Parameters
    ----------
    revision : int
        Of the collection when it was last seen that no answer has changed.
    compiled : int
        Of the collection when its rows were read.
    reference : Reference
    parameters : Parameters or None
        As learned; None for the defaults.
    examiner : Examiner
        The reference made ready to examine pieces with.
    seconds : float
        How long it took to make ready.
    """

    revision: int
    compiled: int
    reference: Reference
    parameters: Parameters | None
    examiner: Examiner
    seconds: float


_now: Known | None = None
_making = threading.Lock()
_thread: threading.Thread | None = None


def known() -> Known:
    """What is known now: as of the last act where that is made ready quickly, else as of an act before.

    The first call makes it ready, and may take seconds. What an act has written that is still being done may be in
    what the call within it gets, and in nothing that later ones get.
    """
    current = _now
    if current is not None and (good := _still_good(current)):
        return good
    if current is None or current.seconds < QUICK_SECONDS:
        return _made()
    _in_background()
    return current


def warm() -> None:
    """Begin to make ready what is known, before anybody asks."""
    _in_background()


def at_once(patience_seconds: float = 0.1) -> Known | None:
    """What is known now, as `known`; None where it is still being made ready for the first time."""
    if _now is None and _thread is not None:
        _thread.join(patience_seconds)
    return None if _now is None and waiting() else known()


def waiting() -> bool:
    """Whether something newer is being made ready."""
    return _thread is not None and _thread.is_alive()


def forget() -> None:
    """Make everything ready anew when it is next asked for."""
    global _now
    with _making:
        _now = None


def _still_good(current: Known) -> Known | None:
    """The same, as of now, where all acts since touched only what no answer rests on."""
    global _now
    if current.revision == revision():
        return current
    acts = list(Act.objects.filter(revision__gt=current.revision).values_list("revision", "tables"))
    if not acts or any(set(tables) - IDLE for _, tables in acts):
        return None
    _now = replace(current, revision=max(number for number, _ in acts))
    return _now


def _made() -> Known:
    global _now
    with _making:
        if _now is not None and _now.revision == revision():
            return _now
        found = _made_from(_now)
        if not Act.objects.filter(revision=None).exists():  # an act that is being done here may yet be given up
            _now = found
        return found


def _made_from(before: Known | None) -> Known:
    began, latest, parameters = time.perf_counter(), revision(), learned()
    reference = compile_reference(snapshot(_needed())) if before is None else _extended(before)
    examiner = Examiner(compile_model(reference, parameters))
    return Known(latest, latest, reference, parameters, examiner, time.perf_counter() - began)


def _extended(before: Known) -> Reference:
    """With what was added since; compiled anew where something was changed or taken away."""
    if Change.objects.filter(act__revision__gt=before.compiled).exists():
        return compile_reference(snapshot(_needed()))
    return extend(before.reference, added_since(before.compiled, _needed()))


def _in_background() -> None:
    global _thread
    if not waiting():
        _thread = threading.Thread(target=_background, name="making ready", daemon=True)
        _thread.start()


def _background() -> None:
    try:
        _made()
    finally:
        connections.close_all()


def _needed() -> Sequence[str]:
    return [table for table in TABLES if table not in _NEVER_NAMED]


def parameters_file() -> Path:
    """Where the collection keeps what was learned."""
    return Path(settings.FOLDER) / "parameters.json"


def learned() -> Parameters | None:
    """What was learned from this collection, if it was."""
    path = parameters_file()
    return read_parameters(path) if path.is_file() else None
