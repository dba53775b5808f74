"""A foot becomes dates, with their evidence, conflicts and provenance."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from footring.marks.evidence import DATES, Evidence
from footring.reasoning.conflicts import Conflict, Family, families, find_conflicts
from footring.reasoning.dates import Posterior, date_posterior, year_grid
from footring.reasoning.hard import Bounds, hard_windows
from footring.reasoning.intervals import Floats, Years, highest_density_set, median_year
from footring.reasoning.prior import YearPrior
from footring.reasoning.weights import probability_in, weight_db, weight_words
from footring.terms.tables import read_table

REPORTED = DATES[:4]
MASSES = (50, 80, 90, 95)


@dataclass(frozen=True, slots=True)
class DateAnswer:
    """One date of a piece.

    Parameters
    ----------
    median : int
        Earliest year by which half of the probability has come.
    intervals : mapping of int to list of (first, last)
        Highest-density sets that hold 50, 80, 90 and 95 %.
    window : (int or None, int or None)
        The years nothing can fall out of; None where that side is open.
    years, density : arrays, shape (years,)
        The grid and the probability of each year.
    """

    median: int
    intervals: Mapping[int, list[tuple[int, int]]]
    window: Bounds
    years: Years
    density: Floats


@dataclass(frozen=True, slots=True)
class Weighed:
    """A piece of evidence and what it does for the years named.

    `alone_db` is against the prior, `last_db` with everything else already in place, both in decibans for the
    90 % set of the date it bears on. They need not add up over the evidence.
    """

    evidence: Evidence
    bears_on: str
    alone_db: float
    last_db: float

    @property
    def words(self) -> str:
        """What the weight alone comes to."""
        return weight_words(self.alone_db)


@dataclass(frozen=True, slots=True)
class Dated:
    """What a set of evidence says of the four dates."""

    dates: Mapping[str, DateAnswer]
    evidence: tuple[Weighed, ...]
    conflicts: tuple[Conflict, ...]


def date_evidence(evidence: Sequence[Evidence], prior: YearPrior, country: str | None = None) -> Dated:
    """Dates of a piece from all that its foot says.

    Parameters
    ----------
    evidence : sequence of Evidence
        In any order; the same evidence given twice counts once.
    prior : YearPrior
        What is believed before reading anything.
    country : str, optional
        Picks the prior's knots, where it has any for that country.

    Returns
    -------
    Dated
        With no evidence at all the dates are the prior's: little is known, and that is the answer.

    Examples
    --------
    >>> from footring.reasoning.prior import default_prior
    >>> date_evidence([], default_prior()).dates["potted"].window
    (None, None)
    """
    items = sorted(set(evidence), key=_order)
    years = year_grid(items)
    base = prior.density(years, country)
    if not np.isfinite(date_posterior([items], base, years).log_evidence[0]):
        fought = _conflicts(items, base, years)
        items = [softened(item) for item in items]
        return replace(_dated(items, base, years), conflicts=tuple(fought))
    return replace(_dated(items, base, years), conflicts=tuple(_conflicts(items, base, years)))


def _order(item: Evidence) -> tuple[str, ...]:
    return (str(DATES.index(item.speaks_of[0])), item.family, item.rule, item.reading, repr(item.windows))


def softened(item: Evidence) -> Evidence:
    """The same evidence, but a hard bound keeps the likelihood of a misreading outside."""
    return replace(item, floor=doubt("misread")) if item.hard else item


def doubt(what: str) -> float:
    """A share of `tables/doubts.csv`."""
    return next(float(row["share"]) for row in read_table("footring.reasoning", "doubts.csv") if row["what"] == what)


def _dated(items: Sequence[Evidence], base: Floats, years: Years) -> Dated:
    alone = [[item] for item in items]
    without = [[other for other in items if other is not item] for item in items]
    posterior = date_posterior([items, [], *alone, *without], base, years)
    windows = hard_windows(items)
    dates = {name: _answer(posterior, name, windows[name]) for name in REPORTED}
    weighed = [_weighed(item, k, len(items), posterior, dates) for k, item in enumerate(items)]
    return Dated(dates, tuple(sorted(weighed, key=lambda w: (-abs(w.last_db), -abs(w.alone_db)))), ())


def _answer(posterior: Posterior, name: str, window: Bounds) -> DateAnswer:
    density = posterior.density[name][:, 0]
    sets = {mass: highest_density_set(posterior.years, density, mass / 100) for mass in MASSES}
    return DateAnswer(median_year(posterior.years, density), sets, window, posterior.years, density)


def _weighed(item: Evidence, k: int, count: int, posterior: Posterior, dates: Mapping[str, DateAnswer]) -> Weighed:
    name = item.speaks_of[0] if item.speaks_of[0] in dates else "decorated"
    inside = _inside(dates[name].intervals[90], posterior.years)
    all_of_it, nothing, alone, without = (
        probability_in(posterior.density[name][:, column], inside) for column in (0, 1, 2 + k, 2 + count + k)
    )
    return Weighed(item, name, weight_db(alone, nothing), weight_db(all_of_it, without))


def _inside(spans: Sequence[tuple[int, int]], years: Years) -> Floats:
    inside = np.zeros(len(years))
    for first, last in spans:
        inside[(years >= first) & (years <= last)] = 1.0
    return inside


def _conflicts(items: Sequence[Evidence], base: Floats, years: Years) -> list[Conflict]:
    def posterior(sets: Sequence[Sequence[Evidence]]) -> Posterior:
        return date_posterior(sets, base, years)

    def medians(sets: Sequence[Sequence[Evidence]]) -> list[int]:
        density = posterior(sets).density["decorated"]
        return [median_year(years, density[:, k]) for k in range(len(sets))]

    groups: list[Family] = families(items)
    return find_conflicts(groups, lambda sets: posterior(sets).log_evidence.tolist(), medians)
