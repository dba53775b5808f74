"""Shares of marks against slow twins, by hand, and by what must always hold."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from footring.reasoning.mark_counts import mark_counts
from footring.reasoning.mark_fit import fitted_weights, normalised
from footring.reasoning.marks_in_use import compile_marks
from footring.reference import compile_reference
from footring.rows.collection import Attribution, Channel, Encounter, Piece, Reading
from footring.rows.reference_things import Form, Line, Maker, Mark
from footring.rows.statements import MarkUse

YEARS = np.arange(1900, 1970)


def world(pieces=(), marks=None, uses=None, readings=(), selected=()):
    """Two lines of one maker and a line of another; `pieces` are (line, form, in clay, printed)."""
    ids = [f"p{i}" for i in range(len(pieces))]
    return {
        "makers": [Maker("q", name="Quillow & Tarn", active="1904/1968"), Maker("b", name="Other", active="1904/1968")],
        "lines": [Line("o", maker="q", name="Ormsley"), Line("w", maker="q", name="Wherry"), Line("x", maker="b", name="X")],
        "forms": [Form("jug", line="o", name="Jug"), Form("cup", line="o", name="Cup"), Form("dish", line="w", name="Dish")],
        "marks": MARKS if marks is None else marks,
        "mark_uses": USES if uses is None else uses,
        "channels": [Channel("lots", name="lots", selected=False), Channel("shelf", name="shelf", selected=True)],
        "pieces": [Piece(i) for i in ids],
        "encounters": [Encounter(f"e{i}", piece=i, channel="shelf" if i in selected else "lots") for i in ids],
        "attributions": [
            Attribution(f"a{i}", piece=i, line=line, form=form, mark_in_clay=clay, mark_printed=top, weight=1.0, basis="confirmed")
            for i, (line, form, clay, top) in zip(ids, pieces, strict=True)
        ],
        "readings": list(readings),
    }  # fmt: skip


MARKS = [
    Mark("plain", maker="q", lettering="QUILLOW & TARN", technique="impressed"),
    Mark("early", maker="q", lettering="QUILLOW", technique="printed"),
    Mark("late", maker="q", lettering="QUILLOW / ENGLAND", technique="printed"),
    Mark("own", maker="q", lettering="WHERRY", technique="printed"),
    Mark("jug", maker="q", lettering="JUG", technique="stamped"),
    Mark("either", maker="q", lettering="Q T"),
    Mark("far", maker="b", lettering="FAR", technique="printed"),
]
USES = [
    MarkUse("u1", mark="plain", used="1904/1921~"),
    MarkUse("u2", mark="early", used="1904/1921"),
    MarkUse("u3", mark="late", used="1921/1968"),
    MarkUse("u4", mark="own", line="w", used="1930/1940"),
    MarkUse("u5", mark="jug", line="o", form="jug", used="1925/1935"),
    MarkUse("u6", mark="jug", line="o", form="jug", used="1950~"),
]
PIECES = [
    ("o", "cup", "plain", None), ("o", "cup", None, "late"), ("o", "jug", None, "jug"), ("o", "jug", None, "late"),
    ("w", "dish", None, "own"), ("w", None, None, "late"), ("w", "dish", None, "own"), ("w", "dish", "plain", "early"),
]  # fmt: skip


def compiled(tables, **named):
    return compile_marks(compile_reference(tables), YEARS, **named)


def sides(marks):
    return marks.in_clay, marks.printed


def share_of(side, group, mark):
    """p(mark | group, year), maker's marks included: a dense row, the slow way."""
    found = np.zeros(side.none.shape[1])
    for i in range(len(side.pair_mark)):
        if (side.pair_group[i], side.pair_mark[i]) == (group, mark):
            found = found + side.share[i]
    for i in range(len(side.maker_pair_mark)):
        if (side.maker_pair_maker[i], side.maker_pair_mark[i]) == (side.group_maker[group], mark):
            found = found + side.other[group] * side.maker_share[i]
    return found


@pytest.mark.parametrize("pieces", [(), PIECES, PIECES * 20])
def test_shares_sum_to_one_in_every_year(pieces):
    for side in sides(compiled(world(pieces))):
        for group in range(len(side.none)):
            total = sum(share_of(side, group, mark) for mark in range(side.marks)) + side.none[group] + side.new[group]
            assert total == pytest.approx(1, abs=1e-12)
        assert min(side.share.min(initial=1), side.none.min(), side.new.min()) > 0


def test_likelihood_and_posterior_are_what_a_loop_over_marks_gives():
    rng = np.random.default_rng(5)
    for side in sides(compiled(world(PIECES))):
        log, none, new = rng.normal(-3, 2, side.marks), -2.0, -4.0
        code = {1: rng.random(len(YEARS)), 3: rng.random(len(YEARS))}
        said = {"by_year": code, "else_by_year": 0.3, "new_by_year": rng.random(len(YEARS))}
        weights = rng.random(side.none.shape)
        slow = side.none * np.exp(none) * 0.3 + side.new * np.exp(new) * said["new_by_year"]
        mass = np.zeros(side.marks + 2)
        mass[-2:] = (
            (weights * side.none).sum() * np.exp(none) * 0.3,
            (weights * side.new * said["new_by_year"]).sum() * np.exp(new),
        )
        for group in range(len(slow)):
            for mark in range(side.marks):
                of_mark = share_of(side, group, mark) * np.exp(log[mark]) * code.get(mark, 0.3)
                slow[group] += of_mark
                mass[mark] += (weights[group] * of_mark).sum()
        fast = side.likelihood(log, none, new, **said)
        assert fast == pytest.approx(slow, rel=1e-12)
        posterior = side.mark_posterior(weights, log, none, new, **said)
        assert posterior == pytest.approx(mass, rel=1e-12)
        assert posterior.sum() == pytest.approx((weights * fast).sum(), rel=1e-12)


def test_nothing_read_says_nothing():
    for side in sides(compiled(world(PIECES))):
        assert side.likelihood(np.zeros(side.marks), 0.0, 0.0) == pytest.approx(1, abs=1e-12)


def shuffled(tables, order):
    return {name: [rows[i] for i in order(name, len(rows))] for name, rows in tables.items()}


def by_id(tables):
    reference = compile_reference(tables)
    marks = compile_marks(reference, YEARS)
    find = {name: {row.id: i for i, row in enumerate(reference.tables[name].rows.rows())} for name in tables}
    groups = find["lines"] | {form: marks.group_of_form[i] for form, i in find["forms"].items()}
    return {
        (k, group, mark): share_of(side, at, row)
        for k, side in enumerate(sides(marks)) for group, at in groups.items() for mark, row in find["marks"].items()
    } | {(k, group, what): getattr(side, what)[at]
         for k, side in enumerate(sides(marks)) for group, at in groups.items() for what in ("none", "new")}  # fmt: skip


@settings(max_examples=15, deadline=None)
@given(st.randoms(use_true_random=False))
def test_the_order_of_rows_changes_nothing(random):
    def order(name, length):
        return random.sample(range(length), length)

    plain, mixed = by_id(world(PIECES)), by_id(shuffled(world(PIECES), order))
    assert plain.keys() == mixed.keys()
    for key, share in plain.items():
        assert mixed[key] == pytest.approx(share, rel=1e-9, abs=1e-15)


@pytest.mark.parametrize("words", ["MADE IN OCCUPIED JAPAN", "QUILLOW / 1951", "WHERRY / MADE IN ENGLAND"])
def test_a_recorded_window_enters_once_whatever_the_lettering_would_say(words):
    plain = compiled(world(PIECES)).printed
    worded = compiled(
        world(PIECES, marks=[replace(m, lettering=words) if m.id in ("own", "late") else m for m in MARKS])
    )
    assert np.array_equal(worded.printed.share, plain.share)
    assert np.array_equal(worded.printed.maker_share, plain.maker_share)


def test_a_mark_is_met_inside_its_window_and_hardly_outside():
    side = compiled(world(PIECES)).printed
    own = share_of(side, 1, 3)
    inside = own[(YEARS >= 1930) & (YEARS <= 1940)]
    assert inside.min() > 20 * own[YEARS == 1950][0] > 0
    assert own[YEARS == 1941][0] > own[YEARS == 1950][0]


def test_a_form_with_uses_of_its_own_has_a_group_and_leans_on_its_line():
    marks = compiled(world(PIECES))
    assert marks.group_of_form.tolist() == [3, 0, 1] and marks.group_of_line.tolist() == [0, 1, 2]
    at = YEARS == 1930
    jug, cup = share_of(marks.printed, 3, 4)[at], share_of(marks.printed, 0, 4)[at]
    assert jug[0] > 5 * cup[0] > 0
    assert share_of(marks.printed, 3, 2)[at][0] > 0.05


def test_a_mark_of_one_line_is_an_exception_on_another_and_another_makers_is_not_met():
    side = compiled(world(PIECES)).printed
    at = YEARS == 1935
    assert share_of(side, 1, 3)[at][0] > 5 * share_of(side, 0, 3)[at][0] > 0
    assert (share_of(side, 0, 6) == 0).all() and (share_of(side, 2, 6) > 0).all()


def test_more_pieces_of_a_mark_raise_its_share():
    few, many = (compiled(world([*PIECES, *[("w", "dish", None, "own")] * n])).printed for n in (0, 10))
    at = YEARS == 1935
    assert share_of(many, 1, 3)[at][0] > share_of(few, 1, 3)[at][0]


def test_a_mark_of_unknown_technique_may_be_either_until_a_piece_says():
    clay, printed = sides(compiled(world()))
    assert all(share_of(side, 0, 5).min() > 0 for side in (clay, printed))
    told = compiled(world([("o", "cup", "either", None)] * 30))
    assert share_of(told.in_clay, 0, 5).mean() > 10 * share_of(told.printed, 0, 5).mean()


def test_chosen_pieces_prove_existence_and_no_more():
    pieces = [("x", None, None, "early")] * 40
    chosen = compiled(world(pieces, selected={f"p{i}" for i in range(40)})).printed
    met = compiled(world(pieces)).printed
    at = YEARS == 1910
    assert 0 < share_of(chosen, 2, 1)[at][0] < share_of(met, 2, 1)[at][0]
    one = compiled(world(pieces[:1], selected={"p0"})).printed
    assert share_of(one, 2, 1) == pytest.approx(share_of(chosen, 2, 1))


def test_leaving_a_piece_out_equals_compiling_without_it():
    without = compiled(world(PIECES), without_piece="p7")
    never = compiled(world(PIECES[:7]))
    for one, other in zip(sides(without), sides(never), strict=True):
        assert one.none == pytest.approx(other.none)
        assert np.array_equal(one.pair_mark, other.pair_mark) and one.share == pytest.approx(other.share)


def test_an_empty_reference_still_says_none_or_new():
    marks = compile_marks(compile_reference({}), YEARS)
    assert all(len(side.none) == 0 and side.likelihood(np.zeros(0), 0, 0).shape == (0, 70) for side in sides(marks))
    alone = compiled(world(marks=[], uses=[])).printed
    assert alone.none + alone.new == pytest.approx(1)


# --- the fit


def test_fitted_weights_give_back_the_totals():
    rng = np.random.default_rng(2)
    group = np.repeat([0, 1, 2], [4, 3, 5])
    height, target = rng.uniform(0.05, 1, (12, 30)), rng.uniform(0.1, 1, 12)
    target /= np.bincount(group, target)[group]
    years = rng.dirichlet(np.ones(30), 3)
    weight = fitted_weights(height, group, target, years, np.ones(3))
    assert (normalised(weight, height, group) * years[group]).sum(axis=1) == pytest.approx(target, abs=2e-4)


def test_fitted_weights_are_the_likeliest_of_the_choice_model():
    """Against scipy.optimize on the log likelihood of a choice among what is in use in each year."""
    rng = np.random.default_rng(3)
    height, target, years = rng.uniform(0.2, 1, (4, 12)), np.array([0.4, 0.3, 0.2, 0.1]), rng.dirichlet(np.ones(12))

    def loss(log):
        return (years * np.log(np.exp(log) @ height)).sum() - target @ log

    best = np.exp(minimize(loss, np.zeros(4), tol=1e-14).x)
    found = fitted_weights(height, np.zeros(4, int), target, years[None], np.ones(1))
    assert found == pytest.approx(best / best.sum(), abs=1e-4)


def test_totals_that_nobody_counted_are_the_weights():
    target = np.array([0.7, 0.3])
    height = np.array([[1.0, 0.1], [0.1, 1.0]])
    assert fitted_weights(height, np.zeros(2, int), target, np.full((1, 2), 0.5), np.zeros(1)) == pytest.approx(target)


# --- none


def foot(piece, *values, kinds=()):
    names = ["mark", *(f"mark.{i}" for i in range(2, 9))]
    marks = [
        Reading(f"{piece}{name}", piece=piece, name=name, value=value, absent=value is None)
        for name, value in zip(names, values, strict=False)
    ]
    return marks + [
        Reading(f"{piece}{name}k", piece=piece, name=name.replace("mark", "mark_kind"), value=kind)
        for name, kind in zip(names, kinds, strict=False)
    ]


@pytest.mark.parametrize(
    ("readings", "none", "marked"),
    [
        ([], 0, 0),
        (foot("p0", None), 1, 0),
        (foot("p0", None, kinds=["impressed"]), 1, 0),
        (foot("p0", "Q", kinds=["raised"]), 0, 1),
        (foot("p0", "Q", kinds=["printed"]), 1, 0),
        (foot("p0", "Q", None, kinds=["printed", "incised"]), 1, 0),
    ],
)
def test_what_a_foot_says_of_marks_in_the_clay_that_nobody_named(readings, none, marked):
    found = mark_counts(compile_reference(world([("o", "cup", None, None)], readings=readings)), "mark_in_clay")
    assert (found.none.tolist(), found.marked.tolist()) == ([none], [marked])


def test_marks_neither_read_nor_named_are_reckoned_from_those_that_are():
    """Capture and recapture: half of the marks are read, half named, so a quarter is neither."""
    kinds = [("plain", "impressed"), ("plain", None), (None, "impressed"), (None, "printed")]
    pieces, readings = [], []
    for i, (mark, kind) in enumerate(kinds * 10 + [(None, "printed")] * 30):
        pieces.append(("o", "cup", mark, None))
        readings += foot(f"p{i}", "Q", kinds=[kind]) if kind else foot(f"p{i}", "Q")
    found = mark_counts(compile_reference(world(pieces, readings=readings)), "mark_in_clay")
    assert found.none.sum() == pytest.approx(30)
    assert found.marked.sum() == 30


def test_pieces_found_without_a_mark_raise_the_share_of_none():
    pieces = [("o", "cup", None, None)] * 20
    plain = compiled(world(pieces)).printed.none[0]
    bare = compiled(world(pieces, readings=[r for i in range(20) for r in foot(f"p{i}", None)])).printed.none[0]
    assert (bare > plain).all()
