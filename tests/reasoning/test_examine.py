"""What must hold of any finding, whatever the reference and whatever was read."""

from __future__ import annotations

import dataclasses
import json
from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.marks.readings import Reading, read_reading
from footring.reasoning.date_mark import date_mark
from footring.reasoning.examine import Examiner, examine, examine_batch
from footring.reasoning.model import compile_model
from footring.reasoning.parameters import default_parameters
from footring.reasoning.piece_json import piece_json
from footring.reference import compile_reference, extend
from footring.terms.errors import BadInput
from tests.reasoning.small_worlds import small_world, some_readings

DICE = st.randoms(use_true_random=False)
FEW = settings(max_examples=12)


def plain(finding):
    return json.loads(json.dumps(piece_json(finding), allow_nan=False))


def answer(finding, digits=9):
    """What is concluded, without reasons and provenance; equal chances in any order."""
    told = plain(finding)
    rows = sorted((round(row.pop("p"), digits), json.dumps(row, sort_keys=True)) for row in told["attributions"])
    marginals = {n: sorted((round(p, digits), str(v), str(i)) for v, p, i in s) for n, s in told["marginals"].items()}
    dates = {name: np.round(date["density"][1], digits).tolist() for name, date in told["dates"].items()}
    return rows, marginals, dates, round(told["outside"], digits), round(told["unrecorded"], digits)


def same(one, other):
    for a, b in zip(answer(one, 12), answer(other, 12), strict=True):
        assert json.dumps(a) == json.dumps(b) or _close(a, b)


def _close(a, b):
    """The same but for rounding: numbers to nine figures, all else exactly."""
    if isinstance(a, float | int) and isinstance(b, float | int):
        return a == pytest.approx(b, abs=1e-9)
    if isinstance(a, dict):
        return a.keys() == b.keys() and all(_close(a[key], b[key]) for key in a)
    if isinstance(a, list | tuple):
        return len(a) == len(b) and all(_close(x, y) for x, y in zip(sorted_(a), sorted_(b), strict=True))
    return a == b


def sorted_(rows):
    """Rows of one chance, to nine figures, in the order of what they say."""
    if rows and isinstance(rows[0], list | tuple) and isinstance(rows[0][0], float):
        return sorted(rows, key=lambda row: (round(row[0], 9), *map(str, row[1:])))
    return list(rows)


@FEW
@given(DICE)
def test_a_batch_is_every_piece_alone_to_the_last_figure(dice: Random) -> None:
    tables = small_world(dice)
    reference = compile_reference(tables)
    pieces = [some_readings(dice, tables) for _ in range(3)]
    batch = examine_batch(reference, pieces, explain=True)
    assert [plain(one) for one in batch] == [plain(examine(reference, read)) for read in pieces]
    model = compile_model(reference)
    quick = [plain(one) for one in examine_batch(model, pieces)]
    for with_reasons, without in zip(batch, quick, strict=True):
        told = plain(with_reasons)
        assert {k: v for k, v in told.items() if k not in ("evidence", "conflicts", "unusual", "next")} == {
            k: v for k, v in without.items() if k not in ("evidence", "conflicts", "unusual", "next")
        }
        assert without["evidence"] == without["next"] == []


@FEW
@given(DICE)
def test_order_and_repetition_of_readings_change_nothing(dice: Random) -> None:
    tables = small_world(dice)
    examiner = Examiner(compile_reference(tables))
    read = some_readings(dice, tables)
    first = examiner.finding(read, explain=False)
    same(first, examiner.finding(dice.sample(read, len(read)), explain=False))
    same(first, examiner.finding([*read, *read], explain=False))


@FEW
@given(DICE)
def test_ids_are_only_ids(dice: Random) -> None:
    tables = small_world(dice)
    read = some_readings(dice, tables)
    new = {row.id: f"zz.{len(tables)}-{i}" for i, row in enumerate(r for rows in tables.values() for r in rows)}
    renamed = {table: [_renamed(row, new) for row in rows] for table, rows in tables.items()}
    one, other = (plain(examine(compile_reference(t), read)) for t in (tables, renamed))
    del one["provenance"], other["provenance"]
    text = json.dumps(one)
    for old, fresh in sorted(new.items(), key=lambda pair: -len(pair[0])):
        text = text.replace(f'"{old}"', f'"{fresh}"')
    one, back = json.loads(text), other
    assert _close(one["attributions"], back["attributions"])
    assert _close(one["marginals"], back["marginals"])
    assert _close(one["dates"], back["dates"])


def _renamed(row, new):
    links = {f.name: new[v] for f in dataclasses.fields(row) if isinstance(v := getattr(row, f.name), str) and v in new}
    return dataclasses.replace(row, **links)


@FEW
@given(DICE)
def test_without_a_piece_is_as_if_nobody_had_attributed_it(dice: Random) -> None:
    tables = small_world(dice)
    read = some_readings(dice, tables)
    for piece in [row.id for row in tables["pieces"]][:2]:
        kept = [row for row in tables["attributions"] if row.piece != piece]
        without = examine(compile_reference(tables), read, without_piece=piece)
        same(without, examine(compile_reference(tables | {"attributions": kept}), read))
        assert without.provenance["without_piece"] == piece


@FEW
@given(DICE)
def test_a_grown_reference_finds_what_a_whole_one_does(dice: Random) -> None:
    tables = small_world(dice)
    read = some_readings(dice, tables)
    late = ("pieces", "encounters", "attributions", "productions", "numbers", "mark_uses")
    early = compile_reference({table: rows for table, rows in tables.items() if table not in late})
    grown = extend(early, {table: tables[table] for table in late})
    same(examine(grown, read), examine(compile_reference(tables), read))


READ = [("mark", "QUILLOW & TARN / MADE IN ENGLAND"), ("country", "England"), ("made", "1936?"), ("glaze", "blue")]


@pytest.mark.parametrize("count", range(len(READ) + 1))
def test_without_a_reference_all_is_outside_and_dated_by_the_general_rules(count) -> None:
    read = [read_reading(*one) for one in READ[:count]]
    finding, by_rules = examine(compile_reference({}), read), date_mark(readings=read)
    assert finding.outside == 1.0
    assert not finding.attributions and not finding.marginals and finding.rest == finding.unrecorded == 0.0
    for name, date in by_rules.dated.dates.items():
        assert finding.dates[name].intervals == date.intervals
        assert finding.dates[name].window == date.window
        assert finding.dates[name].density == pytest.approx(date.density, abs=1e-12)
    assert plain(finding)["outside"] == 1.0


def test_a_model_has_its_parameters_already() -> None:
    model = compile_model(compile_reference({}))
    with pytest.raises(BadInput, match="a model has its parameters and pieces already"):
        examine(model, [], parameters=default_parameters())
    with pytest.raises(BadInput, match="leave out parameters and without_piece"):
        examine(model, [Reading("line", "Ormsley")], without_piece="p")
