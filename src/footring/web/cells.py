"""A cell of the reference in words."""

from __future__ import annotations

from collections.abc import Mapping

from footring.records.known import Known
from footring.rows import TABLES

_WITH = {
    "size": "size {}", "body": "{}", "glaze": "{} glaze", "decoration": "{}", "trim": "{}",
    "mark_in_clay": "in the clay “{}”", "mark_printed": "printed “{}”", "customer": "made for {}",
}  # fmt: skip


def cell_in_words(named: Mapping[str, str]) -> str:
    """What a piece is, by the names of what it is made up of.

    Examples
    --------
    >>> cell_in_words({"line": "Ormsley", "form": "Round covered dish", "glaze": "Clear"})
    'Round covered dish of Ormsley, Clear glaze'
    """
    line, form = named.get("line"), named.get("form")
    first = f"{form} of {line}" if form and line else form or line or "something"
    return ", ".join([first, *(told.format(named[name]) for name, told in _WITH.items() if name in named)])


def names_of(known: Known, ids: Mapping[str, str]) -> dict[str, str]:
    """What the things of a cell are called in the reference; what it does not hold is left out.

    Parameters
    ----------
    ids : mapping of str to str
        Ids of things by the column of an attribution that they stand in.
    """
    tables = known.reference.tables
    found = {}
    for name, thing in ids.items():
        table = tables[str(TABLES["attributions"].column(name).refers_to)]
        if (row := table.ids.find(thing)) >= 0:
            found[name] = str(table.text("name").value(row))
    return found
