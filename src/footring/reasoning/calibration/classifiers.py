"""Standard classifiers of scikit-learn on the same readings, tuned on pieces held out of the training part."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from importlib import import_module
from importlib.util import find_spec
from typing import Any

import numpy as np

from footring.reasoning.calibration.answers import Index
from footring.reasoning.calibration.arrays import Floats
from footring.reasoning.calibration.columns import Columns, lay_out
from footring.reasoning.calibration.features import Row
from footring.reasoning.calibration.smoothing import Smoothing, fit_smoothing
from footring.terms.errors import MissingPart

HELD_OUT, MOST_TUNED = 0.25, 2000
Encode = Callable[[Columns, Sequence[Row]], Any]


@dataclass(frozen=True, slots=True)
class Kind:
    """A classifier: its settings to try, how columns go in, and how it is made."""

    name: str
    settings: tuple[dict[str, Any], ...]
    encode: Encode
    make: Callable[[Columns, dict[str, Any]], Any]


def installed() -> bool:
    """Whether scikit-learn is there to be compared with."""
    return find_spec("sklearn") is not None


def _sklearn(part: str) -> Any:
    if not installed():
        raise MissingPart("scikit-learn is not installed: python -m pip install 'scikit-learn>=1.7'")
    return import_module(f"sklearn.{part}")


def _bayes(columns: Columns, settings: dict[str, Any]) -> Any:
    return _sklearn("naive_bayes").CategoricalNB(min_categories=columns.kinds, **settings)


def _boosting(columns: Columns, settings: dict[str, Any]) -> Any:
    categorical = np.arange(len(columns.words) + len(columns.numbers)) < len(columns.words)
    return _sklearn("ensemble").HistGradientBoostingClassifier(
        categorical_features=categorical, early_stopping=False, random_state=1, **settings
    )


def _mixed(columns: Columns, rows: Sequence[Row]) -> Floats:
    return np.column_stack([columns.codes(rows), columns.measurements(rows)]).astype(float)


BAYES = Kind(
    "CategoricalNB", tuple({"alpha": alpha} for alpha in (0.003, 0.01, 0.03, 0.1, 0.3, 1.0)), Columns.categories, _bayes
)
BOOSTING = Kind(
    "HistGradientBoosting",
    tuple(
        {
            "l2_regularization": 1.0,
            "max_leaf_nodes": leaves,
            "max_iter": rounds,
            "learning_rate": rate,
            "min_samples_leaf": 10,
        }
        for rounds, rate, leaves in ((20, 0.2, 8), (60, 0.1, 4))
    ),
    _mixed,
    _boosting,
)


def foretell(kind: Kind, rows: Sequence[Row], truth: Index, values: int, asked: Sequence[Row]) -> Floats:
    """Fit on some pieces, answer others.

    Settings, temperature and floor are those under which a quarter of the training pieces (of `MOST_TUNED` at most),
    held out, comes out likeliest; then the whole of them is fitted.

    Parameters
    ----------
    rows, truth : of the training pieces
        Columns, and which of `values` each is.
    values : int
        How many the reference has; those never met get the floor.
    asked : of the pieces to be told
        Columns.

    Returns
    -------
    array, shape (asked, values)
        Probabilities.

    Raises
    ------
    MissingPart
        If scikit-learn is not installed.
    """
    mixed = np.random.default_rng(1).permutation(len(rows))
    tuned_on = min(len(rows), MOST_TUNED)
    held, keep = mixed < HELD_OUT * tuned_on, (mixed >= HELD_OUT * tuned_on) & (mixed < tuned_on)
    kept, out = _chosen(rows, keep), _chosen(rows, held)
    tried: list[tuple[float, int, dict[str, Any], Smoothing]] = []
    for settings in kind.settings:
        log = _fit(kind, settings, kept, truth[keep], values, out)
        smoothing = fit_smoothing(log, truth[held])
        loss = -np.log(smoothing(log)[np.arange(len(out)), truth[held]]).mean()
        tried.append((float(loss), len(tried), settings, smoothing))
    _, _, settings, smoothing = min(tried, key=lambda one: one[:2])
    return smoothing(_fit(kind, settings, rows, truth, values, asked))


def _chosen(rows: Sequence[Row], which: Any) -> list[Row]:
    return [row for row, take in zip(rows, which, strict=True) if take]


def _fit(
    kind: Kind, settings: dict[str, Any], rows: Sequence[Row], truth: Index, values: int, asked: Sequence[Row]
) -> Floats:
    columns = lay_out(rows)
    found = np.full((len(asked), values), -np.inf)
    classes = np.unique(truth)
    if len(classes) == 1:
        found[:, classes] = 0.0
        return found
    with import_module("threadpoolctl").threadpool_limits(1):  # threads that wait for a busy machine cost it tenfold
        model = kind.make(columns, settings).fit(kind.encode(columns, rows), truth)
        for part in _parts(len(asked)):
            p = model.predict_proba(kind.encode(columns, asked[part]))
            found[part, model.classes_] = np.log(np.maximum(p, 1e-300))
    return found


def _parts(count: int, size: int = 5000) -> Iterator[slice]:
    return (slice(first, first + size) for first in range(0, count, size))
