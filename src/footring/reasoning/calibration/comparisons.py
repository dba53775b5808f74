"""What other methods make of the same pieces: two standard classifiers, and counting the matches."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from footring.reasoning.calibration import classifiers
from footring.reasoning.calibration.answers import Answers, Index, answers, truths
from footring.reasoning.calibration.arrays import Floats
from footring.reasoning.calibration.classifiers import BAYES, BOOSTING, Kind, fit
from footring.reasoning.calibration.count_matches import count_matches
from footring.reasoning.calibration.recorded_cells import over_cells
from footring.reasoning.calibration.simulated import JOINT, Simulated
from footring.reasoning.calibration.training import Laid, laid

COUNTING = "counting matches"
ASKED = ("line", "form", "decoration")
"""What the boosted trees are fitted for: of body, glaze and trim they take CategoricalNB's answers, to save hours."""
Said = Mapping[str, Answers]
Both = Mapping[str, tuple[Floats, Floats]]
"""Probabilities of the pieces held out, and of those asked, by attribute."""


def compare(world: Simulated, show: Callable[[str], None] = lambda _: None) -> dict[str, Said]:
    """Answers of each method by attribute; the classifiers are left out where scikit-learn is not installed.

    Parameters
    ----------
    world : Simulated
        Its settled pieces are the training part of every method.
    show : callable, optional
        Told what is being fitted.
    """
    data, truth = laid(world), truths(world)
    if not len(data.known):
        return {}
    show(COUNTING)
    found: dict[str, Said] = {COUNTING: count_matches(world.reference, data, truth, ASKED)}
    if classifiers.installed():
        bayes = _tables(BAYES, data, JOINT, show)
        found[BAYES.name] = _answered(bayes, data, truth)
        trees = _tables(BOOSTING, data, ASKED, show)
        found[BOOSTING.name] = _answered({**bayes, **trees}, data, truth)
    return found


def _tables(kind: Kind, data: Laid, names: Sequence[str], show: Callable[[str], None]) -> Both:
    found = {}
    for name in names:
        show(f"{kind.name}, {name}")
        fitted = fit(kind, data.of(name), data.many(name))
        found[name] = fitted.held, fitted.p(data.asked)
    return found


def _answered(tables: Both, data: Laid, truth: Index) -> Said:
    held, asked = ({name: both[k] for name, both in tables.items()} for k in range(2))
    found = {name: answers(asked[name], np.asarray(truth[:, JOINT.index(name)])) for name in ASKED}
    return found | {"joint": over_cells(held, asked, data, truth)}
