"""The table of how good answers are: each figure with its interval, beside what it is to reach."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from footring.reasoning.calibration.answers import ATTRIBUTES, Answers, Index
from footring.reasoning.calibration.arrays import Flags, Floats
from footring.reasoning.calibration.auroc import auroc
from footring.reasoning.calibration.average_precision import average_precision
from footring.reasoning.calibration.bootstrap import Interval, mean_interval, statistic_interval
from footring.reasoning.calibration.calibration_error import calibration_error
from footring.reasoning.calibration.flatness import flatness
from footring.reasoning.calibration.footring_answers import Answered
from footring.reasoning.calibration.log_loss import regret
from footring.reasoning.calibration.simulated import Simulated

REGRET_AT = {
    "line": {2000: 0.04, 10000: 0.02}, "form": {2000: 0.07, 10000: 0.05}, "decoration": {2000: 0.20, 10000: 0.08},
    "joint": {2000: 0.50, 10000: 0.25},
}  # fmt: skip
GAP, CALIBRATION, AREA, COVERAGE = 0.70, 0.02, 0.03, (0.88, 0.93)


@dataclass(frozen=True, slots=True)
class Measured:
    """One row.

    Parameters
    ----------
    what : str
        What was measured; the same words in every world.
    found : Interval
        The figure, with its 95 % interval.
    least, most : float or None
        What it is to reach: not below, not above; None without a target.
    beyond_chance : bool
        Only good when the interval lies beyond `least` as a whole.
    less_is_better : bool
        Which of two figures without a target is the worse.
    """

    what: str
    found: Interval
    least: float | None = None
    most: float | None = None
    beyond_chance: bool = False
    less_is_better: bool = False

    @property
    def reached(self) -> bool | None:
        """Whether it reaches its target; None without one, or where it could not be measured."""
        value = self.found.low if self.beyond_chance else self.found.value
        if (self.least is None and self.most is None) or np.isnan(value):
            return None
        high_enough = self.least is None or (value > self.least if self.beyond_chance else value >= self.least)
        return high_enough and (self.most is None or value <= self.most)

    @property
    def short_of(self) -> float:
        """How far it falls short; below 0 where it does better; NaN without a target."""
        value = self.found.low if self.beyond_chance else self.found.value
        under = -np.inf if self.least is None else self.least - value
        over = -np.inf if self.most is None else value - self.most
        worst = max(under, over)
        return float(worst) if np.isfinite(worst) else float("nan")


def measured(world: Simulated, ours: Answered, others: Mapping[str, Mapping[str, Answers]], met: int) -> list[Measured]:
    """The rows.

    Parameters
    ----------
    world : Simulated
    ours : Answered
        Footring's answers.
    others : mapping of method to mapping of attribute to Answers
        Of the methods it is compared with.
    met : int
        How many pieces the pack's makers had met; targets of regret stand at 2,000 and 10,000.
    """
    rows: list[Measured] = []
    if not world.outside.all():
        rows += [*_regrets(world, ours, met), *_gaps(world, ours, others), *_ahead(ours, others), *_calibrated(ours)]
        rows += _potted(ours)
    return rows + [*_recognised(world, ours)]


def _oracle(world: Simulated, attribute: str) -> Floats | None:
    oracle = world.oracle.get(attribute)
    return None if oracle is None else oracle.log_p[~world.outside]


def _regrets(world: Simulated, ours: Answered, met: int) -> Iterator[Measured]:
    for name in ATTRIBUTES:
        if (oracle := _oracle(world, name)) is not None:
            found = mean_interval(regret(ours.of[name].log_p, oracle))
            yield Measured(
                f"regret to the oracle, nat: {name}", found, most=REGRET_AT[name].get(met), less_is_better=True
            )


def _gaps(world: Simulated, ours: Answered, others: Mapping[str, Mapping[str, Answers]]) -> Iterator[Measured]:
    for name in ATTRIBUTES:
        oracle = _oracle(world, name)
        if oracle is not None and others:
            best = max((of[name].log_p for of in others.values()), key=lambda log_p: float(log_p.mean()))
            found = statistic_interval(partial(_closed, ours.of[name].log_p, best, oracle), len(oracle))
            yield Measured(
                f"share of the gap from the best other method to the oracle closed: {name}", found, least=GAP
            )


def _closed(ours: Floats, best: Floats, oracle: Floats, drawn: Index) -> float:
    gap = float((oracle[drawn] - best[drawn]).mean())
    return float((ours[drawn] - best[drawn]).mean()) / gap if gap > 0 else float("nan")


def _ahead(ours: Answered, others: Mapping[str, Mapping[str, Answers]]) -> Iterator[Measured]:
    """Paired differences; Footring is ahead where the whole interval lies above 0."""
    for method, theirs in others.items():
        for name in ("form", "decoration", "line", "joint"):
            log_p = mean_interval(ours.of[name].log_p - theirs[name].log_p)
            first = mean_interval(ours.of[name].right.astype(float) - theirs[name].right)
            asked = 0.0 if name in ("form", "decoration") else None
            yield Measured(f"log loss less than by {method}, nat: {name}", log_p, least=asked, beyond_chance=True)
            yield Measured(f"first answers right more than by {method}: {name}", first, asked, None, True)


def _calibrated(ours: Answered) -> Iterator[Measured]:
    for name in ATTRIBUTES:
        found = statistic_interval(partial(_error, ours.of[name]), len(ours.of[name].right), reflected=True)
        yield Measured(f"calibration error of the first answer: {name}", found, most=CALIBRATION)


def _error(of: Answers, drawn: Index) -> float:
    return calibration_error(of.first_p[drawn], of.right[drawn])


def _potted(ours: Answered) -> Iterator[Measured]:
    pit, covered = ours.potted.pit, ours.potted.covered
    chance = flatness(pit).by_chance
    found = statistic_interval(lambda drawn: flatness(pit[drawn]).distance, len(pit), reflected=True)
    yield Measured("potted: distance of the transforms from flat", found, most=round(chance, 4))
    yield Measured("potted: 90 % set holds the year", mean_interval(covered), *COVERAGE)


def _recognised(world: Simulated, ours: Answered) -> Iterator[Measured]:
    for name, score, so in (
        ("outside", ours.outside, world.outside),
        ("unrecorded", ours.unrecorded, world.unrecorded),
    ):
        yield Measured(f"{name}: area under the curve", statistic_interval(partial(_area, score, so), len(so)))
        oracle = world.oracle.get(name)
        if oracle is not None:
            less = statistic_interval(partial(_less_area, score, oracle.p, so), len(so))
            yield Measured(f"{name}: area less than the oracle's", less, most=AREA)
        found = statistic_interval(partial(_precision, score, so), len(so))
        yield Measured(f"{name}: average precision ({so.mean():.1%} are so)", found)


def _area(score: Floats, so: Flags, drawn: Index) -> float:
    return auroc(score[drawn], so[drawn])


def _less_area(score: Floats, oracle: Floats, so: Flags, drawn: Index) -> float:
    return _area(oracle, so, drawn) - _area(score, so, drawn)


def _precision(score: Floats, so: Flags, drawn: Index) -> float:
    return average_precision(score[drawn], so[drawn])


def worst(tables: Sequence[Sequence[Measured]]) -> list[Measured]:
    """Of each row the one furthest from its target over worlds; without a target, the worst figure."""
    found = []
    for what in dict.fromkeys(row.what.split(" (")[0] for table in tables for row in table):
        same = [row for table in tables for row in table if row.what.split(" (")[0] == what]
        found.append(max(same, key=_badness))
    return found


def _badness(row: Measured) -> float:
    """Below everything where it could not be measured."""
    value = row.found.value if row.less_is_better else -row.found.value
    bad = value if row.least is None and row.most is None else row.short_of
    return -np.inf if np.isnan(bad) else bad
