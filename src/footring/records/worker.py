"""Long work is done in a thread of the process that serves the pages: no other program need run."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable
from uuid import uuid4

from django.core.files.storage import FileSystemStorage, storages
from django.db import DatabaseError, close_old_connections
from django_tasks_db.management.commands.db_worker import Worker
from django_tasks_db.models import DBTaskResult

from footring.records.photographs import sweep

LOOK_SECONDS = 5.0
"""How often is looked for work that another process left."""
_wake = threading.Event()


def wake() -> None:
    """There is something to do."""
    _wake.set()


def start_worker() -> None:
    """Begin to work, and go on until the process ends."""
    threading.Thread(target=_for_ever, name="worker", daemon=True).start()


def _for_ever() -> None:
    _done(_tidy)
    while True:
        _wake.clear()
        _done(work_off)
        _wake.wait(LOOK_SECONDS)


def _done(what: Callable[[], None]) -> None:
    """Do something; the thread lives on whatever the disk or the database says."""
    try:
        what()
    except (DatabaseError, OSError):
        logging.getLogger(__name__).exception("the collection could not be read: what waits is tried again")
    finally:
        close_old_connections()


def _tidy() -> None:
    """Files in the folder that nothing names, left by what was cut off. In another store that would take long."""
    if isinstance(storages["default"], FileSystemStorage):
        sweep()


def work_off() -> None:
    """Do all that waits to be done, then return."""
    from footring.records.bring_in.work import queue_again

    queue_again()
    if DBTaskResult.objects.ready().exists():
        _worker().run()
        DBTaskResult.objects.finished().delete()


def _worker() -> Worker:
    return Worker(
        queue_names=["default"], interval=0, batch=True, backend_name="default", startup_delay=False, max_tasks=None,
        worker_id=uuid4().hex, excluded_queue_names=[],
    )  # fmt: skip
