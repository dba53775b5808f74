"""Each score beside scikit-learn or scipy (reference libraries), or beside a slow twin written out plainly."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats
from sklearn import metrics

from footring.reasoning.calibration.auroc import auroc
from footring.reasoning.calibration.average_precision import average_precision
from footring.reasoning.calibration.calibration_error import calibration_error
from footring.reasoning.calibration.coverage import covered
from footring.reasoning.calibration.flatness import flatness
from footring.reasoning.calibration.log_loss import log_loss, regret
from footring.reasoning.calibration.pit import randomised_pit, year_pit
from footring.reasoning.intervals import highest_density_set
from footring.terms.errors import BadInput

scored = st.lists(st.tuples(st.integers(0, 9).map(lambda k: k / 9), st.booleans()), min_size=1, max_size=40)


def apart(pairs):
    return np.array([p for p, _ in pairs]), np.array([so for _, so in pairs])


@given(scored)
def test_auroc_is_that_of_scikit_learn_and_of_counting_pairs(pairs):
    score, so = apart(pairs)
    if so.all() or not so.any():
        assert np.isnan(auroc(score, so))
        return
    wins = [(yes > no) + (yes == no) / 2 for yes in score[so] for no in score[~so]]
    assert auroc(score, so) == pytest.approx(metrics.roc_auc_score(so, score), abs=1e-12)
    assert auroc(score, so) == pytest.approx(np.mean(wins), abs=1e-12)


@given(scored)
def test_average_precision_is_that_of_scikit_learn(pairs):
    score, so = apart(pairs)
    if not so.any():
        assert np.isnan(average_precision(score, so))
        return
    assert average_precision(score, so) == pytest.approx(metrics.average_precision_score(so, score), abs=1e-12)


def test_log_loss_is_that_of_scikit_learn():
    random = np.random.default_rng(3)
    p = random.dirichlet(np.ones(6), 50)
    truth = random.integers(0, 6, 50)
    given_to_truth = np.log(p[np.arange(50), truth])
    assert log_loss(given_to_truth) == pytest.approx(metrics.log_loss(truth, p, labels=range(6)), abs=1e-12)


def test_regret_is_the_divergence_where_the_oracle_knows_everything():
    """Kullback-Leibler divergence by scipy.stats.entropy (reference library)."""
    random = np.random.default_rng(4)
    knows, thinks = random.dirichlet(np.ones(5)), random.dirichlet(np.ones(5))
    drawn = random.choice(5, 200_000, p=knows)
    found = regret(np.log(thinks[drawn]), np.log(knows[drawn]))
    assert found.mean() == pytest.approx(stats.entropy(knows, thinks), abs=4 * found.std() / np.sqrt(len(found)))
    assert regret(np.log(knows[drawn]), np.log(knows[drawn])).max() == 0


def calibration_twin(p, right, bins):
    total = 0.0
    for k in range(bins):
        inside = [i for i in range(len(p)) if k / bins < p[i] <= (k + 1) / bins or (k == 0 and p[i] == 0)]
        if inside:
            total += len(inside) / len(p) * abs(np.mean([right[i] for i in inside]) - np.mean([p[i] for i in inside]))
    return total


@given(st.lists(st.tuples(st.floats(0, 1), st.booleans()), min_size=1, max_size=60), st.integers(1, 20))
def test_calibration_error_bin_by_bin(pairs, bins):
    p, right = apart(pairs)
    edges = np.arange(bins + 1) / bins
    if np.abs(p[:, None] - edges).min() < 1e-9 and not np.isin(p, (0.0, 1.0)).all():
        return  # on an edge either bin will do
    assert calibration_error(p, right, bins) == pytest.approx(calibration_twin(p, right, bins), abs=1e-12)


def test_calibration_error_tells_calibrated_answers_from_overconfident_ones():
    random = np.random.default_rng(5)
    p = random.uniform(0.2, 1.0, 20_000)
    assert calibration_error(p, random.random(20_000) < p) < 0.015
    assert calibration_error(p, random.random(20_000) < p**2) > 0.1


def discrete_answers(random, pieces, sharpen=1.0):
    """Answers over 30 years, and truths drawn from them flattened or sharpened."""
    density = random.dirichlet(np.full(30, 0.4), pieces)
    drawn_from = density**sharpen / (density**sharpen).sum(axis=1, keepdims=True)
    truth = 1900 + (random.random((pieces, 1)) > np.cumsum(drawn_from, axis=1)).sum(axis=1).clip(max=29)
    return np.arange(1900, 1930), density, truth


def test_pit_is_flat_where_answers_are_right_and_only_there():
    random = np.random.default_rng(6)
    years, density, truth = discrete_answers(random, 5000)
    flat = flatness(year_pit(years, density, truth))
    assert flat.flat
    assert max(abs(height - 1) for height in flat.heights) < 0.25
    _, density, truth = discrete_answers(random, 5000, sharpen=0.3)
    pit = year_pit(years, density, truth)
    assert not flatness(pit).flat
    assert flatness(pit).heights[0] > 1.2 and flatness(pit).heights[-1] > 1.2  # too narrow: heaped at both ends


def test_pit_of_a_year_off_the_grid_is_an_end():
    density = np.full((2, 4), 0.25)
    assert year_pit(np.arange(1900, 1904), density, [1890, 1910]).tolist() == [0.0, 1.0]


def test_pit_lies_within_the_step_of_the_truth():
    below, at = np.array([0.0, 0.3, 0.99]), np.array([0.3, 0.6, 0.01])
    pit = randomised_pit(below, at)
    assert ((below <= pit) & (pit <= below + at)).all()
    assert (randomised_pit(below, at) == pit).all()
    assert (randomised_pit(below, at, seed=2) != pit).any()


@given(st.lists(st.floats(0, 1), min_size=2, max_size=50))
def test_flatness_is_the_distance_of_scipy(values):
    """scipy.stats.kstest (reference library)."""
    assert flatness(values).distance == pytest.approx(stats.kstest(values, "uniform").statistic, abs=1e-12)


def test_chance_reaches_its_own_mark_in_one_of_twenty():
    random = np.random.default_rng(7)
    beyond = [not flatness(random.random(200)).flat for _ in range(2000)]
    assert np.mean(beyond) == pytest.approx(0.05, abs=4 * np.sqrt(0.05 * 0.95 / 2000))


def test_sets_of_90_percent_hold_at_least_that_where_answers_are_right():
    years, density, truth = discrete_answers(np.random.default_rng(8), 4000)
    spans = [highest_density_set(years, row, 0.9) for row in density]
    assert 0.89 < covered(spans, truth).mean() < 0.97
    held = np.mean([sum(row[a - 1900 : b - 1899].sum() for a, b in of) for row, of in zip(density, spans, strict=True)])
    assert covered(spans, truth).mean() == pytest.approx(held, abs=0.02)


@settings(max_examples=30)
@given(scored, st.randoms(use_true_random=False))
def test_order_of_pieces_changes_nothing(pairs, random):
    mixed = list(pairs)
    random.shuffle(mixed)
    for score in (auroc, average_precision, calibration_error):
        assert score(*apart(mixed)) == pytest.approx(score(*apart(pairs)), abs=1e-12, nan_ok=True)


@pytest.mark.parametrize(
    ("call", "text"),
    [
        (lambda: log_loss([]), r"log_p: expected a row of at least one number, given an array of shape \(0,\)"),
        (lambda: log_loss([0.0, np.nan]), "log_p: number 2 is missing; leave the piece out"),
        (lambda: regret([0.0], [0.0, 0.0]), "expected one value a piece in each, given log_p 1, oracle_log_p 2"),
        (lambda: calibration_error([1.5], [1]), "p: expected probabilities from 0 to 1, given 1.5 to 1.5"),
        (lambda: calibration_error([0.5], [2]), "right: expected yes or no, 1 or 0, given 2"),
        (
            lambda: auroc([[0.5]], [1]),
            r"score: expected a row of at least one number, given an array of shape \(1, 1\)",
        ),
        (lambda: average_precision([0.1, 0.2], [1]), "expected one value a piece in each, given score 2, is_so 1"),
        (lambda: covered([], [1950]), "expected one set a piece, given 0 sets and 1 pieces"),
        (lambda: randomised_pit([0.5], [0.1, 0.2]), "expected one probability a piece in each, given 1 below and 2 at"),
    ],
)
def test_what_cannot_be_scored_is_told(call, text):
    with pytest.raises(BadInput, match=text):
        call()
