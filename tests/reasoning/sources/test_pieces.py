"""Counting pieces by what is known of them, against a loop; and what is read off them."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from footring.packs import load_pack
from footring.reasoning.sources.pieces import FIELDS, OLD_STOCK_YEARS, Pieces, joint_keys, pieces_of
from footring.reference import compile_reference, extend
from footring.rows.collection import Correction, Reading
from tests.house import PACKAGE
from tests.reasoning.source_worlds import compiled, frame, piece

WIDE = arrays(np.int64, st.tuples(st.integers(0, 8), st.just(len(FIELDS))), elements=st.integers(-1, 1))


@st.composite
def observed(draw):
    known = draw(WIDE)
    year = st.integers(1900, 1906) | st.none()
    first = [draw(year) for _ in known]
    last = [None if y is None else y + draw(st.integers(0, 3)) for y in first]
    weight = [draw(st.sampled_from([1.0, 0.5])) for _ in known]
    asfloat = lambda years: np.array([np.nan if y is None else y for y in years], float)  # noqa: E731
    return Pieces(known, np.array(weight), asfloat(first), asfloat(last), {})


def fits(known, pattern):
    return all(asked < 0 or has == asked for has, asked in zip(known, pattern, strict=True))


@given(observed(), WIDE)
def test_counts_are_those_of_a_loop(pieces, patterns):
    count, with_trim = pieces.count(patterns), pieces.count(patterns, "trim")
    trim = FIELDS.index("trim")
    for i, pattern in enumerate(patterns):
        ours = [k for k in range(len(pieces.known)) if fits(pieces.known[k], pattern)]
        assert count[i] == sum(pieces.weight[k] for k in ours)
        assert with_trim[i] == sum(pieces.weight[k] for k in ours if pieces.known[k, trim] >= 0)


@given(observed(), WIDE, st.integers(1898, 1908), st.integers(0, 4) | st.just(np.inf))
def test_dated_pieces_are_those_of_a_loop(pieces, patterns, first, years):
    last = first + years
    inside, outside = pieces.dated(patterns, np.full(len(patterns), float(first)), np.full(len(patterns), last))
    for i, pattern in enumerate(patterns):
        dated = [k for k in range(len(pieces.known)) if fits(pieces.known[k], pattern) and pieces.first[k] > 0]
        out = [k for k in dated if pieces.last[k] < first - OLD_STOCK_YEARS or pieces.first[k] > last + OLD_STOCK_YEARS]
        assert outside[i] == sum(pieces.weight[k] for k in out)
        assert inside[i] == sum(pieces.weight[k] for k in dated if k not in out)


@given(st.lists(st.lists(st.integers(0, 2**31 - 1), min_size=4, max_size=4), min_size=1, max_size=6))
def test_keys_tell_wide_rows_apart(rows):
    ours, theirs = joint_keys(np.array(rows), np.array(rows))
    assert ours.tolist() == theirs.tolist()
    assert len(set(ours.tolist())) == len({tuple(row) for row in rows})


def test_a_number_read_and_its_correction():
    world = frame()
    piece(world, 1, 0)
    wrong = compiled(world)
    world["corrections"] = [Correction("k", reading="r.0", value="104")]
    codes = pieces_of(wrong).codes
    assert pieces_of(wrong).known[0, -1] == codes["101"]
    assert pieces_of(compiled(world)).known[0, -1] == codes["104"]


def test_two_readings_that_differ_and_doubtful_ones_are_left_out():
    world = frame()
    piece(world, 1, 0)
    world["readings"].append(Reading("again", piece="p.0", name="number", value="102"))
    assert pieces_of(compiled(world)).known[0, -1] == -1
    world["readings"][-1] = replace(world["readings"][-1], sure=0.3)
    found = pieces_of(compiled(world))
    assert found.known[0, -1] == found.codes["101"]


def test_a_lids_number_is_not_the_bases():
    world = frame()
    piece(world, 1, 0)
    world["readings"] = [replace(world["readings"][0], name="lid.number")]
    assert pieces_of(compiled(world)).known[0, -1] == -1


def test_a_date_code_is_read_by_the_scheme_of_the_mark():
    tables = load_pack(PACKAGE / "demo" / "pack").tables
    code = Reading("code", piece="ossel.piece-1", name="date_code", value="C4")
    found = pieces_of(extend(compile_reference(tables), {"readings": [code]}))
    assert found.first[~np.isnan(found.first)].tolist() == [1934.0]
    assert found.last[~np.isnan(found.last)].tolist() == [1934.0]


def test_parts_of_one_piece_share_its_weight():
    world = frame()
    piece(world, 1, 0)
    world["attributions"].append(replace(world["attributions"][0], id="lid"))
    assert pieces_of(compiled(world)).weight.tolist() == [0.5, 0.5]
