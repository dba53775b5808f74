"""What is known, ready to examine with: one of it in a process, made anew when the collection changes."""

from __future__ import annotations

import threading
import time
from dataclasses import dataclass, replace
from pathlib import Path

from django.conf import settings
from django.db import connections

from footring.reasoning.examine import Examiner
from footring.reasoning.model import compile_model
from footring.reasoning.parameters import Parameters, read_parameters
from footring.records.acts import revision
from footring.records.models import Act, Change, Role, User
from footring.records.snapshot import added_since, one_moment, snapshot
from footring.reference import Reference, compile_reference, extend
from footring.rows import TABLES, RowTable, is_private, open_to_all

LEFT_OUT = frozenset(
    "letters talks photographs findings finding_answers rejections conditions prices acquisitions leach_results"
    " notes".split()
)
"""Tables that no answer rests on, nor on which of their rows another names."""
IDLE = LEFT_OUT | {"people", "places", "instruments"}
"""Tables that no answer rests on before another row names one of theirs."""
_NEEDED = [table for table in TABLES if table not in LEFT_OUT]
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
    others : Known or None
        The same for people who may not see what is private in the reference; None where nothing is.
    """

    revision: int
    compiled: int
    reference: Reference
    parameters: Parameters | None
    examiner: Examiner
    seconds: float
    others: Known | None = None

    def to(self, user: User) -> Known:
        """What is known to a person: curators see all of the reference, others what is private in it in no answer."""
        return self if self.others is None or user.may(Role.CURATOR) else self.others


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
        found = _made_from(_now)
        if not Act.objects.filter(revision=None).exists():  # an act that is being done here may yet be given up
            _now = found
        return found


def _made_from(before: Known | None) -> Known:
    began, parameters = time.perf_counter(), learned()
    with one_moment():
        latest = revision()
        if before is not None and before.revision == latest:
            return before
        added = _only_added(before)
        tables = snapshot(_NEEDED) if added is None else added
    reference = compile_reference(tables) if added is None else extend(before.reference, added)

    def of(reference: Reference, others: Known | None = None) -> Known:
        examiner = Examiner(compile_model(reference, parameters))
        return Known(latest, latest, reference, parameters, examiner, time.perf_counter() - began, others)

    return of(reference, of(compile_reference(open_to_all(tables))) if is_private(tables) else None)


def _only_added(before: Known | None) -> dict[str, RowTable] | None:
    """Rows that came since, where nothing else happened, and nothing in the reference was or became private."""
    if before is None or before.others or Change.objects.filter(act__revision__gt=before.compiled).exists():
        return None
    added = added_since(before.compiled, _NEEDED)
    return None if is_private(added) else added


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


def parameters_file() -> Path:
    """Where the collection keeps what was learned."""
    return Path(settings.FOLDER) / "parameters.json"


def learned() -> Parameters | None:
    """What was learned from this collection, if it was."""
    path = parameters_file()
    return read_parameters(path) if path.is_file() else None
