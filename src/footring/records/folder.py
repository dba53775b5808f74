"""A collection is one folder: made when it is first opened, brought up to date when an older one is."""

from __future__ import annotations

import os
import time
from pathlib import Path

from footring.records.owner import ONLY_OWNER, keep_from_others, only_ours
from footring.terms.errors import BadInput

DATABASE = "collection.sqlite3"
"""What the records are kept in, inside the folder."""
OLD_SECONDS = 3600.0


def opened(folder: Path, *, society: bool = False) -> None:
    """Make the folder a collection, or bring it up to date, and make Django ready for it.

    Raises
    ------
    BadInput
        The folder cannot be made or written to, or others on the machine can write to it.
    """
    keep_from_others()
    try:
        folder.mkdir(ONLY_OWNER, parents=True, exist_ok=True)
        only_ours(folder, folder / DATABASE)
        for part in ("photos", "exports"):
            (folder / part).mkdir(exist_ok=True)
        _cut_off(folder)
    except OSError as error:
        raise BadInput(f"cannot keep a collection in {folder}: {error.strerror}; name another folder") from error
    if not os.access(folder, os.W_OK):
        raise BadInput(f"cannot write in {folder}: it is read-only; name another folder, or make it writable")
    made_known(folder, society=society)
    _ready()


def made_known(folder: Path, *, society: bool = False) -> None:
    """Make Django ready for a collection that is there, and leave it as it is."""
    import django

    os.environ["FOOTRING_FOLDER"] = str(folder)
    os.environ["FOOTRING_SOCIETY"] = "1" if society else "0"
    os.environ["DJANGO_SETTINGS_MODULE"] = "footring.web.settings"
    django.setup()


def _cut_off(folder: Path) -> None:
    """Take away what was coming in when an earlier process ended; what is young may be coming in to another."""
    for left in folder.glob("tmp*.upload*"):
        if time.time() - left.stat().st_mtime > OLD_SECONDS:
            left.unlink(missing_ok=True)


def _ready() -> None:
    from django.core.management import call_command
    from django.db import DatabaseError

    try:
        call_command("migrate", interactive=False, verbosity=0)
    except DatabaseError as error:
        raise BadInput(f"the collection cannot be opened: {error}") from error
    _keeper()
    _shelf()


def _shelf() -> None:
    """The shelf of a collection that was made before there was one."""
    from footring.records.models import MODELS, Shelved
    from footring.records.shelf import reshelve

    if not Shelved.objects.exists() and MODELS["pieces"].objects.exists():
        reshelve()


def _keeper() -> None:
    """The one person of a collection kept alone."""
    from django.conf import settings

    from footring.records.models import Role, User

    if not settings.SOCIETY and not User.objects.filter(username="keeper").exists():
        keeper = User(username="keeper", role=Role.KEEPER)
        keeper.set_unusable_password()
        keeper.save()
