"""Tables put below those there already, ids resolved over both."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import cache
from types import MappingProxyType

import numpy as np

from footring.reference.added import Added
from footring.reference.compiled import CompiledTable
from footring.reference.faults import Fault, unknown
from footring.reference.hashing import Hashes, column_hashes, lane_sums, row_hashes, value_bits
from footring.reference.ids import Ids
from footring.reference.links import Links, links_of
from footring.rows import TABLES, Column, ColumnData, Row, RowTable
from footring.rows.column_data import frozen
from footring.terms.errors import UnknownName

Tables = Mapping[str, RowTable | Sequence[Row]]


@cache
def no_tables() -> Mapping[str, CompiledTable]:
    """Every table, empty."""
    nowhere = {name: Ids() for name in TABLES}
    return MappingProxyType(
        {name: _compiled(RowTable.from_rows(spec, ()), nowhere, _Names({})) for name, spec in TABLES.items()}
    )


def _grown(before: Mapping[str, CompiledTable], given: Mapping[str, RowTable]) -> dict[str, CompiledTable]:
    """The rows given, compiled by themselves, with row indices into the whole."""
    ids = {name: table.ids for name, table in before.items()}
    for name, rows in given.items():
        known = [word for word in rows.column("id").tolist() if word is not None]
        ids[name] = ids[name].extended(known, len(before[name])) if len(known) == len(rows) else _with_gaps(
            ids[name], rows, len(before[name])
        )  # fmt: skip
    names = _Names({name: (len(before[name]), value_bits(rows.column("id"))) for name, rows in given.items()})
    return {name: _compiled(rows, ids, names) for name, rows in given.items()}


def _with_gaps(ids: Ids, rows: RowTable, start: int) -> Ids:
    """As `Ids.extended`, where a row has no id (a fault, told later)."""
    for i, word in enumerate(rows.column("id").tolist()):
        ids = ids if word is None else ids.extended([word], start + i)
    return ids


class _Names:
    """Bits of the ids of the rows given, so that a column referring to them need not work them out again."""

    def __init__(self, known: Mapping[str, tuple[int, Hashes]]) -> None:
        self._known = known

    def hashes(self, rows: RowTable, columns: Iterable[Column], links: Mapping[str, Links]) -> Iterator[Hashes | None]:
        """`column_hashes` of some columns, one at a time: those of a million rows are not kept."""
        for column in columns:
            data = rows.column(column.name)
            yield column_hashes(column, data, self._bits(column, data, rows.spec.name, links))

    def _bits(self, column: Column, data: ColumnData, table: str, links: Mapping[str, Links]) -> Hashes | None:
        if column.name == "id":
            return self._known[table][1] if table in self._known else None
        if column.refers_to is None or column.refers_to not in self._known:
            return None
        start, bits = self._known[column.refers_to]
        link = links[column.name]
        if (link[data.known] < start).any():
            return None
        return np.append(bits, np.uint64(0))[np.where(link < 0, -1, link - start)]


def _compiled(rows: RowTable, ids: Mapping[str, Ids], names: _Names) -> CompiledTable:
    spec, links = rows.spec, links_of(rows, ids)
    return CompiledTable(
        spec,
        (rows,),
        ids[spec.name],
        MappingProxyType({name: frozen(array) for name, array in links.items()}),
        MappingProxyType({c.name: rows.column(c.name).values for c in spec.columns if c.type is not str}),
        frozen(np.ones(len(rows), bool)),
        frozen(row_hashes(rows, names.hashes(rows, spec.key, links))) if spec.key else None,
        lane_sums(row_hashes(rows, names.hashes(rows, spec.columns, links))),
    )


def _whole(
    before: Mapping[str, CompiledTable], given: Mapping[str, RowTable], new: Mapping[str, CompiledTable]
) -> dict[str, CompiledTable]:
    """Every table with its new rows below, and what those supersede no longer current."""
    whole = dict(before)
    for name, rows in given.items():
        table = before[name].grown(rows, new[name])
        replaced = new[name].links.get("supersedes", np.empty(0, np.int32))
        whole[name] = table.without(replaced[replaced >= 0]) if (replaced >= 0).any() else table
    return whole


def joined(
    before: Mapping[str, CompiledTable], tables: Tables, superseded: Collection[str]
) -> tuple[dict[str, CompiledTable], list[Added], list[Fault]]:
    """All tables with the rows given below; the rows given; and what is wrong with `superseded`."""
    given = _row_tables(tables)
    grown_by = _grown(before, given)
    whole = _whole(before, given, grown_by)
    faults = [fault for name in superseded for fault in _withdraw(whole, name)]
    added = [Added(rows, len(before[name]), whole) for name, rows in given.items()]
    return whole, added, faults


def _row_tables(tables: Tables) -> dict[str, RowTable]:
    for name in tables:
        if name not in TABLES:
            raise UnknownName(unknown(f"there is no table {name!r}", name, TABLES))
    return {
        name: rows if isinstance(rows := tables[name], RowTable) else RowTable.from_rows(spec, rows)
        for name, spec in TABLES.items()
        if name in tables
    }


def _withdraw(whole: dict[str, CompiledTable], name: str) -> Iterable[Fault]:
    """Make a statement no longer current; a fault when not exactly one has this id."""
    found = places(whole, name)
    if len(found) != 1:
        expected = f"the id of one statement, and {len(found) or 'none'} {'have' if found else 'has'} it"
        yield Fault("withdrawing what is not there", "claims", None, name, None, repr(name), expected)
    for table, _ in found:
        whole[table] = whole[table].without(whole[table].ids.find(name))


def places(whole: Mapping[str, CompiledTable], name: str) -> list[tuple[str, str]]:
    """Table and id of each statement with this id."""
    return [(t, name) for t, table in whole.items() if table.spec.kind == "statement" and table.ids.find(name) >= 0]
