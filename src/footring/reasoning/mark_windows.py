"""In which years a mark was in use: heights over the years, from its recorded uses or its own lettering."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from footring.marks import registration, wording, written_years
from footring.marks.evidence import Evidence
from footring.marks.foot import IN_CLAY, Foot, MarkPart
from footring.marks.transcription import parse_mark
from footring.reasoning.habits import habit
from footring.rows.reference_things import Mark
from footring.terms.dates import SoftYears, UncertainDate, parse_edtf

Floats = NDArray[np.float64]
Years = NDArray[np.int64]


def trapezoid(when: UncertainDate, years: Years) -> Floats:
    """How surely a thing was in use in each year: 1 between its sure ends, sloping over doubtful ones, 0 beyond.

    Parameters
    ----------
    when : UncertainDate
        An open or unknown end has no slope: the thing may have been in use for ever.
    years : array of int, shape (years,)

    Returns
    -------
    array, shape (years,)
        0 to 1; several spans (a set of dates) give their upper envelope. The highest year is always 1 somewhere.

    Examples
    --------
    >>> trapezoid(parse_edtf("1904/1921~"), np.arange(1902, 1925)).round(1)[[0, 2, 19, 20, 21]]
    array([0. , 1. , 1. , 0.5, 0. ])
    """
    sure = when.sure_first_year, when.sure_last_year
    height = np.max(
        [_between(years, s, *(sure if when.kind == "interval" else s[:2])) for s in when.year_spans], axis=0
    )
    top = height.max(initial=0.0)
    return np.asarray(height / top) if 0.0 < top < 1.0 and _vague(when) else np.asarray(height)


def _between(years: Years, span: SoftYears, sure_first: int | None, sure_last: int | None) -> Floats:
    rise = _rise(years, span.first, sure_first, span.soft_before)
    return np.asarray(np.minimum(rise, _rise(-years, _minus(span.last), _minus(sure_last), span.soft_after)))


def _vague(when: UncertainDate) -> bool:
    """Whether the sure ends cross (193X/193X): no year is sure, but the thing was in use in some."""
    first, last = when.sure_first_year, when.sure_last_year
    return first is not None and last is not None and first > last


def _minus(year: int | None) -> int | None:
    return None if year is None else -year


def _rise(years: Years, first: int | None, sure: int | None, soft: int) -> Floats:
    if first is None or sure is None:
        return np.ones(len(years))
    start = first - soft - 1
    return np.asarray(np.clip((years - start) / max(1, sure - start), 0.0, 1.0))


def with_tail(height: Floats) -> Floats:
    """A window with the small tail that old stamps and re-issues leave on either side, and a floor under all years.

    Parameters
    ----------
    height : array, shape (years,)
        0 to 1, a year apart.

    Examples
    --------
    >>> beside = with_tail(np.array([0.0, 0.0, 1.0, 0.0]))
    >>> bool(0 < beside[0] < beside[1] < 0.1), float(beside[2])
    (True, 1.0)
    """
    inside = np.flatnonzero(height >= 1.0)
    if len(inside) == 0:
        return np.asarray(np.maximum(height, habit("floor")))
    at = np.arange(len(height))
    later = np.searchsorted(inside, at)
    away = np.minimum(
        np.abs(at - inside[np.minimum(later, len(inside) - 1)]), np.abs(at - inside[np.maximum(later - 1, 0)])
    )
    tail = habit("beyond") * np.exp(-away / habit("beyond_years"))
    return np.asarray(np.maximum.reduce([height, tail, np.full(len(height), habit("floor"))]))


def use_window(uses: Iterable[str | None], mark: Mark, side: str, years: Years) -> Floats:
    """Heights of one mark over the years.

    Parameters
    ----------
    uses : iterable of str or None
        Recorded uses, EDTF; several are an envelope. A use without a date, or none at all, leaves it to the lettering.
    mark : Mark
        Its lettering and device are dated by the general rules only where a use has no date.
    side : str
        "potted" for marks in the clay, "decorated" for those on top.
    years : array of int, shape (years,)

    Returns
    -------
    array, shape (years,)
        More than 0 everywhere, at most 1.

    Examples
    --------
    >>> plain = Mark("m", lettering="QUILLOW & TARN", technique="printed")
    >>> use_window(["1921/1968"], plain, "decorated", np.arange(1919, 1923)).round(3)
    array([0.02 , 0.025, 1.   , 1.   ])
    """
    dated = sorted(set(uses), key=str) or [None]
    heights = [lettering_window(mark, side, years) if use is None else _dated(use, years) for use in dated]
    return np.asarray(np.max(heights, axis=0))


def _dated(use: str, years: Years) -> Floats:
    return with_tail(trapezoid(parse_edtf(use), years))


def lettering_window(mark: Mark, side: str, years: Years) -> Floats:
    """What the general rules of wording, written years and registrations say of a mark's own lettering.

    Of one family only the lowest height counts; families multiply. A rule on a design, which may be older than the
    piece, is left out. Without lettering, flat.

    Examples
    --------
    >>> heights = lettering_window(Mark("m", lettering="MADE IN JAPAN"), "decorated", np.array([1880, 1950]))
    >>> bool(heights[0] < heights[1])
    True
    """
    found = lettering_evidence(mark.lettering, mark.device, mark.technique)
    heights = product_of_families((item for item in found if item.speaks_of == (side,)), years)
    return np.asarray(np.maximum(heights, habit("floor")))


@lru_cache(maxsize=4096)
def lettering_evidence(lettering: str | None, device: str | None, technique: str | None) -> tuple[Evidence, ...]:
    """Everything that the general rules find in the lettering and device of one mark."""
    how = technique if technique in IN_CLAY else "printed"
    parts = [MarkPart(part.text, part.lettering, how) for part in parse_mark(lettering)] if lettering else []
    foot = Foot((*parts, *([MarkPart(device, False, how)] if device else [])))
    return tuple(item for of in (wording, written_years, registration) for item in of.evidence(foot))


def product_of_families(items: Iterable[Evidence], years: Years) -> Floats:
    """Product over families of the lowest height of each, shape (years,); 1 without any."""
    lowest: dict[str, Floats] = {}
    for item in items:
        height = item.likelihood(years)
        lowest[item.family] = np.minimum(lowest[item.family], height) if item.family in lowest else height
    return np.asarray(np.prod([lowest[family] for family in sorted(lowest)] or [np.ones(len(years))], axis=0))
