"""A compiled reference against counting by hand, and what must never change it."""

from __future__ import annotations

import dataclasses
import random
from collections import defaultdict
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.packs import load_pack
from footring.reference import CELL, ReferenceFaults, check, compile_reference, extend
from footring.rows.collection import Attribution, Piece
from footring.rows.reference_things import Decoration, Form, Line, Maker, Size
from footring.rows.statements import Number
from footring.terms.errors import UnknownName

from .worlds import FIXED, worlds

GRAIN = 2.0**20


def by_hand(tables):
    """The slow twin: weights of each (cell, channel, unselected), one row at a time."""
    selected = {c.id: c.selected for c in tables["channels"]}
    outings = {o.id: o for o in tables["outings"]}
    lines = {(n.outing, n.line) for n in tables["outing_lines"]}
    gone = {a.supersedes for a in tables["attributions"]}
    current = [a for a in tables["attributions"] if a.id not in gone]

    def met_through(piece, line):
        ways = []
        for e in (e for e in tables["encounters"] if e.piece == piece):
            outing = outings.get(e.outing)
            channel = e.channel or (outing.channel if outing else None)
            whole = outing and (
                outing.logged == "everything" or (outing.logged == "lines" and (outing.id, line) in lines)
            )
            ways.append((not whole and (channel is None or selected[channel]), channel is None, channel or ""))
        if not ways:
            return None, False
        chosen, _, channel = min(ways)
        return channel or None, not chosen

    totals = defaultdict(lambda: [0.0, 0.0])
    for piece in {a.piece for a in current}:
        own = [a for a in current if a.piece == piece]
        sums = {
            basis: sum(np.floor(a.weight * GRAIN) for a in own if a.basis == basis)
            for basis in ("confirmed", "proposed")
        }
        spent = 0.0
        for at, basis in enumerate(("confirmed", "proposed")):
            room = GRAIN - spent
            for a in (a for a in own if a.basis == basis):
                given = np.floor(a.weight * GRAIN)
                kept = int(given) * int(room) // int(sums[basis]) if sums[basis] > room else given
                spent += kept
                cell = tuple(getattr(a, name) for name in CELL)
                totals[(cell, *met_through(piece, a.line))][at] += kept / GRAIN
    return {key: tuple(both) for key, both in totals.items() if any(both)}


def as_counted(reference):
    counts = reference.counts
    names = {
        "line": "lines",
        "form": "forms",
        "size": "sizes",
        "body": "bodies",
        "glaze": "glazes",
        "decoration": "decorations",
        "trim": "trims",
    }

    def name(table, index):
        return None if index < 0 else reference.row(table, int(index)).id

    return {
        (
            tuple(name(names[column], i) for column, i in zip(CELL, counts.cells[cell], strict=True)),
            name("channels", channel),
            bool(free),
        ): (float(sure), float(maybe))
        for cell, channel, free, sure, maybe in zip(
            counts.cell, counts.channel, counts.unselected, counts.confirmed, counts.proposed, strict=True
        )
    }


@settings(deadline=None, max_examples=150)
@given(worlds())
def test_counts_are_those_counted_by_hand(tables):
    assert as_counted(compile_reference(tables)) == by_hand(tables)


@settings(deadline=None, max_examples=60)
@given(worlds(), st.randoms())
def test_order_of_rows_changes_neither_digest_nor_counts(tables, rng):
    shuffled = {name: rng.sample(list(rows), len(rows)) for name, rows in tables.items()}
    one, two = compile_reference(tables), compile_reference(shuffled)
    assert one.digest == two.digest
    assert as_counted(one) == as_counted(two)


@settings(deadline=None, max_examples=100)
@given(worlds(), st.integers(0, 2**32))
def test_extend_equals_compiling_everything(tables, seed):
    rng = random.Random(seed)
    first, later = {}, {}
    for name, rows in tables.items():
        cut = len(rows) if name in FIXED else rng.randrange(len(rows) + 1)
        first[name], later[name] = list(rows[:cut]), list(rows[cut:])
    known = {row.id for rows in first.values() for row in rows}
    for name in ("outing_lines", "encounters", "attributions"):
        wait = [row for row in first[name] if not _refers_to(row) <= known]
        later[name] = wait + later[name]
        first[name] = [row for row in first[name] if row not in wait]
        known -= {row.id for row in wait}
    whole = compile_reference({name: [*first[name], *later[name]] for name in tables})
    before = compile_reference(first)
    grown = extend(before, {name: rows for name, rows in later.items() if rows})
    assert grown.digest == whole.digest
    assert as_counted(grown) == as_counted(whole)
    assert before.digest == compile_reference(first).digest


def _refers_to(row):
    values = (getattr(row, f.name) for f in dataclasses.fields(row) if f.name != "id")
    return {v for v in values if isinstance(v, str) and v[:2] in ("p.", "o.", "a.")}


@settings(deadline=None, max_examples=60)
@given(worlds())
def test_without_a_piece_is_compiled_without_it(tables):
    piece = tables["pieces"][0].id
    less = {name: [r for r in rows if getattr(r, "piece", None) != piece] for name, rows in tables.items()}
    reference = compile_reference(tables)
    counts = reference.counts_without(piece)
    assert as_counted(dataclasses.replace(reference, counts=counts)) == by_hand(less)


def test_any_value_changes_the_digest():
    tables = {"makers": [Maker("m", name="Quillow & Tarn Works")], "lines": [Line("l", maker="m", name="Ormsley")]}
    digests = {compile_reference(tables).digest}
    digests.add(compile_reference({**tables, "lines": [Line("l", maker="m", name="Wherry")]}).digest)
    digests.add(compile_reference({**tables, "lines": [Line("k", maker="m", name="Ormsley")]}).digest)
    digests.add(compile_reference({**tables, "lines": [Line("l", maker="m", name="Ormsley", private=True)]}).digest)
    assert len(digests) == 4


def test_arrays_cannot_be_written():
    reference = compile_reference(FIXED)
    with pytest.raises(ValueError, match="read-only"):
        reference.tables["forms"].links["line"][0] = 1
    with pytest.raises(dataclasses.FrozenInstanceError, match="digest"):
        reference.digest = ""


def test_rows_come_back_for_explanations():
    reference = compile_reference(FIXED)
    assert reference.row("forms", "f.1") == FIXED["forms"][1]
    with pytest.raises(UnknownName, match=r"no row with the id 'f\.11'"):
        reference.row("forms", "f.11")


def test_every_fault_is_told_at_once():
    tables = {
        **FIXED,
        "forms": [Form("f.0", line="l.0", name="dish"), Form("f.0", line="l.9", name="plate")],
        "sizes": [Size("s", form="f.0", across_mm=1840.0)],
        "decorations": [Decoration("d.0", name="heron"), Decoration("d.1", name="reeds")],
        "numbers": [
            Number("n.0", line="l.0", code="417", decoration="d.0"),
            Number("n.1", line="l.0", code="417", decoration="d.1"),
        ],
        "pieces": [Piece("p.0")],
        "attributions": [
            Attribution("a.0", piece="p.0", line="l.0", weight=1.0, basis="confirmed", supersedes="a.1"),
            Attribution("a.1", piece="p.0", line="l.0", weight=1.0, basis="confirmed", supersedes="a.0"),
        ],
    }
    with pytest.raises(ReferenceFaults, match=r"f\.0") as caught:
        compile_reference(tables)
    told = {(fault.table, fault.column) for fault in caught.value.faults}
    assert {("forms", "id"), ("forms", "line"), ("sizes", "across_mm"), ("attributions", "supersedes")} <= told
    assert any(fault.table == "numbers" for fault in caught.value.faults)
    assert len(check(tables)) == len(caught.value.faults)


def test_the_demo_pack_compiles():
    tables = load_pack(Path(str(files("footring.demo").joinpath("pack")))).tables
    reference = compile_reference(tables)
    assert reference.counts.recorded.any()
