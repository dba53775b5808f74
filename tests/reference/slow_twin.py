"""The counts in plain Python, one row after another; nothing here comes from the code under test."""

from __future__ import annotations

from collections import defaultdict
from fractions import Fraction
from math import floor

from footring.rows import Row

CELL = ("line", "form", "size", "body", "glaze", "decoration", "trim")
GRAIN = 2**20


def slow_counts(tables: dict[str, list[Row]], withdrawn: set[str] = frozenset()) -> dict[tuple, tuple[float, float]]:
    """(cell, channel, unselected) -> confirmed, proposed weight."""
    rows = tables.get("attributions", [])
    gone = {row.supersedes for row in rows} | withdrawn
    current = [row for row in rows if row.id not in gone]
    total: dict[tuple, list[int]] = defaultdict(lambda: [0, 0])
    for row in current:
        its = [other for other in current if other.piece == row.piece]
        confirmed = {o.id: floor(o.weight * GRAIN) for o in its if o.basis == "confirmed"}
        proposed = {o.id: floor(o.weight * GRAIN) for o in its if o.basis == "proposed"}
        confirmed = _capped(confirmed, GRAIN)
        proposed = _capped(proposed, GRAIN - sum(confirmed.values()))
        key = (tuple(getattr(row, name) for name in CELL), *_channel(tables, row))
        total[key][0] += confirmed.get(row.id, 0)
        total[key][1] += proposed.get(row.id, 0)
    return {key: (c / GRAIN, p / GRAIN) for key, (c, p) in total.items() if c or p}


def _capped(weights: dict[str, int], most: int) -> dict[str, int]:
    total = sum(weights.values())
    if total <= most:
        return weights
    return {name: floor(Fraction(weight * most, total)) for name, weight in weights.items()}


def _channel(tables: dict[str, list[Row]], row: Row) -> tuple[str | None, bool]:
    outings = {o.id: o for o in tables.get("outings", [])}
    channels = {c.id: c for c in tables.get("channels", [])}
    logged = {(o.outing, o.line) for o in tables.get("outing_lines", [])}
    open_to, chosen = [], []
    for met in tables.get("encounters", []):
        if met.piece != row.piece:
            continue
        outing = outings.get(met.outing)
        channel = met.channel or (outing.channel if outing else None)
        whole = outing is not None and (
            outing.logged == "everything" or (outing.logged == "lines" and (outing.id, row.line) in logged)
        )
        unselected = whole or (channel is not None and not channels[channel].selected)
        (open_to if unselected else chosen).append(channel)
    found = open_to or chosen
    return min((c for c in found if c), default=None), bool(open_to)
