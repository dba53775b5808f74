"""A collection is its owner's alone, on systems whose files have owners."""

from __future__ import annotations

import os
import stat
from pathlib import Path

from footring.terms.errors import BadInput

ONLY_OWNER = 0o700
"""Mode of a folder that is made."""
_ROOT = 0
"""Who may do everything anyway, and owns what is mounted into a container."""


def keep_from_others() -> None:
    """Whatever this process makes from now on, nobody else on the machine can read."""
    os.umask(0o077)


def only_ours(*paths: Path) -> None:
    """See that nobody else can have put something into what is about to be trusted; what is not there is passed over.

    Raises
    ------
    BadInput
        It belongs to somebody else, or anybody may write to it.
    """
    if not hasattr(os, "geteuid"):
        return
    for path in paths:
        if not path.exists():
            continue
        found = path.stat()
        if found.st_uid not in (_ROOT, os.geteuid()):
            raise BadInput(f"{path} belongs to somebody else: name another folder, or take it over first")
        if found.st_mode & stat.S_IWOTH:
            raise BadInput(f"{path} can be written to by anybody on this machine: say chmod o-w {path}")
