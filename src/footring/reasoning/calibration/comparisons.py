"""What other methods make of the same pieces: two standard classifiers, and counting the matches."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from footring.reasoning.calibration import classifiers
from footring.reasoning.calibration.answers import Answers, Index, answers, joint_answers, truths
from footring.reasoning.calibration.arrays import Floats
from footring.reasoning.calibration.classifiers import BAYES, BOOSTING, Kind, foretell
from footring.reasoning.calibration.count_matches import Checklist, counted
from footring.reasoning.calibration.simulated import JOINT, Simulated
from footring.reasoning.calibration.training import Laid, laid

COUNTING = "counting matches"
FLOOR = 0.01
"""Share of counted matches' probability that goes evenly to all values of the reference."""
Table = Mapping[str, Floats]


def compare(world: Simulated, show: Callable[[str], None] = lambda _: None) -> dict[str, dict[str, Answers]]:
    """Answers of each method by attribute; the classifiers are left out where scikit-learn is not installed.

    Parameters
    ----------
    world : Simulated
        Its settled pieces are the training part of every method.
    show : callable, optional
        Told what is being fitted.
    """
    data, truth = laid(world), truths(world)
    if not (data.truth >= 0).all(axis=1).any():
        return {}
    show(COUNTING)
    found = {COUNTING: _counting(world, data, truth)}
    for kind in (BAYES, BOOSTING) if classifiers.installed() else ():
        tables = {}
        for name in JOINT:
            show(f"{kind.name}, {name}")
            tables[name] = _table(kind, data, name)
        found[kind.name] = _answered(tables, truth)
    return found


def _table(kind: Kind, data: Laid, name: str) -> Floats:
    column = JOINT.index(name)
    known = np.flatnonzero(data.truth[:, column] >= 0).tolist()
    rows = [data.rows[i] for i in known]
    return foretell(kind, rows, data.truth[known, column], data.sizes[column], data.asked)


def _answered(tables: Table, truth: Index) -> dict[str, Answers]:
    """Each attribute by itself; all at once as if they were independent, given the form, which says the line."""
    found = {name: answers(tables[name], truth[:, JOINT.index(name)]) for name in ("line", "form", "decoration")}
    each = [answers(tables[name], truth[:, JOINT.index(name)]) for name in JOINT[1:]]
    of_truth, first = (np.prod([of(one) for one in each], axis=0) for of in (_p, lambda one: one.first_p))
    right = np.all([one.right for one in each], axis=0)
    return found | {"joint": joint_answers(of_truth.tolist(), first.tolist(), right.tolist())}


def _p(one: Answers) -> Floats:
    return np.asarray(np.exp(one.log_p))


def _counting(world: Simulated, data: Laid, truth: Index) -> dict[str, Answers]:
    whole = np.asarray((data.truth >= 0).all(axis=1))
    cells, which = np.unique(data.truth[whole], axis=0, return_inverse=True)
    rows = [row for row, take in zip(data.rows, whole, strict=True) if take]
    p = counted(Checklist(world.reference, cells), rows, which.ravel(), data.asked)
    found = {}
    for name in ("line", "form", "decoration"):
        column = JOINT.index(name)
        table = p @ np.eye(data.sizes[column])[cells[:, column]]
        found[name] = answers((1 - FLOOR) * table + FLOOR / data.sizes[column], truth[:, column])
    place = {tuple(cell): k for k, cell in enumerate(cells.tolist())}
    at = np.array([place.get(tuple(cell), -1) for cell in truth.tolist()])
    return found | {"joint": _floored(answers((1 - FLOOR) * p, at), data.sizes)}


def _floored(joint: Answers, sizes: Sequence[int]) -> Answers:
    """With the floor spread over every combination."""
    even = FLOOR / float(np.prod(np.array(sizes[1:], dtype=float)))
    return Answers(np.log(np.exp(joint.log_p) + even), joint.first_p, joint.right)
