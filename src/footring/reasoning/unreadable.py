"""Readings of a reference that cannot be read, every one at once and each at its row."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from footring.marks.readings import Reading, feet, read_reading
from footring.packs.faults import quoted
from footring.reasoning.model import Model, compile_model
from footring.reference import Fault, Reference, ReferenceFaults, compile_reference
from footring.terms.errors import BadInput


def check_readings(reference: Reference) -> None:
    """Refuse readings that `examine` could not use: a reading it does not know, a length without a unit.

    Parameters
    ----------
    reference : Reference
        The readings that stand are looked at, those of parts too.

    Raises
    ------
    ReferenceFaults
        Some cannot be read; every one with its row, its piece and what was expected.
    """
    if faults := list(_faults(reference)):
        raise ReferenceFaults(faults)


def _faults(reference: Reference) -> Iterator[Fault]:
    table = reference.tables["readings"]
    ids, names, values = (table.text(column).tolist() for column in ("id", "name", "value"))
    pieces = reference.tables["pieces"].text("id").tolist()
    bare = compile_model(compile_reference({}))
    told: dict[tuple[str, str], tuple[str, str] | None] = {}
    absent = (table.numbers["absent"] == 1).tolist()
    for row in np.flatnonzero(table.current).tolist():
        name, value = str(names[row]), "none" if absent[row] else str(values[row] or "")
        if (name, value) not in told:
            told[name, value] = _why_not(bare, name, value)
        if wrong := told[name, value]:
            given = f"{name} {quoted(value)} of piece {pieces[table.links['piece'][row]]}"
            yield Fault("unreadable reading", "readings", row, ids[row], wrong[0], given, wrong[1])


def _why_not(bare: Model, name: str, value: str) -> tuple[str, str] | None:
    """The column at fault and what was expected; None where nothing is wrong."""
    try:
        reading = read_reading(name, value)
    except BadInput as error:
        return "name", f"the name of a reading: {error}"
    try:
        if reading is not None:
            _read(bare, reading)
    except BadInput as error:
        return "value", f"a value that can be read: {error}"
    return None


def _read(bare: Model, reading: Reading) -> None:
    """Read one value as an examination does, against a reference that holds nothing."""
    figure = [Reading("numeral", "1", index=reading.index)] if reading.name == "numeral_kind" else []
    bare.channels.factors([*figure, reading])
    if reading.name == "made":
        bare.rules.piece_dates(feet([reading])[None])
