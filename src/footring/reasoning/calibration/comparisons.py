"""What other methods make of the same pieces: two standard classifiers, and counting the matches."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np

from footring.reasoning.calibration import classifiers
from footring.reasoning.calibration.answers import Answers, Index, answers, joint_answers, truths
from footring.reasoning.calibration.arrays import Floats
from footring.reasoning.calibration.classifiers import BAYES, BOOSTING, Kind, foretell
from footring.reasoning.calibration.count_matches import Checklist, counted
from footring.reasoning.calibration.features import Row
from footring.reasoning.calibration.simulated import JOINT, Simulated
from footring.reasoning.calibration.training import Laid, laid

COUNTING = "counting matches"
TREES = ("line", "form", "decoration")
"""What the boosted trees are fitted for: of body, glaze and trim they take CategoricalNB's answers, to save hours."""
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
    if classifiers.installed():
        bayes = _tables(BAYES, data, JOINT, show)
        found[BAYES.name] = _answered(bayes, truth) | {"joint": _by_cell(bayes, data, truth)}
        trees = _tables(BOOSTING, data, TREES, show)
        found[BOOSTING.name] = _answered(bayes | trees, truth)
    return found


def _tables(kind: Kind, data: Laid, names: Sequence[str], show: Callable[[str], None]) -> dict[str, Floats]:
    found = {}
    for name in names:
        show(f"{kind.name}, {name}")
        found[name] = _table(kind, data, name)
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


def _by_cell(tables: Table, data: Laid, truth: Index) -> Answers:
    """Whole cells as the classes; for cells not met before, by how many were met once (Good 1953), as independent."""
    cells, which, rows = _cells(data)
    p = foretell(BAYES, rows, which, len(cells), data.asked)
    new = (np.bincount(which) == 1).sum() / len(which)
    whole = answers((1 - new) * p, _places(cells, truth))
    apart = np.exp(_answered(tables, truth)["joint"].log_p)
    return Answers(np.log(np.exp(whole.log_p) + new * apart), whole.first_p, whole.right)


def _cells(data: Laid) -> tuple[Index, Index, list[Row]]:
    """Distinct whole cells of the training pieces, each piece's own, and those pieces."""
    whole = np.asarray((data.truth >= 0).all(axis=1))
    cells, which = np.unique(data.truth[whole], axis=0, return_inverse=True)
    return cells, which.ravel(), [row for row, take in zip(data.rows, whole, strict=True) if take]


def _places(cells: Index, truth: Index) -> Index:
    place = {tuple(cell): k for k, cell in enumerate(cells.tolist())}
    return np.array([place.get(tuple(cell), -1) for cell in truth.tolist()])


def _p(one: Answers) -> Floats:
    return np.asarray(np.exp(one.log_p))


def _counting(world: Simulated, data: Laid, truth: Index) -> dict[str, Answers]:
    cells, which, rows = _cells(data)
    p = counted(Checklist(world.reference, cells), rows, which, data.asked)
    found = {}
    for name in ("line", "form", "decoration"):
        column = JOINT.index(name)
        table = p @ np.eye(data.sizes[column])[cells[:, column]]
        found[name] = answers((1 - FLOOR) * table + FLOOR / data.sizes[column], truth[:, column])
    return found | {"joint": _floored(answers((1 - FLOOR) * p, _places(cells, truth)), data.sizes)}


def _floored(joint: Answers, sizes: Sequence[int]) -> Answers:
    """With the floor spread over every combination."""
    even = FLOOR / float(np.prod(np.array(sizes[1:], dtype=float)))
    return Answers(np.log(np.exp(joint.log_p) + even), joint.first_p, joint.right)
