"""What is wrong with tables that should become a reference."""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from footring.terms.errors import BadInput
from footring.terms.printable import printable

SHOWN_AT_ONCE = 20
LIKELY = 200
"""How many neighbours in the alphabet are compared where there are more names than ten times that."""


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong, at its place.

    Parameters
    ----------
    kind : str
        What sort of fault, in a few fixed words ("dangling id").
    table : str
        The table.
    row : int or None
        Index of the row among those given, from 0.
    id : str or None
        The row's id.
    column : str or None
        The column.
    given, expected : str
        What stood there, and what should.
    suggestion : str or None
        The nearest name there is, or what to do.
    """

    kind: str
    table: str
    row: int | None
    id: str | None
    column: str | None
    given: str
    expected: str
    suggestion: str | None = None

    @property
    def message(self) -> str:
        """The whole in one line."""
        place = ", ".join(str(p) for p in (self.table, self.row_text, self.column) if p)
        tail = f"; {self.suggestion}" if self.suggestion else ""
        return printable(f"{place}: {self.kind}: given {self.given}; expected {self.expected}{tail}")

    @property
    def row_text(self) -> str:
        """The row's index and id, as far as known."""
        if self.row is None:
            return ""
        return f"row {self.row}" + (f" ({self.id})" if self.id is not None else "")

    def __str__(self) -> str:
        return self.message


class ReferenceFaults(BadInput):
    """Everything wrong with the tables given, raised together; all of it in `faults`, the first in the text."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        shown = [f"  {fault}" for fault in self.faults[:SHOWN_AT_ONCE]]
        if len(self.faults) > SHOWN_AT_ONCE:
            shown.append(f"  and {len(self.faults) - SHOWN_AT_ONCE} more")
        count = len(self.faults)
        super().__init__("\n".join([f"{count} {'fault' if count == 1 else 'faults'} in the tables", *shown]))

    def __reduce__(self) -> tuple[type[ReferenceFaults], tuple[tuple[Fault, ...]]]:
        return type(self), (self.faults,)


class Nearest:
    """The known name closest to an unknown one; each unknown name is looked for once, the first few only."""

    def __init__(self, known: Iterable[str], at_most: int = 50) -> None:
        self._known = sorted(known)
        self._left = at_most
        self._told: dict[str, str | None] = {}

    def suggestion(self, given: str) -> str | None:
        """A question that names it; None when nothing is close."""
        if given not in self._told:
            self._told[given] = self._look(given) if self._left > 0 else None
            self._left -= 1
        return self._told[given]

    def _look(self, given: str) -> str | None:
        close = get_close_matches(given[:200], self._likely(given), n=1, cutoff=0.6)
        return f"did you mean {close[0]!r}?" if close else None

    def _likely(self, given: str) -> list[str]:
        if len(self._known) <= 10 * LIKELY:
            return self._known
        middle = bisect(self._known, given)
        return self._known[max(0, middle - LIKELY // 2) : middle + LIKELY // 2]


def unknown(problem: str, given: str, known: Iterable[str]) -> str:
    """A sentence on a name that is not there, with the nearest that is."""
    suggestion = Nearest(known).suggestion(given)
    return f"{problem}; {suggestion}" if suggestion else problem
