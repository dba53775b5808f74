"""File names that stay inside the pack."""

from __future__ import annotations

import re
from collections.abc import Iterable
from difflib import get_close_matches

LONGEST_NAME = 100
"""Comparing takes time that grows with the length, and no name of a column or table is longer."""
_DRIVE = re.compile(r"^[A-Za-z]:")
_ADDRESS = re.compile(r"^[A-Za-z][A-Za-z0-9+.\-]+:")
_CONTROL = re.compile(r"[\x00-\x1f\x7f]")


def why_outside(path: str) -> str | None:
    """Why a path inside a pack cannot be followed, or None when it can.

    Examples
    --------
    >>> why_outside("data/makers.csv")
    >>> why_outside("../makers.csv")
    'it climbs out of the pack with ..'
    """
    reasons = (
        (not path, "it is empty"),
        (_CONTROL.search(path), "it holds a control character"),
        ("\\" in path, "it holds a backslash"),
        (_DRIVE.match(path), "it names a drive"),
        (_ADDRESS.match(path), "it is an address, and packs are never fetched"),
        (path.startswith(("/", "~")), "it does not start inside the pack"),
        (".." in path.split("/"), "it climbs out of the pack with .."),
        ("." in path.split("/") or "//" in path, "it holds an empty step"),
    )
    return next((reason for wrong, reason in reasons if wrong), None)


def nearest(given: str, known: Iterable[str]) -> str | None:
    """The known name closest to the given one, letter case aside; None when nothing is close.

    Examples
    --------
    >>> nearest("Maker", ["lines", "makers"])
    'makers'
    """
    folded = {name.casefold(): name for name in known}
    close = get_close_matches(given[:LONGEST_NAME].casefold(), folded, n=1, cutoff=0.6)
    return folded[close[0]] if close else None


def did_you_mean(given: str, known: Iterable[str]) -> str:
    """A suggestion for a message; empty when nothing is close."""
    found = nearest(given, known)
    return f"did you mean {found!r}?" if found is not None else ""
