"""Decoration numbers, and figures that may be one."""

import itertools

import numpy as np
import pytest

from footring.reasoning.channels.codes import Codes, Figure, as_another_kind, chances
from footring.reasoning.channels.lettering import LETTERS
from footring.reasoning.channels.rates import Rates

CODES = Codes(["417", "3/417", "1180", "417 M"], Rates())


def test_lookalikes_are_nearer_and_signs_between_cost_nothing():
    assert CODES.p("4I7")[0] > 3 * CODES.p("4W7")[0]
    assert CODES.p("3-417").argmax() == 1 and CODES.p("417m").argmax() == 3


def test_a_number_sums_to_one():
    """Over all short readings; what is left are longer ones and other characters."""
    total, new = np.zeros(4), 0.0
    for n in (1, 2):
        for read in map("".join, itertools.product(LETTERS, repeat=n)):
            total += CODES.p(read)
            new += CODES.new(read)
    short = Codes(["4", "7", "1", "8"], Rates())
    rows = sum(short.p("".join(s)) for n in (1, 2) for s in itertools.product(LETTERS, repeat=n))
    assert (rows < 1.001).all() and rows == pytest.approx(np.ones(4), abs=0.06)
    assert (total < 1).all() and new < 1


def test_other_figures_sum_to_what_they_are():
    """Figures of digits only, of up to five digits, and the rest in one sum: 1 less the share of decoration numbers."""
    kinds = chances(Figure(technique="impressed"), 0.1)
    digits = sum(10**n * as_another_kind("1" * n, kinds, 0.0) for n in range(1, 30))
    generic = as_another_kind("A7", kinds, 1.0)
    assert digits + generic == pytest.approx(1.0 - kinds["decoration"])


def test_unreadable_digits_are_summed_out():
    kinds = chances(Figure(), 0.1)
    each = sum(as_another_kind(f"4{d}", kinds, 0.0) for d in range(10))
    assert as_another_kind("4?", kinds, 0.0) == pytest.approx(each)
    ends = sum(10**n * as_another_kind("4" + "1" * n, kinds, 0.0) for n in range(30))
    assert as_another_kind("4...", kinds, 0.0) == pytest.approx(ends)


def test_what_was_said_of_a_figure():
    assert chances(Figure(kind="mould"), 0.1)["mould"] > 0.9
    assert (
        chances(Figure(technique="impressed"), 0.1)["decoration"]
        < chances(Figure(technique="painted"), 0.1)["decoration"]
    )
    assert sum(
        chances(Figure(technique="painted", colour="gold", place="base", kind="date"), 0.1).values()
    ) == pytest.approx(1)
