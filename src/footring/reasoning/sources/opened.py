"""A saying opened to what stands in the table, and things by their names."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from footring.reasoning.sources.priors import FIRMNESS, STANCES
from footring.reasoning.sources.said import EXISTS, Said, plain_value
from footring.reference import Reference
from footring.rows import TABLES


@dataclass(frozen=True, slots=True)
class Opened:
    """A claim, or a row that stands for one.

    Parameters
    ----------
    table, id : str
        Where it stands.
    source, source_name : str or None
        Who says so; None where the row names nobody.
    page : str or None
        Where in the source.
    firmness, stance : str
        How it was put; "for", "against" or "not_met".
    value : str or None
        As written.
    weight : float
        Probability that it is true, going by source, kind of claim and firmness alone.
    counts_with : tuple of str
        Names of the sources it has this from; empty where it counts by itself.
    hours, handled, searched : float, int, str or None
        For "not_met": how long was looked, how many pieces were handled, and where.
    plain : str or None
        The value as it is compared.
    """

    table: str
    id: str
    source: str | None
    source_name: str | None
    page: str | None
    firmness: str
    stance: str
    value: str | None
    weight: float
    counts_with: tuple[str, ...]
    hours: float | None
    handled: int | None
    searched: str | None
    plain: str | None

    @property
    def plain_and_written(self) -> tuple[str | None, str | None]:
        """The value as it is compared, and as written."""
        return self.plain, self.value


def opened(
    reference: Reference, group: Said, at: int, weight: float = 0.0, counts_with: tuple[str, ...] = ()
) -> Opened:
    """One saying of a group with everything there is to it."""
    row: Any = reference.row(group.origin, int(group.rows[at]))
    value = getattr(row, "value" if group.origin == "claims" else group.what, None)
    column = next((c for c in TABLES[group.table].columns if c.name == group.what), None)
    plain = None if value is None else plain_value(value, column is not None and column.date)
    source = None if row.source is None else name_of(reference, "sources", int(group.source[at]))
    firmness, stance = FIRMNESS[int(group.firmness[at])], STANCES[int(group.stance[at])]
    return Opened(
        table=group.origin,
        id=row.id,
        source=row.source,
        source_name=source,
        page=getattr(row, "page", None),
        firmness=firmness,
        stance=stance,
        value=value,
        weight=weight,
        counts_with=counts_with,
        hours=getattr(row, "hours", None),
        handled=getattr(row, "handled", None),
        searched=getattr(row, "searched", None),
        plain=plain,
    )


def name_of(reference: Reference, table: str, row: int) -> str:
    """How one says a row: its name, or the names of what it puts together."""
    if row < 0:
        return "nobody named"
    found: Any = reference.row(table, row)
    if table == "numbers":
        return f"{found.code} on {_linked(reference, 'lines', found.line)}"
    if name := getattr(found, "name", None):
        return f"{name} ({_linked(reference, 'lines', found.line)})" if table == "forms" else str(name)
    parts = [
        _linked(reference, column.refers_to, value)
        for column in TABLES[table].columns
        if column.refers_to and column.name not in ("source", "supersedes") and (value := getattr(found, column.name))
    ]
    return getattr(found, "lettering", None) or ", ".join(parts) or str(found.id)


def _linked(reference: Reference, table: str, name: str) -> str:
    return name_of(reference, table, reference.find(table, name))


def value_name(reference: Reference, group: Said, value: str | None) -> str | None:
    """How one says a value: the name of what it refers to, or itself."""
    if value is None or group.what == EXISTS:
        return None
    column = next((c for c in TABLES[group.table].columns if c.name == group.what), None)
    if column is None or not column.refers_to:
        return value
    row = reference.tables[column.refers_to].ids.find(value)
    return value if row < 0 else name_of(reference, column.refers_to, row)
