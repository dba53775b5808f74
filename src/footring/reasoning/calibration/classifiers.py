"""Standard classifiers of scikit-learn on the same readings, tuned on pieces held out of the training part."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from typing import Any

import numpy as np

from footring.reasoning.calibration.answers import answers
from footring.reasoning.calibration.arrays import Floats
from footring.reasoning.calibration.columns import Columns, lay_out
from footring.reasoning.calibration.features import Row
from footring.reasoning.calibration.smoothing import Smoothing, chance_of_new, fit_smoothing
from footring.reasoning.calibration.training import Pieces, held_out
from footring.terms.errors import MissingPart

MOST_TUNED, MOST_TREES = 1500, 12_000
"""Settings are chosen on so many pieces; so many trees are grown, one for each class in each round."""
Settings = Mapping[str, Any]
Fit = Callable[[Columns, Settings, Pieces, Pieces | None], tuple[Any, Settings]]


@dataclass(frozen=True, slots=True)
class Kind:
    """A classifier.

    Parameters
    ----------
    name : str
    start : mapping
        Settings to begin with.
    others : mapping of setting to tuple
        What else to try, one setting after another, each from the best so far.
    encode : callable
        How columns go in.
    fit : callable
        Columns, settings, pieces and pieces held out, to the classifier and the settings it ended with.
    """

    name: str
    start: Settings
    others: Mapping[str, Sequence[Any]]
    encode: Callable[[Columns, Sequence[Row]], Any]
    fit: Fit


@dataclass(frozen=True, slots=True, eq=False)
class Scores:
    """A classifier fitted on some pieces."""

    kind: Kind
    columns: Columns
    model: Any
    values: int
    new: float

    def __call__(self, rows: Sequence[Row]) -> Floats:
        """Log scores of others, shape (pieces, values); -inf for a value that none of them had."""
        found = np.full((len(rows), self.values), -np.inf)
        if rows:
            p = self.model.predict_proba(self.kind.encode(self.columns, rows))
            found[:, self.model.classes_] = np.log(np.maximum(p, 1e-300))
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """A classifier fitted and tuned on training pieces alone.

    Parameters
    ----------
    held : array, shape (pieces held out, values)
        What it gave the pieces it was tuned on, fitted on the others.
    """

    scores: Scores
    smoothing: Smoothing
    held: Floats

    def p(self, asked: Sequence[Row]) -> Floats:
        """Probabilities, shape (asked, values)."""
        with _one_thread():
            return self.smoothing(self.scores(asked), self.scores.new)


def installed() -> bool:
    """Whether scikit-learn is there to be compared with."""
    return find_spec("sklearn") is not None


def _one_thread() -> Any:
    """Threads that wait for a busy machine cost it tenfold. Only those of what is loaded already can be held back."""
    _sklearn("ensemble")
    return import_module("threadpoolctl").threadpool_limits(1)


def _sklearn(part: str) -> Any:
    if not installed():
        raise MissingPart("scikit-learn is not installed: python -m pip install 'scikit-learn>=1.7'")
    return import_module(f"sklearn.{part}")


def _bayes(columns: Columns, settings: Settings, pieces: Pieces, _held: Pieces | None) -> tuple[Any, Settings]:
    model = _sklearn("naive_bayes").CategoricalNB(min_categories=columns.kinds, **settings)
    return model.fit(columns.categories(pieces.rows), pieces.truth), settings


def _boosting(columns: Columns, settings: Settings, pieces: Pieces, held: Pieces | None) -> tuple[Any, Settings]:
    """Grown until pieces held out no longer gain; then as many rounds."""
    known = held.at(np.flatnonzero(np.isin(held.truth, pieces.truth))) if held else None
    beside = {"X_val": _mixed(columns, known.rows), "y_val": known.truth} if known and known.rows else {}
    rounds = {"max_iter": max(1, MOST_TREES // len(np.unique(pieces.truth)))}
    model = _sklearn("ensemble").HistGradientBoostingClassifier(
        categorical_features=np.arange(len(columns.words) + len(columns.numbers)) < len(columns.words),
        early_stopping=bool(beside), scoring="loss", n_iter_no_change=5, random_state=1, **{**rounds, **settings},
    ).fit(_mixed(columns, pieces.rows), pieces.truth, **beside)  # fmt: skip
    return model, {**settings, "max_iter": model.n_iter_}


def _mixed(columns: Columns, rows: Sequence[Row]) -> Floats:
    return np.column_stack([columns.codes(rows), columns.measurements(rows)]).astype(float)


BAYES = Kind(
    "CategoricalNB", {"alpha": 0.1}, {"alpha": (0.0003, 0.001, 0.003, 0.01, 0.03, 0.3, 1.0)}, Columns.categories, _bayes
)
BOOSTING = Kind(
    "HistGradientBoosting",
    {
        "learning_rate": 0.4,
        "max_leaf_nodes": 4,
        "min_samples_leaf": 10,
        "l2_regularization": 3.0,
        "max_features": 0.3,
    },
    {
        "min_samples_leaf": (3, 20),
        "max_leaf_nodes": (8,),
        "l2_regularization": (1.0, 10.0),
        "learning_rate": (0.2,),
    },
    _mixed,
    _boosting,
)


def fit(kind: Kind, pieces: Pieces, values: int) -> Fitted:
    """Fit and tune on training pieces, and on nothing else.

    Settings, temperature and floor are those under which the pieces held out come out likeliest; then the whole of
    them is fitted.

    Parameters
    ----------
    pieces : Pieces
        The training part, at least one.
    values : int
        How many the reference has; those never met share what is left for them.

    Raises
    ------
    MissingPart
        If scikit-learn is not installed.
    """
    kept, held = held_out(pieces)
    with _one_thread():
        scores, settings = _scores(kind, _tuned(kind, kept, held, values), kept, held, values)
        log = scores(held.rows)
        smoothing = fit_smoothing(log, held.truth, scores.new)
        whole, _ = _scores(kind, settings, pieces, None, values)
    return Fitted(whole, smoothing, smoothing(log, scores.new))


def _tuned(kind: Kind, kept: Pieces, held: Pieces, values: int) -> Settings:
    few = kept.at(np.arange(min(len(kept), MOST_TUNED)))
    best = (_loss(kind, kind.start, few, held, values), kind.start)
    for name, others in kind.others.items():
        tried = [{**best[1], name: value} for value in others]
        losses = [(_loss(kind, settings, few, held, values), settings) for settings in tried]
        best = min([best, *losses], key=lambda one: one[0])
    return best[1]


def _loss(kind: Kind, settings: Settings, kept: Pieces, held: Pieces, values: int) -> float:
    scores, _ = _scores(kind, settings, kept, held, values)
    log = scores(held.rows)
    p = fit_smoothing(log, held.truth, scores.new)(log, scores.new)
    return -float(answers(p, held.truth).log_p.mean())


def _scores(
    kind: Kind, settings: Settings, pieces: Pieces, held: Pieces | None, values: int
) -> tuple[Scores, Settings]:
    columns = lay_out(pieces.rows)
    if len(np.unique(pieces.truth)) > 1:
        model, settings = kind.fit(columns, settings, pieces, held)
    else:
        model = _sklearn("dummy").DummyClassifier().fit(np.zeros((len(pieces), 1)), pieces.truth)
    return Scores(kind, columns, model, values, chance_of_new(pieces.truth)), settings
