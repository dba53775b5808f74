"""An evaluation as plain text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from footring.reasoning.calibration.answers import ATTRIBUTES
from footring.reasoning.calibration.evaluation import Evaluation, Judged
from footring.reasoning.calibration.table import Measured

WIDE = 76
PLAIN = "pieces from channels where nobody chose"
SELECTED = "pieces from channels where somebody chose"


def tell(found: Evaluation) -> str:
    """All of it: log loss and first answers by method, then the table; then the same of the selected pieces."""
    lines = [f"{found.met} pieces met.", *([found.left_out] if found.left_out else [])]
    for judged, which in ((found.plain, PLAIN), (found.selected, SELECTED)):
        if judged is not None:
            lines += ["", f"{judged.pieces} {which} to be told, {judged.outside} of them from outside.", *_told(judged)]
    return "\n".join(lines)


def _told(judged: Judged) -> Iterator[str]:
    if judged.losses:
        yield from ("", "Log loss in nat, pieces from outside left out", *_block(judged.losses, 3))
        yield from ("", "First answers right, share", *_block(judged.first, 3))
    yield from ("", *tell_rows(judged.rows))


def _block(figures: Mapping[str, Mapping[str, float]], places: int) -> Iterator[str]:
    yield f"  {'':24}" + "".join(f"{name:>12}" for name in ATTRIBUTES)
    for method, of in figures.items():
        cells = (f"{of[name]:>12.{places}f}" if name in of else f"{'-':>12}" for name in ATTRIBUTES)
        yield f"  {method:24}" + "".join(cells)


def tell_rows(rows: Sequence[Measured]) -> Iterator[str]:
    """The table: figure, 95 % interval, what it is to reach, and whether it does; then all that is missed, by name."""
    yield f"{'measured':{WIDE}}{'figure':>8}  {'95 % interval':18}{'to reach':14}"
    for row in rows:
        yield f"{row.what:{WIDE}}{row.found.value:>8.3f}  {_interval(row):18}{_target(row):14}{_verdict(row)}".rstrip()
    yield from ("", *_missed(rows))


def _missed(rows: Sequence[Measured]) -> Iterator[str]:
    reached, missed = ([row for row in rows if row.reached is so] for so in (True, False))
    asked = len(reached) + len(missed)
    yield f"{len(reached)} of {asked} targets reached" + ("; missed:" if missed else ".") if asked else "No targets."
    yield from (f"  {row.what}, by {row.short_of:.3f}" for row in missed)


def _interval(row: Measured) -> str:
    low, high = row.found.low, row.found.high
    return "too few to say" if np.isnan(low) else f"{low:.3f} to {high:.3f}"


def _target(row: Measured) -> str:
    if row.beyond_chance and row.least is not None:
        return "above 0" if row.least == 0 else f"above {row.least:g}"
    if row.least is not None and row.most is not None:
        return f"{row.least:g} to {row.most:g}"
    return f"<= {row.most:g}" if row.most is not None else f">= {row.least:g}" if row.least is not None else ""


def _verdict(row: Measured) -> str:
    return {True: "reached", False: "MISSED", None: "not told" if _target(row) else ""}[row.reached]
