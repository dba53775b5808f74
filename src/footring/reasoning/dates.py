"""The dates of one piece, exactly, from everything its foot says.

    p(decorated) p(potted | decorated) p(form_designed | potted) p(pattern_designed | decorated) p(sold | decorated)

The tree is summed out on an annual grid; nothing is sampled. Evidence of one family is not multiplied: at each
year only its lowest likelihood counts. Evidence that bears on one of two dates, not known which, is summed over
both possibilities.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.typing import NDArray

from footring.marks.evidence import DATES, Evidence
from footring.reasoning.gaps import gaps

Floats = NDArray[np.float64]
Years = NDArray[np.int64]

FIRST_YEAR, LAST_YEAR = 1780, 2010
"""The grid unless a window reaches outside it."""

GENERAL = frozenset({"wording", "maker"})
"""Kinds of evidence that are rules about many pieces."""

MOST_CHOICES = 64
"""Ways of saying which date each two-sided reading bears on that are summed; the earliest readings give way first."""


@dataclass(frozen=True, slots=True)
class Posterior:
    """Probabilities of each date over the years, for one or several sets of evidence.

    Parameters
    ----------
    years : array of int, shape (years,)
        The grid.
    density : mapping of name to array, shape (years, sets)
        One column a set of evidence; each sums to 1.
    log_evidence : array, shape (sets,)
        Natural logarithm of the probability of the evidence, up to each likelihood's own scale. -inf where the
        evidence cannot all be true.
    """

    years: Years
    density: Mapping[str, Floats]
    log_evidence: Floats


def year_grid(evidence: Iterable[Evidence]) -> Years:
    """Annual grid: 1780-2010, wider where a date read off the piece itself lies outside it.

    General rules do not widen it, so that a rule that is implied already cannot move an answer.
    """
    own = [item for item in evidence if item.kind not in GENERAL]
    edges = [year for item in own for w in item.windows for year in (w.first, w.last) if year is not None]
    return np.arange(min([FIRST_YEAR, *edges]), max([LAST_YEAR, *edges]) + 1)


def date_posterior(sets: Sequence[Sequence[Evidence]], prior: Floats, years: Years) -> Posterior:
    """Posterior over the five dates for each set of evidence.

    Parameters
    ----------
    sets : sequence of sequences of Evidence
        Each set is one question ("all of it", "all but the label", ...). An empty set gives the prior.
    prior : array, shape (years,)
        p(decorated), summing to 1.
    years : array of int, shape (years,)
        Annual grid, ascending, without gaps.

    Returns
    -------
    Posterior
        A column whose evidence cannot all be true has `log_evidence` -inf and a density of NaN: a conflict to
        report, never a silent answer.

    See Also
    --------
    Pearl 1988 for the message passing; `tests/reasoning/test_dates.py` holds the slow twin that enumerates.

    Examples
    --------
    >>> years = np.arange(1900, 1911)
    >>> flat = date_posterior([[]], np.full(11, 1 / 11), years)
    >>> float(flat.density["decorated"][:, 0].sum().round(9)), float(flat.log_evidence[0].round(9))
    (1.0, 0.0)
    """
    heights: dict[int, Floats] = {}
    choices = [alternatives(items, years, heights) for items in sets]
    columns = [column for of_set in choices for column in of_set]
    owner = np.repeat(np.arange(len(sets)), [len(of_set) for of_set in choices])
    likelihood = {name: np.ones((len(years), len(columns))) for name in DATES}
    for k, column in enumerate(columns):
        for name, height in column.items():
            likelihood[name][:, k] = height
    weights = 1.0 / np.array([len(choices[o]) for o in owner])
    return _merge(_sum_out(likelihood, prior), weights, owner, len(sets), years)


def alternatives(
    items: Sequence[Evidence], years: Years, heights: dict[int, Floats] | None = None
) -> list[dict[str, Floats]]:
    """Likelihoods over the years of each date that evidence speaks of, one mapping for each way it may bear on them.

    Parameters
    ----------
    items : sequence of Evidence
    years : array of int, shape (years,)
    heights : dict, optional
        Likelihoods worked out before, by the identity of the evidence; more are added.

    Returns
    -------
    list of mapping of date to array, shape (years,)
        Equally likely. Of one family only the lowest likelihood counts at each year; families multiply. A date that
        nothing speaks of is left out. Without evidence: one empty mapping.

    Examples
    --------
    >>> alternatives([], np.arange(1900, 1911))
    [{}]
    """
    known: dict[int, Floats] = {} if heights is None else heights
    return [
        {name: _product([_lowest(of, years, known) for of in families.values()]) for name, families in by_date.items()}
        for by_date in map(_by_family, _choices(items))
    ]


def _product(heights: Sequence[Floats]) -> Floats:
    return np.asarray(np.prod(heights, axis=0))


def _choices(items: Sequence[Evidence]) -> list[list[tuple[str, Evidence]]]:
    open_ended = [item for item in items if len(item.speaks_of) > 1]
    fixed = {id(item) for item in open_ended[: max(0, len(open_ended) - MOST_CHOICES.bit_length() + 1)]}
    sides = [item.speaks_of[:1] if id(item) in fixed else item.speaks_of for item in items]
    return [list(zip(names, items, strict=True)) for names in product(*sides)]


def _by_family(column: Sequence[tuple[str, Evidence]]) -> dict[str, dict[str, list[Evidence]]]:
    grouped: dict[str, dict[str, list[Evidence]]] = {}
    for name, item in column:
        grouped.setdefault(name, {}).setdefault(item.family, []).append(item)
    return {name: dict(sorted(families.items())) for name, families in grouped.items()}


def _lowest(items: Sequence[Evidence], years: Years, heights: dict[int, Floats]) -> Floats:
    for item in items:
        if id(item) not in heights:
            heights[id(item)] = item.likelihood(years)
    return np.asarray(np.min([heights[id(item)] for item in items], axis=0))


def _sum_out(likelihood: Mapping[str, Floats], prior: Floats) -> tuple[Floats, dict[str, Floats]]:
    between = gaps(len(prior))
    form = between.form_age @ likelihood["form_designed"]
    potted = between.lag @ (likelihood["potted"] * form)
    pattern = between.pattern_age @ likelihood["pattern_designed"]
    sold = between.sale_lag @ likelihood["sold"]
    here = prior[:, None] * likelihood["decorated"]
    to_potted = between.lag.T @ (here * pattern * sold)
    mass = {
        "decorated": here * potted * pattern * sold,
        "potted": to_potted * likelihood["potted"] * form,
        "form_designed": (between.form_age.T @ (to_potted * likelihood["potted"])) * likelihood["form_designed"],
        "pattern_designed": (between.pattern_age.T @ (here * potted * sold)) * likelihood["pattern_designed"],
        "sold": (between.sale_lag.T @ (here * potted * pattern)) * likelihood["sold"],
    }
    return np.asarray(mass["decorated"].sum(axis=0)), mass


def _merge(
    summed: tuple[Floats, dict[str, Floats]], weights: Floats, owner: NDArray[np.int64], sets: int, years: Years
) -> Posterior:
    evidence, mass = summed
    into = np.zeros((len(owner), sets))
    into[np.arange(len(owner)), owner] = weights
    total = evidence @ into
    with np.errstate(divide="ignore", invalid="ignore"):
        density = {name: (columns @ into) / total for name, columns in mass.items()}
        return Posterior(years, density, np.log(total))
