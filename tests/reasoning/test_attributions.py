"""Rows, marginals and dates of small random references, against a slow twin that sums everything there is."""

from __future__ import annotations

from collections import defaultdict
from itertools import product
from math import prod
from random import Random

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from footring.marks.readings import feet
from footring.reasoning.attributions import attributions
from footring.reasoning.carried import SIDE_OF, carried
from footring.reasoning.date_marginals import piece_dates, way_dates
from footring.reasoning.examination import examine_part
from footring.reasoning.gaps import gaps
from footring.reasoning.model import compile_model
from footring.reasoning.slots import choices
from footring.reference import compile_reference
from tests.reasoning.network_twin import Network, Read
from tests.reasoning.small_worlds import small_world, some_readings
from tests.reasoning.twin_shares import PARTS

DICE = st.randoms(use_true_random=False)
ALL = {"mass": 2.0, "most": 10**9}


def examined(dice):
    tables = small_world(dice)
    model = compile_model(compile_reference(tables))
    return model, examine_part(model, some_readings(dice, tables))


@pytest.mark.slow
@settings(max_examples=30, phases=(Phase.explicit, Phase.reuse, Phase.generate))
@given(DICE)
def test_rows_rest_and_outside_are_everything_and_add_up_to_what_each_attribute_is(dice: Random) -> None:
    _, x = examined(dice)
    rows = attributions(x, **ALL).rows
    p = np.array([row.p for row in rows])
    assert p.sum() + x.outside == pytest.approx(1.0, abs=1e-9)
    assert (np.diff(p) <= 1e-15).all()
    assert len({tuple(v.row if v.id else v.state for v in row.values.values()) for row in rows}) <= len(rows)
    assert sum(row.p for row in rows if not row.recorded) == pytest.approx(x.unrecorded, abs=1e-9)
    inside = 1.0 - x.outside
    for name, whole in {**x.marginals, **carried(x)}.items():
        if name == "customer":
            continue
        got = np.zeros(len(whole))
        for row in rows:
            value = row.values[name]
            if value.state != "unknown" and (name, value.state) != ("size", "new"):
                got[{"known": value.row, "none": -2, "new": -1}[value.state]] += row.p
        told = got.sum() >= inside - 1e-9
        assert (got <= whole * inside + 1e-9).all(), (name, got, whole * inside, x.readings)
        assert not told or got == pytest.approx(whole * inside, abs=1e-9), (name, got, whole * inside)


@pytest.mark.slow
@settings(max_examples=20, phases=(Phase.explicit, Phase.reuse, Phase.generate))
@given(DICE)
def test_the_rows_told_are_the_likeliest_and_the_rest_is_what_is_left(dice: Random) -> None:
    _, x = examined(dice)
    whole, told = attributions(x, **ALL).rows, attributions(x)
    assert len(told.rows) <= 200
    assert [row.p for row in told.rows] == pytest.approx([row.p for row in whole[: len(told.rows)]], abs=1e-15)
    assert sum(row.p for row in told.rows) + told.rest + x.outside == pytest.approx(1.0, abs=1e-9)
    assert len(told.rows) == 200 or told.rest <= 0.001 + 1e-12


def hypotheses(twin: Network, read: Read):
    """Everything a piece may be, as (form, parts, recorded, mass without what dates it, group, window)."""
    for form in twin.forms:
        line = twin.forms[form].line
        group = int(twin.model.marks.group_of_form[twin.shares.at["forms", form]])
        start = twin.shares.line[line] * twin.shares.form[form] * twin.of_form(read, line, form)
        for how, parts, share in twin.shares.ways_to(form):
            recorded = (form, *parts) in twin.shares.cells
            number = twin.number(read, line, None if how == "product" else parts) if "number" in read.slots else 1.0
            seen = prod(read.part(twin, line, name, part) for name, part in zip(PARTS, parts, strict=True))
            window = twin.window(line, form, parts, "cell" if recorded else how)
            yield form, parts, recorded, start * share * seen * number, group, window


@pytest.mark.slow
@settings(max_examples=6, phases=(Phase.explicit, Phase.reuse, Phase.generate))
@given(DICE)
def test_marks_together_and_dates_are_those_of_every_combination_summed_one_by_one(dice: Random) -> None:
    model, x = examined(dice)
    if len(x.ways) > 1:
        return
    twin = Network(model)
    ((_, factors),) = choices(model.channels.factors(x.readings))
    read, dates = Read(model, factors), model.rules.piece_dates(feet(x.readings)[None])
    between, own = gaps(len(twin.years)), dates.own
    after = own["decorated"] * (between.pattern_age @ own["pattern_designed"]) * (between.sale_lag @ own["sold"])
    before = own["potted"] * (between.form_age @ own["form_designed"])
    pairs, decorated, potted = defaultdict(float), 0.0, 0.0
    marks = [-2, -1, *range(model.marks.in_clay.marks)]
    for _, _, _, mass, group, window in hypotheses(twin, read):
        clay, printed = (twin.marks(group, side, read, dates) for side in SIDE_OF.values())
        for (c, in_clay), (t, on_top) in product(zip(marks, clay, strict=True), zip(marks, printed, strict=True)):
            joint = mass * (window * after * on_top)[:, None] * between.lag * (before * in_clay)[None, :]
            pairs[c, t] += joint.sum()
            decorated, potted = decorated + joint.sum(axis=1), potted + joint.sum(axis=0)
    inside = 1.0 - x.outside
    got = defaultdict(float)
    for row in attributions(x, **ALL).rows:
        two = [{"none": -2, "new": -1}.get(v.state, v.row) for v in (row.values[name] for name in SIDE_OF)]
        got[tuple(two)] += row.p
    total = sum(pairs.values())
    for two, p in pairs.items():
        assert got[two] == pytest.approx(inside * p / total, abs=1e-9), two
    found = way_dates(x, x.ways[0])
    for name, slow in (("decorated", decorated), ("potted", potted)):
        assert found[name] / found[name].sum() == pytest.approx(slow / slow.sum(), abs=1e-9)
    for name, answer in piece_dates(x).items():
        assert answer.density.sum() == pytest.approx(1.0, abs=1e-9)
        assert found[name].sum() == pytest.approx(x.ways[0].weighed.total, rel=1e-9)
