"""The secret that sessions are signed with, made once and kept in the collection's folder, for its owner's eyes."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from footring.records.owner import only_ours

NAME = ".secret"


def secret_of(folder: Path) -> str:
    """The folder's secret; one for this process only where the folder is not there or cannot be written to.

    Raises
    ------
    BadInput
        Somebody else can have put it there.
    """
    path = folder / NAME
    only_ours(path)
    try:
        if kept := path.read_text(encoding="ascii"):
            return kept
        path.unlink()  # the power went while it was written
    except OSError:
        pass
    return _made(path)


def _made(path: Path) -> str:
    made = secrets.token_urlsafe(48)
    try:
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as file:
            file.write(made)
    except FileExistsError:  # another process was quicker
        return path.read_text(encoding="ascii")
    except OSError:
        pass
    return made
