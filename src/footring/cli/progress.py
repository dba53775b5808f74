"""How far a long piece of work is, on stderr: nothing for the first two seconds, and nothing where nobody watches."""

from __future__ import annotations

import sys
import time
from types import TracebackType
from typing import Self, TextIO

from footring.terms.printable import printable

SILENT_S, AGAIN_S = 2.0, 0.5


class Progress:
    """A callback `(what, done, total)` that keeps one line of a terminal up to date; a total of 0 is not known.

    Parameters
    ----------
    asked : bool
        Show it even where stderr is no terminal, a line at a time.
    stream : text file, optional
        Where; stderr when not given.
    silent_s : float, optional
        Seconds before the first line.
    """

    def __init__(self, asked: bool = False, stream: TextIO | None = None, silent_s: float | None = None) -> None:
        self._stream = stream or sys.stderr
        self._terminal = self._stream.isatty()
        self._shown = asked or self._terminal
        self._next = time.monotonic() + (SILENT_S if silent_s is None else silent_s)
        self._width = 0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._terminal and self._width:
            print(f"\r{'':{self._width}}\r", end="", file=self._stream, flush=True)

    def __call__(self, what: str, done: int, total: int) -> None:
        if not self._shown or time.monotonic() < self._next:
            return
        self._next = time.monotonic() + AGAIN_S
        short = printable(what[-50:])
        line = f"{short} {100 * done // total} %" if total else f"{short} ..."
        if self._terminal:
            print(f"\r{line:{self._width}}", end="", file=self._stream, flush=True)
        else:
            print(line, file=self._stream, flush=True)
        self._width = max(self._width, len(line))
