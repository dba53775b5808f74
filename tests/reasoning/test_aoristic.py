from __future__ import annotations

import csv
import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.reasoning.aoristic import aoristic_sum
from footring.terms.errors import BadInput

PUBLISHED = Path(__file__).parents[1] / "published"


def read(name):
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


@pytest.mark.parametrize(("example", "group"), [("spans4", ""), ("spans10", "A"), ("spans10", "B")])
def test_published_sums(example, group):
    """Tests of the package kairos; the four spans are there after Palmisano et al. 2017."""
    blocks = [row for row in read("aoristic_blocks.csv") if (row["example"], row["group"]) == (example, group)]
    spans = [
        (float(row["from"]), float(row["to"]))
        for row in read("aoristic_spans.csv")
        if (row["example"], row["group"]) == (example, group)
    ]
    edges = [float(row["block_start"]) for row in blocks] + [float(blocks[-1]["block_end"])]
    found = aoristic_sum(spans, edges)
    assert found.weighted == pytest.approx([float(row["weighted"]) for row in blocks], abs=5e-5)
    assert found.weighted == pytest.approx([float(row["exact"]) for row in blocks], abs=1e-6)
    if example == "spans4":
        assert found.raw.tolist() == [int(row["raw"]) for row in blocks]
    assert found.outside == 0


def test_the_second_copy_of_the_four_spans():
    case = json.loads((PUBLISHED / "dating.json").read_text())["aoristic"]
    found = aoristic_sum(case["spans"], case["edges"])
    assert found.weighted == pytest.approx(case["weighted"], abs=1e-12)
    assert found.raw.tolist() == case["raw"]


spans = st.lists(
    st.tuples(st.integers(1850, 1950), st.integers(0, 60)).map(lambda s: (s[0], s[0] + s[1])), min_size=1, max_size=8
)


@given(spans, st.lists(st.floats(0, 5), min_size=8, max_size=8))
def test_no_weight_is_lost(found_spans, weights):
    each = weights[: len(found_spans)]
    found = aoristic_sum(found_spans, range(1880, 1961, 10), each)
    assert found.weighted.sum() + found.outside == pytest.approx(sum(each))


@given(spans)
def test_agrees_with_cutting_each_span_into_hundredths(found_spans):
    edges = np.arange(1880, 1961, 8)
    slow = np.zeros(len(edges) - 1)
    for begin, end in found_spans:
        middles = begin + (np.arange(6000) + 0.5) / 6000 * (end - begin)
        slow += np.histogram(middles, edges)[0] / 6000
    assert np.allclose(aoristic_sum(found_spans, edges).weighted, slow, atol=0.01)


def test_a_span_without_length_lies_in_one_block():
    found = aoristic_sum([[1900, 1900], [1910, 1910], [1905, 1905]], [1900, 1905, 1910])
    assert found.weighted.tolist() == [1, 2]
    assert found.raw.tolist() == [1, 2]


def test_weights_count_pieces_and_zero_is_not_there():
    found = aoristic_sum([[1900, 1910], [1900, 1905]], [1900, 1905, 1910], [4, 0])
    assert found.weighted.tolist() == [2, 2]
    assert found.raw.tolist() == [1, 1]


def test_no_spans_give_zeros():
    assert aoristic_sum([], [1900, 1910]).weighted.tolist() == [0]


@pytest.mark.parametrize(
    ("found_spans", "edges", "weights", "says"),
    [
        ([[1910, 1900]], [1900, 1910], None, r"span 0 ends \(1900\) before it begins \(1910\)"),
        ([1900, 1910], [1900, 1910], None, "pairs of begin and end"),
        ([[1900, np.nan]], [1900, 1910], None, "pairs of begin and end"),
        ([[1900, 1910]], [1910, 1900], None, "each later than the one before"),
        ([[1900, 1910]], [1900], None, "two years or more"),
        ([[1900, 1910]], [1900, 1910], [-1], "zero or more, for each of the 1 spans"),
        ([[1900, 1910]], [1900, 1910], [1, 2], "for each of the 1 spans"),
    ],
)
def test_bad_input_is_named(found_spans, edges, weights, says):
    with pytest.raises(BadInput, match=says):
        aoristic_sum(found_spans, edges, weights)
