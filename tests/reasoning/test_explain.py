"""Why a piece is taken for what it is, against examining it anew with and without each reading."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations
from random import Random

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from footring.marks.readings import Reading, read_reading
from footring.reasoning.examination import Examination, examine_part
from footring.reasoning.exchange import Exchange, Told, expected
from footring.reasoning.explain import explain
from footring.reasoning.explain_conflicts import groups_of, together
from footring.reasoning.explain_evidence import explain_evidence, told_as
from footring.reasoning.information import entropy_bits, information_bits
from footring.reasoning.leader import Leader, leading
from footring.reasoning.model import Model, compile_model
from footring.reasoning.unusual import unusual
from footring.reasoning.weights import LIMIT_DB, weight_db
from footring.reference import compile_reference
from footring.rows.collection import Attribution, Channel, Encounter, Piece
from footring.rows.reference_things import (
    Decoration,
    Form,
    Glaze,
    Line,
    Maker,
    Trim,
)
from tests.reasoning.readings import READ, read_off
from tests.reasoning.small_worlds import small_world, some_readings

NO_SHRINKING = (Phase.explicit, Phase.reuse, Phase.generate)


def _chance(lead: Leader, examined: Examination) -> float:
    """The slow way: what an examination of its own says of the answer."""
    if lead.form < 0:
        return examined.outside
    if lead.cell >= 0:
        return float(examined.cells[lead.cell])
    return float(examined.unrecorded_forms[lead.form])


def _same(told: Told, lead: Leader, examined: Examination) -> None:
    assert told.whole == pytest.approx(examined.log_evidence, abs=1e-9)
    if lead.form < 0 or lead.cell >= 0 or lead.treatment < 0:
        assert told.p == pytest.approx(_chance(lead, examined), rel=1e-7, abs=1e-12)


@pytest.mark.slow
@settings(max_examples=25, deadline=None, phases=NO_SHRINKING)
@given(dice=st.randoms(use_true_random=False))
def test_any_of_the_readings_are_worth_what_an_examination_of_their_own_says(dice: Random) -> None:
    tables = small_world(dice)
    model = compile_model(compile_reference(tables))
    readings = some_readings(dice, tables)
    whole = examine_part(model, readings)
    lead = leading(whole)
    apart, rest = Exchange(expected(model), lead), Exchange(whole, lead)
    for few in [(), *((r,) for r in readings), *combinations(readings, 2)]:
        _same(apart.of(few), lead, examine_part(model, few))
    for out in readings:
        left = [r for r in readings if r is not out]
        _same(rest.of(left), lead, examine_part(model, left))
    _same(rest.of(readings), lead, whole)


def test_what_else_is_known_of_the_form_counts_in_both_weights(demo: Model) -> None:
    forms = np.zeros(len(demo.form_line))
    forms[:2] = 1.0 / demo.form_prior[:2].sum()
    whole = examine_part(demo, READ, forms)
    lead = leading(whole)
    assert lead.form in (0, 1)
    for base in (expected(demo, forms), whole):
        exchange = Exchange(base, lead)
        for out in READ:
            _same(exchange.of((out,)), lead, examine_part(demo, (out,), forms))
            left = [r for r in READ if r is not out]
            _same(exchange.of(left), lead, examine_part(demo, left, forms))


def test_the_two_weights_are_those_of_the_odds_before_and_after(demo: Model) -> None:
    whole = examine_part(demo, READ)
    lead = leading(whole)
    prior = _chance(lead, examine_part(demo, ()))
    found = {one.reading: one for one in explain_evidence(whole, lead)}
    for out in READ:
        left = examine_part(demo, [r for r in READ if r is not out])
        one = found[told_as(out)]
        assert one.last_db == pytest.approx(weight_db(_chance(lead, whole), _chance(lead, left)), abs=1e-6)
        assert one.alone_db == pytest.approx(weight_db(_chance(lead, examine_part(demo, (out,))), prior), abs=1e-6)
    assert found["number=417"].last_db > 3
    assert any("417" in row for row in found["number=417"].rests_on)


def test_how_two_readings_stand_to_each_other(demo: Model) -> None:
    def log_p(*groups: tuple[Reading, ...]) -> float:
        return examine_part(demo, [r for group in groups for r in group]).log_evidence

    lead, groups = leading(examine_part(demo, READ)), groups_of(READ)
    for (i, j), nat in together(READ, Exchange(expected(demo), lead)).items():
        assert nat == pytest.approx(log_p(groups[i], groups[j]) - log_p(groups[i]) - log_p(groups[j]), abs=1e-9)


def test_two_camps_fight_where_no_two_readings_do(demo: Model) -> None:
    typed = ("form=Straight mug", "line=Pennant", "number=417", "decoration=Reed Heron", "trim=Green edge line")
    (found,) = explain(examine_part(demo, read_off(*typed))).conflicts
    assert found.between[0] == "form=Straight mug and line=Pennant"
    assert math.log2(50.0) < found.bits <= 60.0
    assert "marriage" in found.explanation


def test_what_agrees_does_not_fight(demo: Model) -> None:
    agreed = read_off("form=Round covered dish", "line=Ormsley", "number=417", "decoration=Reed Heron")
    assert not explain(examine_part(demo, agreed)).conflicts


def test_readings_of_one_thing_confirm_each_other() -> None:
    named = ("Ormsley", "Wherry", "Pennant", "Larder", "Scarside", "Hurdle", "Sluice", "Tarnside", "Bulrush", "Osier",
             "Withy", "Teasel")  # fmt: skip
    of = ("plate", "jug", "mug", "bowl", "cup", "tile", "basin", "tray", "pot", "jar", "dish", "box")
    model = compile_model(
        compile_reference(
            {
                "makers": [Maker("q", name="Quillow & Tarn")],
                "lines": [Line(f"l{i}", maker="q", name=name) for i, name in enumerate(named)],
                "forms": [Form(f"f{i}", line=f"l{i}", name=name) for i, name in enumerate(of)],
            }
        )
    )
    found = explain(examine_part(model, read_off("line=Osier", "form=jar")))
    assert {one.reading: one.confirms for one in found.evidence} == {
        "line=Osier": ("form=jar",),
        "form=jar": ("line=Osier",),
    }


@settings(max_examples=15, deadline=None)
@given(dice=st.randoms(use_true_random=False))
def test_the_order_of_readings_is_nothing(demo: Model, dice: Random) -> None:
    mixed = dice.sample(READ, len(READ))
    one, other = (explain(examine_part(demo, r)) for r in (READ, mixed))
    assert {e.reading: pytest.approx((e.alone_db, e.last_db), abs=1e-6) for e in one.evidence} == {
        e.reading: (e.alone_db, e.last_db) for e in other.evidence
    }
    assert [n.reading for n in one.next] == [n.reading for n in other.next]


@pytest.mark.slow
@settings(max_examples=25, deadline=None, phases=NO_SHRINKING)
@given(dice=st.randoms(use_true_random=False))
def test_nothing_is_infinite_or_less_than_nothing(dice: Random) -> None:
    tables = small_world(dice)
    model = compile_model(compile_reference(tables))
    found = explain(examine_part(model, some_readings(dice, tables)))
    assert all(abs(one.alone_db) <= LIMIT_DB and abs(one.last_db) <= LIMIT_DB for one in found.evidence)
    assert all(math.isfinite(one.bits) and one.bits >= 0 for one in (*found.conflicts, *found.unusual, *found.next))


def test_a_reference_without_lines_explains_nothing_and_asks_nothing() -> None:
    model = compile_model(compile_reference({"makers": [Maker("q", name="Quillow & Tarn")]}))
    found = explain(examine_part(model, read_off("mark=ORMSLEY / MADE IN ENGLAND", "line=Ormsley")))
    assert not found.unusual
    assert all(math.isfinite(one.last_db) for one in found.evidence)


shares = arrays(np.float64, 4, elements=st.floats(0.0, 1.0)).filter(lambda a: a.sum() > 0.01).map(lambda a: a / a.sum())


@given(prior=shares, rows=st.lists(shares, min_size=4, max_size=4))
def test_information_is_between_nothing_and_all_there_is_to_know(prior: np.ndarray, rows: list[np.ndarray]) -> None:
    found = information_bits(prior, np.array(rows))
    assert 0.0 <= found <= entropy_bits(prior) + 1e-9


@given(prior=shares, row=shares)
def test_what_is_the_same_whatever_is_the_case_tells_nothing(prior: np.ndarray, row: np.ndarray) -> None:
    assert information_bits(prior, np.array([row] * 4)) == pytest.approx(0.0, abs=1e-9)


def test_a_reading_as_it_is_typed_is_read_back() -> None:
    for reading in (*READ, replace(READ[0], part="lid", index=2)):
        name, _, value = told_as(reading).partition("=")
        assert read_reading(name, value) == reading


def test_what_is_unusual_has_the_counts_behind_it() -> None:
    """Green edge on 3 of 386: the share of 3 pieces in so many is under one in twenty, and not of 383 others."""
    known = {
        "makers": [Maker("q", name="Quillow & Tarn")],
        "lines": [Line("l", maker="q", name="Ormsley")],
        "forms": [Form("f", line="l", name="Covered dish")],
        "glazes": [Glaze("g", name="Clear")],
        "decorations": [Decoration("d", name="Reed Heron")],
        "trims": [Trim("t0", name="Gold line"), Trim("t1", name="Green edge line")],
        "pieces": [Piece(f"p{i}") for i in range(386)],
        "channels": [Channel("open", name="whole tables", selected=False)],
        "encounters": [Encounter(f"e{i}", piece=f"p{i}", channel="open") for i in range(386)],
        "attributions": [
            Attribution(f"a{i}", piece=f"p{i}", basis="confirmed", weight=1.0, line="l", form="f", glaze="g", decoration="d",
                        trim="t1" if i < 3 else "t0") for i in range(386)
        ],
    }  # fmt: skip
    model = compile_model(compile_reference(known))
    seldom = examine_part(model, read_off("trim=Green edge line", "line=Ormsley"))
    lead = Leader(0.9, 0, int(np.flatnonzero(model.known.treatments[:, 4] == 1)[0]), 0, own=0.5)
    (trim,) = [one for one in unusual(seldom, lead) if "edge line" in one.what]
    assert trim.what == "Green edge line on Ormsley with Reed Heron: 3 of 386 met."
    assert math.log2(387 / 4) < trim.bits < math.log2(387 / 3)
    often = Leader(0.9, 0, int(np.flatnonzero(model.known.treatments[:, 4] == 0)[0]), 1, own=0.5)
    assert not [one for one in unusual(seldom, often) if "Gold" in one.what]


def test_what_nobody_recorded_is_told_so(demo: Model) -> None:
    never = examine_part(demo, read_off("form=Straight mug", "line=Pennant", "decoration=Bulrush", "glaze=Sedge"))
    assert leading(never).cell < 0
    assert unusual(never, leading(never))[0].what.startswith("Not recorded before")
