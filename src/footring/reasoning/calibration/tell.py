"""An evaluation as plain text."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from footring.reasoning.calibration.answers import ATTRIBUTES
from footring.reasoning.calibration.evaluation import Evaluation
from footring.reasoning.calibration.table import Measured

WIDE = 76


def tell(found: Evaluation) -> str:
    """All of it: log loss and first answers by method, then the table."""
    lines = [f"{found.met} pieces met; {found.pieces} to be told, {found.outside} of them from outside."]
    if found.left_out:
        lines.append(found.left_out)
    if found.losses:
        lines += ["", "Log loss in nat, pieces from outside left out", *_block(found.losses, 3)]
        lines += ["", "First answers right, share", *_block(found.first, 3)]
    return "\n".join([*lines, "", *tell_rows(found.rows)])


def _block(figures: Mapping[str, Mapping[str, float]], places: int) -> Iterator[str]:
    yield f"  {'':24}" + "".join(f"{name:>12}" for name in ATTRIBUTES)
    for method, of in figures.items():
        cells = (f"{of[name]:>12.{places}f}" if name in of else f"{'-':>12}" for name in ATTRIBUTES)
        yield f"  {method:24}" + "".join(cells)


def tell_rows(rows: Sequence[Measured]) -> Iterator[str]:
    """The table: figure, 95 % interval, what it is to reach, and whether it does."""
    yield f"{'measured':{WIDE}}{'figure':>8}  {'95 % interval':18}{'to reach':12}"
    for row in rows:
        yield f"{row.what:{WIDE}}{row.found.value:>8.3f}  {_interval(row):18}{_target(row):12}{_verdict(row)}".rstrip()


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
    return {True: "reached", False: "missed", None: ""}[row.reached]
