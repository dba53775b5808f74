"""What is taken for granted of sources before any of their claims was checked: the tables, read."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from math import log

import numpy as np
from numpy.typing import ArrayLike, NDArray

from footring.rows import TABLES
from footring.terms.tables import read_table

KINDS = TABLES["sources"].column("kind").choices or ()
FIRMNESS = TABLES["claims"].column("firmness").choices or ()
STANCES = TABLES["claims"].column("stance").choices or ()
OTHER = KINDS.index("other")
PIECE = KINDS.index("piece")


@dataclass(frozen=True, slots=True)
class KindPrior:
    """Beta prior of a kind of source, in claims right and wrong, and how firmly its claims are put unless said."""

    right: float
    wrong: float
    firmness: int


@dataclass(frozen=True, slots=True)
class Effect:
    """A shift of the log-odds of being right: normal, with mean and standard deviation."""

    log_odds: float
    sd: float


@dataclass(frozen=True, slots=True)
class Check:
    """How often a piece in the hand bears out a claim that is true, and one that is false.

    `most`: however many pieces there are, they count for no more than this to one.
    """

    if_true: float
    if_false: float
    most: float

    def log_odds(self, right: float, wrong: float) -> float:
        """Log-odds that a claim is true, from even, of pieces for it and against it."""
        return right * log(self.if_true / self.if_false) + wrong * log((1 - self.if_true) / (1 - self.if_false))


@cache
def kind_priors() -> tuple[KindPrior, ...]:
    """One for each of `KINDS`, in their order."""
    rows = {row["kind"]: row for row in read_table("footring.reasoning", "source_priors.csv")}
    return tuple(
        KindPrior(float(row["right"]), float(row["wrong"]), FIRMNESS.index(row["firmness"]))
        for row in (rows[kind] for kind in KINDS)
    )


@cache
def effects() -> Mapping[tuple[str, str], Effect]:
    """Priors of what shifts a source's log-odds, by (effect, of what)."""
    return {
        (row["effect"], row["of"]): Effect(float(row["log_odds"]), float(row["sd"]))
        for row in read_table("footring.reasoning", "source_effects.csv")
    }


@cache
def checks() -> Mapping[str, Check]:
    """How pieces bear on each kind of check."""
    return {
        row["check"]: Check(float(row["if_true"]), float(row["if_false"]), float(row["most"]))
        for row in read_table("footring.reasoning", "source_checks.csv")
    }


@cache
def not_met() -> Mapping[str, float]:
    """How much it says that something was never met."""
    return {row["what"]: float(row["value"]) for row in read_table("footring.reasoning", "not_met.csv")}


def chance_unmet(handled: ArrayLike, share: float | None = None) -> NDArray[np.float64]:
    """Probability of not meeting something that exists, among so many pieces handled.

    Parameters
    ----------
    handled : array
        Pieces.
    share : float, optional
        Mean share of them that it would be; `tables/not_met.csv` says what it is unless known.

    Returns
    -------
    float array, of the shape of `handled`
        1 for none handled, never below 1 / `most`: not met is weak evidence, and never proof.

    Notes
    -----
    A Poisson count whose rate is spread as a Gamma variable: (1 + handled x share / shape) ** -shape.

    Examples
    --------
    >>> chance_unmet([0, 240, 1e9]).round(3).tolist()
    [1.0, 0.415, 0.05]
    """
    table = not_met()
    mean = np.asarray(handled, np.float64) * (table["share"] if share is None else share)
    return np.maximum(1.0 / table["most"], (1.0 + mean / table["shape"]) ** -table["shape"])
