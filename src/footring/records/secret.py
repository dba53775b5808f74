"""The secret that sessions are signed with, made once and kept in the collection's folder, for its owner's eyes."""

from __future__ import annotations

import secrets
import shutil
from pathlib import Path
from tempfile import NamedTemporaryFile

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
    """Written whole beside, then named: another process reads all of it or nothing, and who names it first wins."""
    made = secrets.token_urlsafe(48)
    try:
        with NamedTemporaryFile("w", dir=path.parent, prefix=NAME) as file:
            file.write(made)
            file.flush()
            _named(Path(file.name), path)
        return path.read_text(encoding="ascii")
    except OSError:
        return made


def _named(whole: Path, path: Path) -> None:
    try:
        path.hardlink_to(whole)
    except FileExistsError:  # another process was quicker
        pass
    except OSError:  # a disk without such links
        shutil.copy(whole, path)
