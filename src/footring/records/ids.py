"""New ids: opaque, never used twice, with the collection's name in front."""

from __future__ import annotations

import secrets

_SIGNS = "23456789abcdefghjkmnpqrstuvwxyz"
_LENGTH = 13


def new_id(namespace: str = "home") -> str:
    """An id that nothing has had before: 64 bits drawn at random, in signs that are not mistaken for one another."""
    return f"{namespace}." + "".join(secrets.choice(_SIGNS) for _ in range(_LENGTH))
