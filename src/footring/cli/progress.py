"""How far a long command has come, on stderr, for a person who waits."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterable, Iterator
from typing import TypeVar

Item = TypeVar("Item")

PATIENCE_SECONDS = 2.0
BETWEEN_SECONDS = 0.5


def progress(items: Iterable[Item], what: str, total: int | None = None) -> Iterator[Item]:
    """The same items, with a line that counts them once two seconds have passed. Silent unless stderr is a terminal."""
    tick = ticker(what, total)
    try:
        for count, item in enumerate(items, start=1):
            yield item
            tick(count)
    finally:
        tick(None)


def ticker(what: str, total: int | None = None) -> Callable[[int | None], None]:
    """A callback for library code: call it with the count so far, and with None at the end."""
    if not sys.stderr.isatty():
        return lambda _: None
    started = shown = time.monotonic()
    written = False

    def tick(count: int | None) -> None:
        nonlocal shown, written
        now = time.monotonic()
        if count is None:
            if written:
                sys.stderr.write("\n")
        elif now - started >= PATIENCE_SECONDS and now - shown >= BETWEEN_SECONDS:
            of_all = f" of {total:,}" if total is not None else ""
            sys.stderr.write(f"\r{what} {count:,}{of_all}")
            sys.stderr.flush()
            shown, written = now, True

    return tick
