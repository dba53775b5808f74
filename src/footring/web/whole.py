"""Whole numbers as addresses and forms have them."""

from __future__ import annotations


def whole(text: str) -> int | None:
    """A whole number in plain figures, small enough for every database; None where it is none.

    Examples
    --------
    >>> whole("417"), whole("²"), whole("-1"), whole("9" * 5000)
    (417, None, None, None)
    """
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 19 else None
