"""The readings of pieces as rows of a reference hold them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from footring.marks.readings import Reading, read_reading
from footring.reference import Reference

_CONFIRMED = 0


def settled_readings(reference: Reference) -> Mapping[int, list[Reading]]:
    """Readings of the pieces with a confirmed attribution, by the row of that attribution; parts aside.

    In the order of the attributions' ids.
    """
    table = reference.tables["attributions"]
    settled = np.flatnonzero(
        table.current & (table.links["basis"] == _CONFIRMED) & (table.links["part"] < 0)
        & (table.numbers["weight"] > 0.5)
    ).tolist()  # fmt: skip
    of_piece = {int(table.links["piece"][row]): row for row in settled}
    found = {of_piece[piece]: of for piece, of in _readings(reference, set(of_piece)).items()}
    ids = table.text("id")
    return {row: found[row] for row in sorted(found, key=lambda r: str(ids.value(r)))}


def unsettled_readings(reference: Reference) -> Mapping[str, list[Reading]]:
    """Readings of the pieces without a confirmed attribution, by the id of the piece, in order; parts aside."""
    table, pieces = reference.tables["attributions"], reference.tables["pieces"].text("id").tolist()
    settled = set(table.links["piece"][table.current & (table.links["basis"] == _CONFIRMED)].tolist())
    found = _readings(reference, set(range(len(pieces))) - settled)
    return {str(pieces[row]): found[row] for row in sorted(found, key=lambda row: str(pieces[row]))}


def _readings(reference: Reference, pieces: set[int]) -> dict[int, list[Reading]]:
    """Readings of some pieces, parts aside, by the row of the piece."""
    table = reference.tables["readings"]
    names, values = table.text("name").tolist(), table.text("value").tolist()
    absent, sure, whose = table.numbers["absent"], table.numbers["sure"], table.links["piece"].tolist()
    found: dict[int, list[Reading]] = defaultdict(list)
    for i in np.flatnonzero(table.current & (table.links["part"] < 0)).tolist():
        if whose[i] not in pieces:
            continue
        reading = read_reading(str(names[i]), "none" if absent[i] == 1 else str(values[i] or ""))
        if reading is not None:
            found[whose[i]].append(reading if np.isnan(sure[i]) else replace(reading, p=float(sure[i])))
    return found
