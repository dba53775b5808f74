"""The posterior against a slow twin that weighs every combination there is, one at a time."""

from __future__ import annotations

from dataclasses import replace
from random import Random
from typing import Any

import numpy as np
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from footring.marks.readings import Reading
from footring.reasoning.examination import Examination, examine_part
from footring.reasoning.model import compile_model
from footring.reasoning.parameters import default_parameters
from footring.reference import compile_reference
from tests.reasoning.network_twin import Network
from tests.reasoning.small_worlds import small_world, some_readings
from tests.reasoning.twin_shares import PARTS, TABLES, as_rows

NO_SHRINKING = (Phase.explicit, Phase.reuse, Phase.generate)
"""A failing pottery is small enough as it is, and to make it smaller takes minutes."""


@pytest.mark.slow
@settings(max_examples=20, deadline=None, phases=NO_SHRINKING)
@given(dice=st.randoms(use_true_random=False))
def test_every_combination_weighed_one_at_a_time_gives_the_same(dice: Random) -> None:
    tables = small_world(dice)
    model = compile_model(compile_reference(tables), replace(default_parameters(), dated=_dated(dice)))
    twin = Network(model)
    for _ in range(3):
        _same(twin, some_readings(dice, tables))


def _same(twin: Network, readings: list[Reading]) -> None:
    model, shares = twin.model, twin.shares
    found, slow = examine_part(model, readings), twin.weigh(readings)
    assert found.outside == pytest.approx(slow["outside"], rel=1e-9, abs=1e-12)
    assert found.log_evidence == pytest.approx(slow["log_evidence"], abs=1e-9)
    where = {cell: as_rows(shares, cell) for cell in shares.cells}
    assert len(where) == len(model.known.cell_form)
    k, form = model.known.cell_treatment, model.known.cell_form
    rows = np.insert(model.known.treatments[k], 1, form, axis=1)
    fast = {tuple(row): p for row, p in zip(rows.tolist(), found.cells.tolist(), strict=True)}
    for cell, row in where.items():
        assert fast[row] == pytest.approx(slow["cells"][cell], abs=1e-9)
    unrecorded = sum(p for cell, p in slow["cells"].items() if cell not in shares.cells)
    assert found.unrecorded == pytest.approx(unrecorded, abs=1e-9)
    _same_marginals(twin, found, slow)
    _same_combinations(twin, found, slow)


def _dated(dice: Random) -> dict[str, dict[int, float]]:
    named = dice.sample(["l0", "l1", "l0/d0", "l1/d1", "l0//fl00", "l1//fl10"], dice.randint(0, 3))
    return {name: {1921: 2.0, 1930: dice.choice([0.5, 7.0])} for name in named}


def _same_marginals(twin: Network, found: Examination, slow: dict[str, Any]) -> None:
    """Given not outside. What is not said of a treatment is spread as the marginals say, so only those all said of."""
    shares, inside = twin.shares, 1.0 - slow["outside"]
    for line in shares.lines:
        of_line = sum(p for cell, p in slow["cells"].items() if shares.forms[cell[0]].line == line)
        at = shares.at["lines", line]
        assert found.marginals["line"][at] * inside == pytest.approx(of_line, abs=1e-9)
    for form in shares.forms:
        of_form = sum(p for cell, p in slow["cells"].items() if cell[0] == form)
        assert found.marginals["form"][shares.at["forms", form]] * inside == pytest.approx(of_form, abs=1e-9)
    if len(found.ways) > 1:
        return
    for column, part in enumerate(PARTS, start=1):
        for value in shares.values[part]:
            spread = {line: twin.spread(found.readings, line, part, value) for line in shares.lines}
            of = sum(
                p * (spread[shares.forms[c[0]].line] if c[column] is None else c[column] == value)
                for c, p in slow["cells"].items()
            )
            assert found.marginals[part][shares.at[TABLES[part], value]] * inside == pytest.approx(of, abs=1e-9)


def _same_combinations(twin: Network, found: Examination, slow: dict[str, Any]) -> None:
    """Combinations all of whose parts are said, where no treatment leaves one open that might be it."""
    lines = {line for line, parts in twin.shares.tables if None in parts}
    for cell, p in list(slow["cells"].items())[::7]:
        row = as_rows(twin.shares, cell)
        if -1 not in row and twin.shares.forms[cell[0]].line not in lines:
            assert found.probability_of(row) == pytest.approx(p, abs=1e-9)  # type: ignore[arg-type]
