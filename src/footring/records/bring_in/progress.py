"""How far a job is, and whether it is to stop, in two small files beside the one that is brought in.

Not in the database: whatever is brought in is written in one transaction, and until that is through nobody else can
write to an SQLite collection or see what was written to any.
"""

from __future__ import annotations

import json
import os
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from django.conf import settings

from footring.records.models import Job

AGAIN_SECONDS = 0.3
BEAT_SECONDS = 2.0
DEAD_SECONDS = 10.0
"""A job whose process has given no sign for so long is not being done by anybody."""


class Stopped(Exception):
    """Somebody asked for the job to be stopped."""


def incoming() -> Path:
    """Where files wait to be brought in; made where it is not there."""
    folder = Path(settings.FOLDER) / "incoming"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def file_of(job: Job) -> Path:
    """The file to be brought in."""
    return incoming() / job.file


class Telling:
    """Tells how far a job is, now and then, and breaks it off when that is asked for.

    Raises
    ------
    Stopped
        From `__call__`.
    """

    def __init__(self, job: Job) -> None:
        self._file, self._stop, self._next = _beside(job, "progress"), _beside(job, "stop"), 0.0

    def __call__(self, what: str, done: int, total: int) -> None:
        """Tell what is being done, and how much of it is."""
        if self._stop.exists():
            raise Stopped
        if time.monotonic() >= self._next:
            self._next = time.monotonic() + AGAIN_SECONDS
            self.write(what, done, total)

    def write(self, what: str, done: int, total: int) -> None:
        """Tell it now, and look at nothing."""
        written = self._file.with_suffix(".new")
        written.write_text(json.dumps({"what": what, "done": done, "total": total}), encoding="utf-8")
        written.replace(self._file)


@contextmanager
def telling(job: Job) -> Iterator[Telling]:
    """While a job is done: its process gives a sign of life, and at last the two files are taken away."""
    tell, ended = Telling(job), threading.Event()
    tell.write("", 0, 0)
    thread = threading.Thread(target=_beat, args=(_beside(job, "progress"), ended), daemon=True)
    thread.start()
    try:
        yield tell
    finally:
        ended.set()
        thread.join()
        tidy(job)


def _beat(file: Path, ended: threading.Event) -> None:
    while not ended.wait(BEAT_SECONDS):
        with suppress(OSError):
            os.utime(file)


def tidy(job: Job) -> None:
    """Take away what was left beside the file."""
    for kind in ("progress", "stop", "new"):
        _beside(job, kind).unlink(missing_ok=True)


def ask_to_stop(job: Job) -> None:
    """Have whoever does the job break it off."""
    _beside(job, "stop").touch()


def progress_of(job: Job) -> tuple[str, int, int]:
    """What is being done, how much of it is done, and of how much; the last is 0 where nobody knows."""
    try:
        told = json.loads(_beside(job, "progress").read_text(encoding="utf-8"))
        return str(told["what"]), int(told["done"]), int(told["total"])
    except (OSError, ValueError, KeyError, TypeError):
        return "", job.done, job.total


def is_dead(job: Job) -> bool:
    """Whether nobody has given a sign of doing a job for some time."""
    try:
        return time.time() - _beside(job, "progress").stat().st_mtime > DEAD_SECONDS
    except OSError:
        return True


def _beside(job: Job, kind: str) -> Path:
    return incoming() / f"{job.pk}.{kind}"
