"""Rows of the table: targets, verdicts, and the worst of several worlds. Answers and truths are made up."""

from dataclasses import replace

import numpy as np
import pytest
from sklearn import metrics

from footring.reasoning.calibration import table
from footring.reasoning.calibration.answers import ATTRIBUTES, joint_answers
from footring.reasoning.calibration.bootstrap import Interval, mean_interval
from footring.reasoning.calibration.footring_answers import Answered, Potted
from footring.reasoning.calibration.simulated import Oracle, Simulated
from footring.reasoning.calibration.table import Measured, measured, worst

PIECES, OUTSIDE = 240, 20
NAN = float("nan")


def made_up(seed=1):
    """The oracle is 0.1 nat ahead of us, and we are 0.9 ahead of the other: nine tenths of its 1.0 are closed."""
    random = np.random.default_rng(seed)
    outside = np.arange(PIECES) < OUTSIDE
    inside = PIECES - OUTSIDE
    log_p = -random.gamma(1.0, size=inside)
    first, right = random.uniform(0.3, 1.0, inside), random.random(inside) < 0.7
    unrecorded = ~outside & (random.random(PIECES) < 0.2)
    truth = {"outside": tuple(np.where(outside, "1", "0")), "unrecorded": tuple(np.where(unrecorded, "1", "0"))}
    padded = np.full(PIECES, NAN)
    padded[~outside] = log_p + 0.1
    oracle = {name: Oracle(padded, np.full(PIECES, NAN)) for name in ATTRIBUTES}
    chances = {"outside": outside, "unrecorded": unrecorded}
    oracle |= {name: Oracle(padded, so + random.normal(size=PIECES)) for name, so in chances.items()}
    world = Simulated(None, [[]] * PIECES, truth, oracle, np.zeros(PIECES, bool))
    of = dict.fromkeys(ATTRIBUTES, joint_answers(np.exp(log_p), first, right))
    ours = Answered(of, outside + random.normal(size=PIECES), unrecorded + random.normal(size=PIECES),
                    Potted(random.random(inside), random.random(inside) < 0.9))  # fmt: skip
    others = {"another": dict.fromkeys(ATTRIBUTES, joint_answers(np.exp(log_p - 0.9), first, ~right))}
    return world, ours, others


@pytest.fixture(scope="module")
def found():
    given = made_up()
    return given, {row.what: row for row in measured(*given, met=2000)}


def test_regret_and_the_gap_closed_by_hand(found):
    _, rows = found
    for name in ATTRIBUTES:
        assert rows[f"regret to the oracle, nat: {name}"].found == pytest.approx((0.1, 0.1, 0.1))
        assert rows[
            f"share of the gap from the best other method to the oracle closed: {name}"
        ].found.value == pytest.approx(0.9)


@pytest.mark.parametrize(("met", "targets"), [
    (2000, (0.04, 0.07, 0.20, 0.50)), (10000, (0.02, 0.05, 0.08, 0.25)), (200, (None,) * 4), (1999, (None,) * 4),
])  # fmt: skip
def test_what_regret_is_to_reach(met, targets):
    """As set for 2,000 and 10,000 pieces met; nothing for others."""
    world, ours, _ = made_up()
    assert tuple(row.most for row in table._regrets(world, ours, met)) == targets


def test_differences_are_paired(found):
    (_, ours, others), rows = found
    less = rows["log loss less than by another, nat: form"]
    assert less.found == pytest.approx((0.9, 0.9, 0.9)) and less.reached  # the same 0.9 on every piece: no spread
    more = ours.of["form"].right.astype(float) - others["another"]["form"].right
    assert rows["first answers right more than by another: form"].found == mean_interval(more)
    assert rows["log loss less than by another, nat: joint"].least is None


def test_areas_and_precision_are_those_of_scikit_learn(found):
    (world, ours, _), rows = found
    for name, score, so in (
        ("outside", ours.outside, world.outside),
        ("unrecorded", ours.unrecorded, world.unrecorded),
    ):
        ours_area, oracle = metrics.roc_auc_score(so, score), metrics.roc_auc_score(so, world.oracle[name].p)
        assert rows[f"{name}: area under the curve"].found.value == pytest.approx(ours_area)
        assert rows[f"{name}: area less than the oracle's"].found.value == pytest.approx(oracle - ours_area)
        (precision,) = (row for what, row in rows.items() if what.startswith(f"{name}: average precision"))
        assert precision.found.value == pytest.approx(metrics.average_precision_score(so, score))


def test_intervals_hold_their_figure(found):
    assert all(row.found.low - 1e-9 <= row.found.value <= row.found.high + 1e-9 for row in found[1].values())


def test_without_oracle_or_others_their_rows_are_left_out():
    world, ours, _ = made_up()
    rows = [row.what for row in measured(replace(world, oracle={}), ours, {}, met=2000)]
    assert not [what for what in rows if "oracle" in what or "less than by" in what]
    assert {what.split(":")[0] for what in rows} == {
        "calibration error of the first answer",
        "potted",
        "outside",
        "unrecorded",
    }


def test_pieces_that_are_all_from_outside_leave_what_tells_them_apart():
    world, ours, others = made_up()
    only = world.outside
    rows = measured(world.only(only), ours.only(only, ~world.outside), others, met=2000)
    assert {row.what.split(":")[0] for row in rows} == {"outside", "unrecorded"}
    assert rows[0].reached is None and np.isnan(rows[0].found.value)


def figure(value, low=None, high=None, **target):
    return Measured("row", Interval(value, value if low is None else low, value if high is None else high), **target)


@pytest.mark.parametrize(
    ("row", "reached", "short"),
    [
        (figure(0.03, most=0.04), True, -0.01),
        (figure(0.05, most=0.04), False, 0.01),
        (figure(0.04, most=0.04), True, 0.0),
        (figure(0.6, least=0.7), False, 0.1),
        (figure(0.9, least=0.88, most=0.93), True, -0.02),
        (figure(0.95, least=0.88, most=0.93), False, 0.02),
        (figure(0.85, least=0.88, most=0.93), False, 0.03),
        (figure(0.2, low=-0.1, least=0.0, beyond_chance=True), False, 0.1),
        (figure(0.2, low=0.1, least=0.0, beyond_chance=True), True, -0.1),
        (figure(0.2, low=0.0, least=0.0, beyond_chance=True), False, 0.0),
        (figure(0.2), None, NAN),
        (figure(NAN, most=0.03), None, NAN),
    ],
)
def test_whether_a_target_is_reached_and_by_how_much_not(row, reached, short):
    assert row.reached is reached
    assert row.short_of == pytest.approx(short, nan_ok=True)


def test_the_worst_of_several_worlds():
    worlds = [
        [replace(figure(0.03, most=0.04), what="regret"), replace(figure(0.8), what="area"), replace(figure(0.9, least=0.88, most=0.93), what="held"), replace(figure(0.2), what="precision (2 % are so)")],
        [replace(figure(0.05, most=0.04), what="regret"), replace(figure(0.7), what="area"), replace(figure(0.94, least=0.88, most=0.93), what="held"), replace(figure(0.1), what="precision (1 % are so)")],
        [replace(figure(NAN, most=0.04), what="regret"), replace(figure(NAN), what="area"), replace(figure(0.92, least=0.88, most=0.93), what="held")],
    ]  # fmt: skip
    for order in ([0, 1, 2], [2, 1, 0], [1, 2, 0]):
        found = {row.what.split(" (")[0]: row.found.value for row in worst([worlds[k] for k in order])}
        assert found == {"regret": 0.05, "area": 0.7, "held": 0.94, "precision": 0.1}


def test_of_two_losses_without_a_target_the_greater_is_the_worse():
    rows = [replace(figure(value, less_is_better=True), what="regret") for value in (0.1, 0.3, 0.2)]
    assert worst([[row] for row in rows])[0].found.value == 0.3
