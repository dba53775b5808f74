"""What to call a row of a reference."""

from __future__ import annotations

from dataclasses import dataclass, field

from footring.reference import Reference

TABLE_OF = {
    "maker": "makers", "line": "lines", "form": "forms", "size": "sizes", "body": "bodies", "glaze": "glazes",
    "decoration": "decorations", "trim": "trims", "number": "numbers", "in_clay_mark": "marks",
    "printed_mark": "marks", "customer": "customers",
}  # fmt: skip
"""The table whose rows are the values of each attribute."""

UNKNOWN, NONE, NEW = -3, -1, -2
"""In place of a row: not said; no such thing; one that the reference does not hold."""
_STATES = {UNKNOWN: "unknown", NONE: "none", NEW: "new"}
_CALLED = {"sizes": ("trade_size",), "numbers": ("code",), "marks": ("lettering", "device")}


def thing_name(reference: Reference, table: str, row: int) -> str:
    """Name of a thing, code of a number, lettering or device of a mark; its id where it has none.

    A size without a trade name goes by what it measures.
    """
    for column in _CALLED.get(table, ("name",)):
        if name := _text(reference, table, column, row):
            return name
    return (_measured(reference, row) if table == "sizes" else None) or thing_id(reference, table, row)


def _measured(reference: Reference, row: int) -> str | None:
    table = reference.tables["sizes"]
    for column, unit in (("across_mm", "mm across"), ("high_mm", "mm high"), ("capacity_ml", "ml")):
        value = float(table.numbers[column][row])
        if value == value:  # not NaN, which is not known
            return f"{value:g} {unit}"
    return None


def thing_id(reference: Reference, table: str, row: int) -> str:
    """Id of a row."""
    return _text(reference, table, "id", row) or ""


def _text(reference: Reference, table: str, column: str, row: int) -> str | None:
    data = reference.tables[table].text(column)
    code = int(data.values[row])
    return None if code < 0 or data.vocabulary is None else str(data.vocabulary[code])


@dataclass(frozen=True, slots=True)
class Value:
    """What one attribute is.

    Parameters
    ----------
    name, id : str or None
        None unless it is known.
    state : {"known", "none", "unknown", "new"}
        "none": the piece has no such thing; "new": it has one that the reference does not hold.
    row : int
        Row in its table; -1 unless it is known.
    """

    name: str | None
    id: str | None
    state: str
    row: int = -1


@dataclass(frozen=True, slots=True, eq=False)
class Names:
    """Names and ids of things, each looked up once."""

    reference: Reference
    _known: dict[tuple[str, int], Value] = field(default_factory=dict)

    def value(self, table: str, row: int) -> Value:
        """A row by name, or what `UNKNOWN`, `NONE` or `NEW` stands for."""
        known = self._known.get((table, row))
        if known is None:
            known = self._known[table, row] = self._named(table, row)
        return known

    def _named(self, table: str, row: int) -> Value:
        if row < 0:
            return Value(None, None, _STATES[row])
        return Value(thing_name(self.reference, table, row), thing_id(self.reference, table, row), "known", row)
