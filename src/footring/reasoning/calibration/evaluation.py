"""One world, evaluated: learn from its pack, answer its pieces, hold the answers against truth, oracle and others."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from footring.reasoning.calibration import classifiers
from footring.reasoning.calibration.answers import ATTRIBUTES, Answers
from footring.reasoning.calibration.arrays import Flags
from footring.reasoning.calibration.comparisons import compare
from footring.reasoning.calibration.footring_answers import Answered, Progress, answer
from footring.reasoning.calibration.log_loss import log_loss
from footring.reasoning.calibration.simulated import Simulated
from footring.reasoning.calibration.table import Measured, measured
from footring.reasoning.learn import learn
from footring.reasoning.model import compile_model

OURS, ORACLE = "Footring", "the oracle"
Others = Mapping[str, Mapping[str, Answers]]
MISSING = "scikit-learn is not installed: CategoricalNB and HistGradientBoosting are left out."


@dataclass(frozen=True, slots=True)
class Judged:
    """What came out on one set of pieces.

    Parameters
    ----------
    pieces, outside : int
        Test pieces; how many of these are from outside.
    losses, first : mapping of method to mapping of attribute to float
        Mean log loss in nat, and share of first answers that are right; the oracle has no first answers.
    rows : list of Measured
        The table.
    """

    pieces: int
    outside: int
    losses: Mapping[str, Mapping[str, float]]
    first: Mapping[str, Mapping[str, float]]
    rows: list[Measured]


@dataclass(frozen=True, slots=True)
class Evaluation:
    """What came out.

    Parameters
    ----------
    met : int
        Pieces in the pack.
    plain : Judged
        On pieces that nobody chose.
    selected : Judged or None
        On pieces from channels where somebody chose, of which the oracle was asked nothing; None without any.
    left_out : str or None
        What could not be compared with, and why.
    """

    met: int
    plain: Judged
    selected: Judged | None
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
    show("measuring", 0, 0)
    plain, selected = (_judged(world, ours, others, which) for which in (~world.selected, world.selected))
    return Evaluation(
        len(world.reference.tables["pieces"]), plain, selected if selected.pieces else None,
        None if classifiers.installed() else MISSING,
    )  # fmt: skip


def _judged(world: Simulated, ours: Answered, others: Others, which: Flags) -> Judged:
    within = which[~world.outside]
    theirs = {method: {name: found.only(within) for name, found in of.items()} for method, of in others.items()}
    few, met = world.only(which), len(world.reference.tables["pieces"])
    mine = ours.only(which, ~world.outside)
    methods = {OURS: mine.of, **theirs} if within.any() else {}
    oracle = {name: few.oracle[name].log_p[~few.outside] for name in ATTRIBUTES if name in few.oracle and methods}
    losses = {method: {name: log_loss(found.log_p) for name, found in of.items()} for method, of in methods.items()}
    first = {method: {name: float(found.right.mean()) for name, found in of.items()} for method, of in methods.items()}
    told = {ORACLE: {name: log_loss(log_p) for name, log_p in oracle.items()}} if oracle else {}
    rows = measured(few, mine, theirs, met) if which.any() else []
    return Judged(len(few), int(few.outside.sum()), losses | told, first, rows)


def _steps(show: Progress) -> Callable[[str], None]:
    return lambda what: show(f"comparing with {what}", 0, 0)
