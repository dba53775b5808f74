"""The window nothing can fall out of, when there is one."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from footring.marks.evidence import Evidence

Bounds = tuple[int | None, int | None]

NOT_BEFORE = (("form_designed", "potted"), ("potted", "decorated"), ("pattern_designed", "decorated"))
"""The only orders one can rely on: the first is never later than the second."""


def hard_windows(evidence: Sequence[Evidence]) -> dict[str, Bounds]:
    """Hard first and last year of each date, None where that side is open.

    A hard earliest date of a design is one of everything that follows it; a hard latest date of the decorating is
    one of everything that comes before. A reading that bears on one of two designs bounds only the decorating,
    which comes after both.

    Examples
    --------
    >>> from footring.marks.evidence import Window
    >>> e = Evidence("Rd", "", ("form_designed",), (Window(1884, 1884),), 0.0, "", "", "", "", "", "opened")
    >>> hard_windows([e])["decorated"]
    (1884, None)
    """
    first: dict[str, int | None] = dict.fromkeys(("form_designed", "pattern_designed", "potted", "decorated"))
    last = dict(first)
    for item in evidence:
        if item.hard and item.speaks_of[0] in first:
            earliest, latest = _span(item)
            if len(item.speaks_of) > 1:
                first["decorated"] = _later(first["decorated"], earliest)
            else:
                name = item.speaks_of[0]
                first[name], last[name] = _later(first[name], earliest), _earlier(last[name], latest)
    return _carried(first, last)


def _span(item: Evidence) -> Bounds:
    firsts = [w.first for w in item.windows]
    lasts = [w.last for w in item.windows]
    return (
        None if None in firsts else min(w.first - int(w.soft_before) for w in item.windows if w.first is not None),
        None if None in lasts else max(w.last + int(w.soft_after) for w in item.windows if w.last is not None),
    )


def _carried(first: Mapping[str, int | None], last: Mapping[str, int | None]) -> dict[str, Bounds]:
    lower, upper = dict(first), dict(last)
    for before, after in NOT_BEFORE:
        lower[after] = _later(lower[after], lower[before])
    for before, after in reversed(NOT_BEFORE):
        upper[before] = _earlier(upper[before], upper[after])
    return {name: (lower[name], upper[name]) for name in lower}


def _later(a: int | None, b: int | None) -> int | None:
    return b if a is None else a if b is None else max(a, b)


def _earlier(a: int | None, b: int | None) -> int | None:
    return b if a is None else a if b is None else min(a, b)
