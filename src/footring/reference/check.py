"""Every fault tables can have before they become a reference."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.reference.added import Added, quoted
from footring.reference.check_values import value_faults
from footring.reference.compiled import CompiledTable
from footring.reference.faults import Fault, Nearest
from footring.reference.grow import Tables, joined, no_tables
from footring.rows import TABLES

OWNERS = (("form", "line"), ("size", "form"), ("part", "piece"), ("finding", "piece"))
"""A row that names both must name the one that the other belongs to."""


def check(tables: Tables, superseded: Collection[str] = ()) -> list[Fault]:
    """Every fault of these tables, in the order of tables, rows and columns; empty when they would compile."""
    _, given, faults = joined(no_tables(), tables, superseded)
    return faults + faults_of(given)


def faults_of(given: Sequence[Added]) -> list[Fault]:
    """Every fault of the rows given, in the order of tables, rows and columns."""
    checks = (value_faults, duplicate_ids, dangling_ids, circles, wrong_owners, duplicate_keys)
    found = [fault for added in given for check in checks for fault in check(added)]
    return sorted(found, key=_place)


def _place(fault: Fault) -> tuple[int, float, int]:
    spec = TABLES[fault.table]
    column = [c.name for c in spec.columns].index(fault.column) if fault.column else -1
    return list(TABLES).index(fault.table), fault.row if fault.row is not None else float("inf"), column


def duplicate_ids(added: Added) -> Iterator[Fault]:
    """An id given to a row that an earlier row has."""
    whole, data = added.whole[added.name], added.rows.column("id")
    if len(whole.ids) == len(whole):
        return
    again = whole.ids.find_all(data) != np.arange(added.start, len(whole))
    yield from added.faults("duplicate id", again & data.known, "id", "an id of its own: another row has this one")


def dangling_ids(added: Added) -> Iterator[Fault]:
    """An id that no row has."""
    for column in added.rows.spec.columns:
        if not (column.refers_to or column.refers_by):
            continue
        data = added.rows.column(column.name)
        loose = data.known & (added.links(column.name) < 0) & (data.values != _code(data.vocabulary, ""))
        if column.name == "supersedes":
            kind, expected = "superseding something absent", f"the id of an earlier row of {added.name}"
        else:
            kind, expected = "dangling id", f"the id of a row of {column.refers_to or 'the table named beside it'}"
        if loose.any():
            nearest = Nearest(added.whole[column.refers_to].ids if column.refers_to else ())
            yield from added.faults(kind, loose, column.name, expected, nearest.suggestion)


def _code(vocabulary: NDArray[np.object_] | None, word: str) -> int:
    assert vocabulary is not None
    found = np.flatnonzero(vocabulary == word)
    return int(found[0]) if len(found) else -1


def circles(added: Added) -> Iterator[Fault]:
    """Rows of a table that name one another round in a circle."""
    for column in added.rows.spec.columns:
        if column.refers_to != added.name:
            continue
        kind = "superseding circle" if column.name == "supersedes" else "circle"
        ids = added.rows.column("id")
        for ring in _rings(added.links(column.name) - added.start):
            path = " -> ".join(str(ids.value(i)) for i in [*ring[:10], ring[0]])
            yield added.fault(kind, ring[0], column.name, path, f"a row that comes back to itself by no {column.name}")


def _rings(following: NDArray[Any]) -> Iterator[list[int]]:
    """Each circle once, from its first row; `following[i]` is the row after row i, below 0 for none."""
    step = np.where(following >= 0, following, -1)
    left = step
    for _ in range(len(step).bit_length()):
        if (left < 0).all():
            return
        left = np.where(left >= 0, left[left], -1)
    seen: set[int] = set()
    for start in np.unique(left[left >= 0]).tolist():
        if start not in seen:
            ring = _walk(step, start)
            seen.update(ring)
            first = ring.index(min(ring))
            yield ring[first:] + ring[:first]


def _walk(step: NDArray[Any], start: int) -> list[int]:
    ring = [start]
    while (after := int(step[ring[-1]])) != start:
        ring.append(after)
    return ring


def wrong_owners(added: Added) -> Iterator[Fault]:
    """A form in a line that is not its, a size of another form, a part or finding of another piece."""
    has = {column.name: column.refers_to for column in added.rows.spec.columns if column.refers_to}
    for part, owner in OWNERS:
        table = has.get(part)
        if table is None or owner not in has:
            continue
        whole, part_links, owner_links = added.whole[table], added.links(part), added.links(owner)
        right = np.append(whole.links[owner], np.int32(-1))[part_links]
        wrong = (part_links >= 0) & (owner_links >= 0) & (right >= 0) & (right != owner_links)
        yield from added.faults(
            f"{part} of another {owner}",
            wrong,
            part,
            f"one of the {owner} named beside it",
            _owner_teller(whole, owner),
        )


def _owner_teller(whole: CompiledTable, owner: str) -> Callable[[str], str]:
    return lambda part: f"it belongs to {owner} {quoted(getattr(whole.row(whole.ids.find(part)), owner))}"


def duplicate_keys(added: Added) -> Iterator[Fault]:
    """Two current rows with the same natural key, one of them given now."""
    whole, spec = added.whole[added.name], added.rows.spec
    if whole.keys is None:
        return
    new = whole.keys[added.start :][whole.current[added.start :]]
    values, counts = np.unique(new, return_counts=True)
    old = np.isin(whole.keys[: added.start], values)
    suspects = values[(counts > 1) | np.isin(values, whole.keys[: added.start][old])]
    rows = np.flatnonzero(np.isin(whole.keys, suspects) & whole.current).tolist() if len(suspects) else []
    groups: dict[tuple[Any, ...], list[int]] = defaultdict(list)
    for i in rows:
        row = whole.row(i)
        groups[tuple(getattr(row, column.name) for column in spec.key)].append(i)
    for key, members in groups.items():
        for i in members[1:]:
            if i >= added.start:
                yield _duplicate_key(added, key, members[0], i)


def _duplicate_key(added: Added, key: tuple[Any, ...], first: int, i: int) -> Fault:
    whole, columns = added.whole[added.name], added.rows.spec.key
    one, other = whole.row(first), whole.row(i)
    given = ", ".join(f"{c.name} {quoted(value)}" for c, value in zip(columns, key, strict=True) if value is not None)
    expected = f"this once among the current rows; {quoted(one.id)} has it too"
    differs = [name for name in ("decoration", "glaze", "body", "trim") if _differs(one, other, name)]
    kind = "one code for two decorations" if added.name == "numbers" and differs else "duplicate key"
    return added.fault(kind, i - added.start, columns[-1].name, given, expected, "let one supersede the other")


def _differs(one: object, other: object, name: str) -> bool:
    return bool(getattr(one, name, None) != getattr(other, name, None))
