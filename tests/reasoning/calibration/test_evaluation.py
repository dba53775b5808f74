"""A tiny factory evaluated as a whole, beside its answers one by one."""

import numpy as np
import pytest

from footring.reasoning.calibration import evaluation
from footring.reasoning.calibration.answers import ATTRIBUTES, truths
from footring.reasoning.calibration.evaluation import ORACLE, OURS, evaluate
from footring.reasoning.calibration.footring_answers import answer
from footring.reasoning.calibration.log_loss import log_loss
from footring.reasoning.calibration.simulated import JOINT
from footring.reasoning.calibration.tell import tell
from footring.reasoning.date_marginals import piece_dates
from footring.reasoning.examination import examine_part
from footring.reasoning.learn import learn
from footring.reasoning.model import compile_model

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def model(world):
    return compile_model(world.reference, learn(world.reference))


@pytest.fixture(scope="module")
def ours(world, model):
    return answer(world, model)


@pytest.fixture(scope="module")
def found(world, ours, model):
    """Evaluated with the answers at hand: learning and examining once is enough for all these tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(evaluation, "learn", lambda _: None)
        patch.setattr(evaluation, "compile_model", lambda *_: model)
        patch.setattr(evaluation, "answer", lambda *_: ours)
        steps = []
        return evaluate(world, lambda what, *_: steps.append(what)), steps


def test_answers_are_those_of_examining_each_piece(world, model, ours):
    truth, inside = truths(world), np.flatnonzero(~world.outside)
    for k, i in enumerate(inside[:12].tolist()):
        examined = examine_part(model, world.readings[i])
        assert ours.outside[i] == examined.outside and ours.unrecorded[i] == examined.unrecorded
        for name in ("line", "form", "decoration"):
            p, of = examined.marginals[name], truth[k, JOINT.index(name)]
            assert np.exp(ours.of[name].log_p[k]) == pytest.approx(p[of])
            assert ours.of[name].right[k] == (p.argmax() == of) and ours.of[name].first_p[k] == pytest.approx(p.max())
        whole = examined.probability_of(tuple(truth[k].tolist())) / (1 - examined.outside)
        assert np.exp(ours.of["joint"].log_p[k]) == pytest.approx(whole)


def test_years_are_judged_by_the_density_of_each_piece(world, model, ours):
    inside = np.flatnonzero(~world.outside)
    for k, i in enumerate(inside[:12].tolist()):
        of, year = piece_dates(examine_part(model, world.readings[i]))["potted"], int(world.truth["potted"][i])
        below = of.density[of.years < year].sum()
        assert below - 1e-9 <= ours.potted.pit[k] <= below + of.density[of.years == year].sum() + 1e-9
        assert ours.potted.covered[k] == any(first <= year <= last for first, last in of.intervals[90])


def test_the_joint_answer_is_right_only_where_its_parts_are(ours):
    assert (ours.of["joint"].first_p <= ours.of["form"].first_p + 1e-9).all()
    assert ours.of["joint"].right.sum() <= ours.of["line"].right.sum()


def test_both_sets_are_judged_and_only_one_has_an_oracle(world, ours, found):
    evaluated, _ = found
    plain, selected = evaluated.plain, evaluated.selected
    assert (evaluated.met, plain.pieces, selected.pieces) == (60, 30, 6)
    assert plain.outside + selected.outside == world.outside.sum()
    assert list(plain.losses) == [*plain.first, ORACLE] and list(selected.losses) == list(selected.first) == list(
        plain.first
    )
    assert not [row.what for row in selected.rows if "oracle" in row.what]
    inside = ~world.outside
    for judged, which in ((plain, ~world.selected), (selected, world.selected)):
        for name in ATTRIBUTES:
            of = ours.of[name].only(which[inside])
            assert judged.losses[OURS][name] == pytest.approx(log_loss(of.log_p))
            assert judged.first[OURS][name] == pytest.approx(of.right.mean())
    assert plain.losses[ORACLE]["form"] == pytest.approx(-world.oracle["form"].log_p[inside & ~world.selected].mean())


def test_regret_in_the_table_is_the_difference_of_the_losses(found):
    plain = found[0].plain
    rows = {row.what: row.found.value for row in plain.rows}
    for name in ATTRIBUTES:
        regret = plain.losses[OURS][name] - plain.losses[ORACLE][name]
        assert rows[f"regret to the oracle, nat: {name}"] == pytest.approx(regret)
        less = plain.losses["CategoricalNB"][name] - plain.losses[OURS][name]
        assert rows[f"log loss less than by CategoricalNB, nat: {name}"] == pytest.approx(less)


def test_what_is_done_is_told(found):
    _, steps = found
    assert (steps[0], steps[1], steps[-1]) == ("learning", "comparing with counting matches", "measuring")


def test_without_selected_pieces_nothing_is_said_of_them(world, ours, model, monkeypatch):
    plain = world.only(~world.selected)
    monkeypatch.setattr(evaluation, "learn", lambda _: None)
    monkeypatch.setattr(evaluation, "compile_model", lambda *_: model)
    monkeypatch.setattr(evaluation, "answer", lambda *_: ours.only(~world.selected, ~world.outside))
    monkeypatch.setattr(evaluation, "compare", lambda *_: {})
    found = evaluate(plain)
    assert found.selected is None and "somebody chose" not in tell(found)
    assert list(found.plain.losses) == [OURS, ORACLE]


def test_pieces_that_are_all_from_outside(world, model, monkeypatch):
    monkeypatch.setattr(evaluation, "learn", lambda _: None)
    monkeypatch.setattr(evaluation, "compile_model", lambda *_: model)
    outside = world.only(world.outside & ~world.selected)
    found = evaluate(outside).plain
    assert found.pieces == found.outside == len(outside) > 0
    assert found.losses == found.first == {}
    assert {row.what.split(":")[0] for row in found.rows} == {"outside", "unrecorded"}
