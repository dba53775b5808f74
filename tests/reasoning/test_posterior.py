"""The posterior against a slow twin that weighs every combination there is, one at a time."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.marks.readings import Reading
from footring.reasoning.examination import examine_part
from footring.reasoning.model import compile_model
from footring.reference import compile_reference
from tests.reasoning.network_twin import Network
from tests.reasoning.small_worlds import small_world, some_readings
from tests.reasoning.twin_shares import as_rows


@settings(max_examples=30, deadline=None)
@given(dice=st.randoms(use_true_random=False))
def test_every_combination_weighed_one_at_a_time_gives_the_same(dice: Random) -> None:
    tables = small_world(dice)
    model = compile_model(compile_reference(tables))
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
