"""Growing a reference is compiling it whole, to the last array; and what a digest takes note of."""

from __future__ import annotations

import dataclasses
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.reference import CELL, Reference, compile_reference, extend
from footring.rows import TABLES, RowTable, coded
from footring.rows.collection import Attribution, Encounter, Outing, Piece
from footring.rows.reference_things import Maker
from footring.terms.errors import UnknownName

from .histories import GROUND, by_table, histories
from .slow_twin import slow_counts

QUICK = settings(max_examples=60, deadline=None)


def told(reference: Reference) -> dict[tuple, tuple[float, float]]:
    """The counts by ids, for comparison with the slow twin."""
    counts = reference.counts
    where = [str(TABLES["attributions"].column(name).refers_to) for name in CELL]
    out = {}
    for i in range(len(counts.cell)):
        cell = tuple(_id(reference, t, v) for t, v in zip(where, counts.cells[counts.cell[i]], strict=True))
        key = (cell, _id(reference, "channels", counts.channel[i]), bool(counts.unselected[i]))
        assert key not in out
        out[key] = (float(counts.confirmed[i]), float(counts.proposed[i]))
    return out


def _id(reference: Reference, table: str, row: int) -> str | None:
    return reference.row(table, int(row)).id if row >= 0 else None


@QUICK
@given(histories(40))
def test_counts_are_those_of_the_slow_twin(rows) -> None:
    assert told(compile_reference(by_table(rows))) == slow_counts(by_table(rows))


def assert_same(one: Reference, other: Reference) -> None:
    assert one.digest == other.digest and one.withdrawn == other.withdrawn
    assert one.counts.same_as(other.counts)
    assert np.array_equal(one.attribution_cells, other.attribution_cells)
    for name in TABLES:
        a, b = one.tables[name], other.tables[name]
        assert a.lanes == b.lanes and np.array_equal(a.current, b.current) and a.rows == b.rows
        assert all(np.array_equal(a.links[c], b.links[c]) for c in a.links)
        assert all(np.array_equal(a.numbers[c], b.numbers[c], equal_nan=True) for c in a.numbers)
        assert (a.keys is None) == (b.keys is None) and (a.keys is None or np.array_equal(a.keys, b.keys))
        assert sorted(a.ids) == sorted(b.ids) and all(a.ids.find(i) == b.ids.find(i) for i in a.ids)


@QUICK
@given(histories(30), st.data())
def test_extending_equals_compiling_everything(rows, data) -> None:
    cuts = sorted(data.draw(st.lists(st.integers(0, len(rows)), max_size=4)))
    grown = compile_reference({})
    withdrawn: list[str] = []
    for start, end in zip([0, *cuts], [*cuts, len(rows)], strict=True):
        statements = [row.id for row in rows[:end] if row.TABLE in ("attributions", "readings")]
        now = data.draw(st.lists(st.sampled_from(statements), max_size=2)) if statements else []
        before = (grown, grown.digest, grown.counts)
        grown = extend(grown, by_table(rows[start:end]), now)
        assert before[0].digest == before[1] and before[0].counts is before[2]
        withdrawn += now
    whole = compile_reference(by_table(rows), withdrawn)
    assert_same(grown, whole)
    assert told(whole) == slow_counts(by_table(rows), set(withdrawn))


@QUICK
@given(histories(30), st.randoms())
def test_the_order_of_rows_and_of_words_is_no_difference(rows, shuffle: random.Random) -> None:
    one = compile_reference(by_table(rows))
    mixed = list(rows)
    shuffle.shuffle(mixed)
    other = compile_reference(by_table(mixed))
    assert one.digest == other.digest and told(one) == told(other)
    again = {name: _other_words(RowTable.from_rows(TABLES[name], rs)) for name, rs in by_table(rows).items()}
    assert_same(one, compile_reference(again))


def _other_words(table: RowTable) -> RowTable:
    columns = {}
    for column in table.spec.columns:
        data = table.column(column.name)
        if data.vocabulary is not None:
            turned = len(data.vocabulary) - 1 - data.values
            data = coded(np.where(data.values < 0, -1, turned), data.vocabulary[::-1].tolist())
        columns[column.name] = data
    return RowTable.from_columns(table.spec, columns)


@QUICK
@given(histories(20), st.data())
def test_any_changed_value_changes_the_digest(rows, data) -> None:
    one = compile_reference(by_table(rows)).digest
    i = data.draw(st.integers(0, len(rows) - 1))
    free = [
        c for c in TABLES[rows[i].TABLE].columns if not (c.refers_to or c.refers_by or c.choices or c.date or c.key)
    ]
    column = data.draw(st.sampled_from([c for c in free if c.name not in ("id", "recorded_at")]))
    now = getattr(rows[i], column.name)
    other = {str: f"{now}x", bool: not now, float: 0.25 if now != 0.25 else 0.5}[column.type]
    changed = [*rows[:i], dataclasses.replace(rows[i], **{column.name: other}), *rows[i + 1 :]]
    assert compile_reference(by_table(changed)).digest != one
    assert compile_reference(by_table(rows[:-1])).digest != one


def test_two_values_that_change_places_change_the_digest() -> None:
    def digest(*rows: Maker) -> str:
        return compile_reference({"makers": rows}).digest

    assert digest(Maker("a", name="x"), Maker("b", name="y")) != digest(Maker("a", name="y"), Maker("b", name="x"))
    assert digest(Maker("a", name="x", town="y")) != digest(Maker("a", name="y", town="x"))
    assert digest(Maker("a", name="x", town="y")) != digest(Maker("a", name="x", country="y"))
    assert digest(Maker("a", name="ab")) != digest(Maker("a", name="ba"))
    assert digest() == compile_reference({}).digest


@QUICK
@given(histories(30), st.data())
def test_counts_without_a_piece_are_those_without_its_attributions(rows, data) -> None:
    pieces = [row.id for row in rows if row.TABLE == "pieces"]
    if not pieces:
        return
    piece = data.draw(st.sampled_from(pieces))
    reference = compile_reference(by_table(rows))
    less = reference.counts_without(piece)
    kept = slow_counts(by_table(rows))
    gone = {row.id for row in rows if row.TABLE == "attributions" and row.piece == piece}
    kept = slow_counts(by_table(rows), gone)
    assert told(dataclasses.replace(reference, counts=less)) == kept


def test_a_piece_weighs_one_however_often_met() -> None:
    rows = [
        *GROUND, Piece("p"), Outing("o", logged="everything", channel="q.fair"),
        Encounter("e1", piece="p", channel="q.shelf"), Encounter("e2", piece="p", outing="o"),
        Encounter("e3", piece="p", channel="q.fair"),
        Attribution("a", piece="p", line="q.ormsley", form="q.bowl", weight=1.0, basis="confirmed"),
        Attribution("b", piece="p", line="q.ormsley", form="q.bowl", weight=1.0, basis="confirmed"),
        Attribution("c", piece="p", line="q.wherry", weight=0.7, basis="proposed"),
    ]  # fmt: skip
    counts = compile_reference(by_table(rows)).counts
    assert counts.per_cell("confirmed").tolist() == [1.0, 0.0]
    assert counts.per_cell("confirmed", unselected=True).tolist() == [1.0, 0.0]
    assert counts.per_cell("proposed").tolist() == [0.0, 0.0]
    assert counts.recorded.tolist() == [True, False]


def test_a_proposal_alone_records_nothing() -> None:
    proposed = Attribution("a", piece="p", line="q.ormsley", weight=0.5, basis="proposed")
    reference = compile_reference(by_table([*GROUND, Piece("p"), proposed]))
    assert reference.counts.recorded.tolist() == [False]
    assert reference.counts.per_cell("proposed").tolist() == [0.5]
    confirmed = Attribution("b", piece="p", line="q.ormsley", weight=1.0, basis="confirmed", supersedes="a")
    assert extend(reference, {"attributions": [confirmed]}).counts.recorded.tolist() == [True]


def test_what_stays_the_same_is_shared() -> None:
    reference = compile_reference(by_table([*GROUND, Piece("p")]))
    more = extend(reference, {"pieces": [Piece("p2")]})
    assert more.counts is reference.counts
    assert all((more.tables[name] is reference.tables[name]) == (name != "pieces") for name in TABLES)


def test_nothing_can_be_written_to() -> None:
    reference = compile_reference(by_table([*GROUND, Piece("p")]))
    reference = extend(
        reference, by_table([Attribution("a", piece="p", line=GROUND[1].id, weight=1, basis="confirmed")])
    )
    with pytest.raises(dataclasses.FrozenInstanceError, match="cannot assign to field"):
        reference.digest = ""
    with pytest.raises(TypeError, match="does not support item assignment"):
        reference.tables["lines"] = None
    arrays = [reference.attribution_cells, *(getattr(reference.counts, n) for n in type(reference.counts).__slots__)]
    for table in reference.tables.values():
        arrays += [table.current, *table.links.values(), *table.numbers.values()]
        arrays += [table.keys] if table.keys is not None else []
    assert not any(array.flags.writeable for array in arrays)


def test_a_row_comes_back_from_wherever_it_was_added() -> None:
    reference = compile_reference(by_table(GROUND))
    reference = extend(reference, {"pieces": [Piece("p", name="the first")]})
    reference = extend(reference, {"pieces": [Piece("p2")]})
    assert reference.row("pieces", "p2") == Piece("p2")
    assert reference.row("pieces", 0) == Piece("p", name="the first")
    with pytest.raises(UnknownName, match="there is no table 'encountrs'; did you mean 'encounters'"):
        reference.row("encountrs", "p")
    with pytest.raises(UnknownName, match="there is no table 'encountrs'; did you mean 'encounters'"):
        compile_reference({"encountrs": []})
    with pytest.raises(IndexError, match="row 9 was asked for"):
        reference.row("lines", 9)


def test_a_digest_is_the_same_in_every_process_and_version() -> None:
    """A finding stores it: it may only change together with the number of the format it begins with."""
    assert compile_reference(by_table(GROUND)).digest == "959b277849409483c5d2cfe20a6eddce"


def test_many_rows_added_one_at_a_time_stay_whole() -> None:
    reference = compile_reference(by_table(GROUND))
    pieces = [Piece(f"p{i}") for i in range(300)]
    for piece in pieces:
        reference = extend(reference, {"pieces": [piece]})
    assert_same(reference, compile_reference(by_table([*GROUND, *pieces])))
    assert len(reference.tables["pieces"].chunks) <= 2
