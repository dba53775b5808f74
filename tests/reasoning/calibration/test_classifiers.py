"""Classifiers fitted through the house's layers beside scikit-learn's own, called directly (reference library)."""

import numpy as np
import pytest
from sklearn.naive_bayes import CategoricalNB

from footring.reasoning.calibration import classifiers
from footring.reasoning.calibration.classifiers import BAYES, BOOSTING, fit
from footring.reasoning.calibration.columns import lay_out
from footring.reasoning.calibration.training import Pieces, held_out
from footring.terms.errors import MissingPart


def told_apart(many, seed, kinds=4):
    """Pieces whose word says what they are nine times of ten, and whose width helps."""
    random = np.random.default_rng(seed)
    truth = random.integers(0, kinds, many)
    said = np.where(random.random(many) < 0.9, truth, random.integers(0, kinds, many))
    across = 100.0 + 20 * truth + 10 * random.normal(size=many)
    rows = [{"form": f"w{w}", "across": float(a)} if s > 0.2 else {"form": f"w{w}"}
            for w, a, s in zip(said, across, random.random(many), strict=True)]  # fmt: skip
    return Pieces(rows, truth)


def loss(p, truth):
    return -np.log(p[np.arange(len(truth)), truth]).mean()


def test_counts_go_in_as_scikit_learn_is_given_them():
    pieces = told_apart(80, 1)
    fitted = fit(BAYES, pieces, 4)
    columns = lay_out(pieces.rows)
    own = CategoricalNB(alpha=fitted.scores.model.alpha, min_categories=columns.kinds)
    own.fit(columns.categories(pieces.rows), pieces.truth)
    asked = told_apart(30, 2).rows
    assert fitted.scores(asked) == pytest.approx(own.predict_log_proba(columns.categories(asked)))


@pytest.mark.parametrize("kind", [BAYES, BOOSTING], ids=lambda kind: kind.name)
def test_it_learns_what_there_is_to_learn(kind):
    asked = told_apart(400, 3)
    p = fit(kind, told_apart(300, 2), 4).p(asked.rows)
    assert p.sum(axis=1) == pytest.approx(1.0)
    assert (p.argmax(axis=1) == asked.truth).mean() > 0.9
    assert loss(p, asked.truth) < 0.5 < np.log(4)


@pytest.mark.parametrize("kind", [BAYES, BOOSTING], ids=lambda kind: kind.name)
def test_tuning_does_no_harm(kind):
    """Of the settings tried the one is taken under which the pieces held out come out likeliest."""
    pieces = told_apart(160, 4)
    kept, held = held_out(pieces)
    with classifiers._one_thread():
        settings = classifiers._tuned(kind, kept, held, 4)
        first = [{**kind.start, name: value} for name, values in list(kind.others.items())[:1] for value in values]
        least, *others = (classifiers._loss(kind, one, kept, held, 4) for one in (settings, kind.start, *first))
    assert least <= min(others)


def test_fitting_is_given_no_piece_to_be_told():
    """The same answer to a piece whoever is asked beside it."""
    fitted, asked = fit(BOOSTING, told_apart(60, 5), 4), told_apart(30, 6).rows
    assert fitted.p(asked)[:3] == pytest.approx(fitted.p(asked[:3]))


def test_trees_stop_growing_when_pieces_held_out_gain_no_more():
    pieces = told_apart(400, 7)
    kept, held = held_out(pieces)
    columns = lay_out(kept.rows)
    with classifiers._one_thread():
        model, settings = BOOSTING.fit(columns, BOOSTING.start, kept, held)
        again, _ = BOOSTING.fit(columns, settings, kept, None)
    assert settings["max_iter"] == model.n_iter_ < classifiers.MOST_TREES / 4
    scores = model.validation_score_
    assert max(scores[-5:]) <= max(scores[:-5])  # five rounds without a gain
    assert again.n_iter_ == settings["max_iter"]


def test_what_was_never_met_shares_what_is_left():
    pieces = told_apart(60, 8)
    p = fit(BAYES, Pieces(pieces.rows, np.where(pieces.truth == 3, 5, pieces.truth)), 7).p(pieces.rows)
    never = p[:, [3, 4, 6]]
    assert (never > 0).all() and never == pytest.approx(np.broadcast_to(never[:, :1], never.shape))
    assert p.sum(axis=1) == pytest.approx(1.0)


@pytest.mark.parametrize("kind", [BAYES, BOOSTING], ids=lambda kind: kind.name)
@pytest.mark.parametrize("truth", [[2], [2, 2, 2], [0, 1], [0, 1, 2, 3]])
def test_very_few_pieces_are_enough(kind, truth):
    p = fit(kind, Pieces([{"form": f"w{t}"} for t in truth], np.array(truth)), 4).p([{"form": "w2"}, {}])
    assert p.shape == (2, 4) and p.sum(axis=1) == pytest.approx(1.0) and (p > 0).all()


def test_without_scikit_learn_it_is_named(monkeypatch):
    monkeypatch.setattr(classifiers, "find_spec", lambda _: None)
    assert not classifiers.installed()
    with pytest.raises(MissingPart, match=r"scikit-learn is not installed: python -m pip install 'scikit-learn>=1.7'"):
        fit(BAYES, told_apart(8, 1), 4)
