"""One world, evaluated: learn from its pack, answer its pieces, hold the answers against truth, oracle and others."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from footring.reasoning.calibration import classifiers
from footring.reasoning.calibration.answers import ATTRIBUTES
from footring.reasoning.calibration.arrays import Flags, Floats
from footring.reasoning.calibration.comparisons import compare
from footring.reasoning.calibration.footring_answers import Progress, answer
from footring.reasoning.calibration.simulated import Simulated
from footring.reasoning.calibration.table import Measured, measured
from footring.reasoning.learn import learn
from footring.reasoning.model import compile_model

OURS, ORACLE = "Footring", "the oracle"
MISSING = "scikit-learn is not installed: CategoricalNB and HistGradientBoosting are left out."


@dataclass(frozen=True, slots=True)
class Evaluation:
    """What came out.

    Parameters
    ----------
    met, pieces, outside : int
        Pieces in the pack; test pieces; how many of these are from outside.
    losses, first : mapping of method to mapping of attribute to float
        Mean log loss in nat, and share of first answers that are right; the oracle has no first answers.
    rows : list of Measured
        The table.
    left_out : str or None
        What could not be compared with, and why.
    """

    met: int
    pieces: int
    outside: int
    losses: Mapping[str, Mapping[str, float]]
    first: Mapping[str, Mapping[str, float]]
    rows: list[Measured]
    left_out: str | None


def evaluate(world: Simulated, show: Progress = lambda *_: None) -> Evaluation:
    """Learn from the pack, examine every piece, and measure.

    Parameters
    ----------
    world : Simulated
        As `read_simulated` gives it.
    show : callable, optional
        Told what is done, how much of it, of how much (0: not known).
    """
    show("learning", 0, 0)
    model = compile_model(world.reference, learn(world.reference))
    ours = answer(world, model, show)
    others = compare(world, _steps(show)) if not world.outside.all() else {}
    met = len(world.reference.tables["pieces"])
    methods = {OURS: ours.of, **others} if ours.of else dict(others)
    losses = {method: {name: -_mean(of[name].log_p) for name in ATTRIBUTES} for method, of in methods.items()}
    first = {method: {name: _mean(of[name].right) for name in ATTRIBUTES} for method, of in methods.items()}
    oracle = {name: -_mean(world.oracle[name].log_p[~world.outside]) for name in ATTRIBUTES if name in world.oracle}
    return Evaluation(
        met, len(world), int(world.outside.sum()), losses | ({ORACLE: oracle} if oracle else {}), first,
        measured(world, ours, others, met), None if classifiers.installed() else MISSING,
    )  # fmt: skip


def _mean(values: Floats | Flags) -> float:
    return float(np.mean(values))


def _steps(show: Progress) -> Callable[[str], None]:
    return lambda what: show(f"comparing with {what}", 0, 0)
