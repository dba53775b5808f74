"""When a piece was designed, potted and decorated, whatever it is: every cell by its window, outside by the rules."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from footring.marks.evidence import Window as Years
from footring.marks.evidence import envelope
from footring.marks.readings import feet
from footring.reasoning.date_finding import MASSES, REPORTED, DateAnswer, date_evidence
from footring.reasoning.date_mark import country_of, foot_evidence
from footring.reasoning.examination import Examination, Way
from footring.reasoning.gaps import gaps
from footring.reasoning.hard import Bounds, hard_windows
from footring.reasoning.intervals import highest_density_set, median_year
from footring.reasoning.marginals import marginals
from footring.reasoning.model import Model
from footring.reasoning.posterior import Weighed
from footring.reasoning.window_masses import Chosen, years_before
from footring.terms.dates import parse_edtf

Floats = NDArray[np.float64]
_LEAST = 1e-9
"""Share of the mass below which it is not asked what is left."""


def piece_dates(examination: Examination) -> dict[str, DateAnswer]:
    """The four dates over everything the piece may be.

    Parameters
    ----------
    examination : Examination

    Returns
    -------
    dict of date to DateAnswer
        Of a form or decoration that the reference dates, the design is of that date; of others it is older than the
        piece by as much as such things are. Without any line in the reference: by the general rules alone.
    """
    model = examination.model
    if not len(model.form_line):
        foot = feet(examination.readings)[None]
        return dict(date_evidence(foot_evidence(foot, model.rules.schemes), model.prior, country_of(foot)).dates)
    mixed = {name: examination.outside * examination.dates.outside.density[name] for name in REPORTED}
    for share, way in zip(examination.shares, examination.ways, strict=True):
        for name, mass in way_dates(examination, way).items():
            mixed[name] = mixed[name] + share * mass
    windows = hard_windows(examination.dates.evidence)
    return {name: _answer(model.eras.years, mass, windows[name]) for name, mass in mixed.items()}


def _answer(years: NDArray[np.int64], mass: Floats, window: Bounds) -> DateAnswer:
    density = mass / mass.sum()
    sets = {share: highest_density_set(years, density, share / 100) for share in MASSES}
    return DateAnswer(median_year(years, density), sets, window, years, density)


def way_dates(examination: Examination, way: Way) -> dict[str, Floats]:
    """Mass at each year of each date, for one way of taking the readings; each sums to the way's total."""
    w, own = way.weighed, examination.dates.own
    found = _tree(examination, way)
    form = np.bincount(w.model.known.cell_form, w.cell, len(w.form)) + w.unrecorded_form
    for name, table, mass in (
        ("form_designed", "forms", form),
        ("pattern_designed", "decorations", marginals(w)["decoration"][:-1]),
    ):
        known, told = _designed(w.model, table, mass, own[name])
        if known.any():
            left = max(w.total - float(told.sum()), 0.0)
            rest = _tree(examination, way, _open(w, name, ~known))[name] if left > _LEAST * w.total else told
            shape = rest if rest.sum() > 0.0 else found[name]
            found[name] = told + (left / max(float(shape.sum()), 1e-300)) * shape
    return found


def _tree(examination: Examination, way: Way, chosen: Chosen | None = None) -> dict[str, Floats]:
    """The dates hung on one another, as `dates.date_posterior`, with the windows and marks of what is chosen."""
    own, before = examination.dates.own, years_before(way.weighed, chosen)
    between, seen = gaps(before.shape[1]), way.years
    decorated = before if seen is None else before * seen.decorated
    potted = np.ones_like(before) if seen is None else seen.potted
    at_potting = (decorated @ between.lag) * potted
    at_decorating = decorated * (potted @ between.lag.T)
    all_potted, all_decorated = at_potting.sum(axis=0), at_decorating.sum(axis=0)
    return {
        "form_designed": _earlier(all_potted, between.form_age, own["form_designed"]),
        "pattern_designed": _earlier(all_decorated, between.pattern_age, own["pattern_designed"]),
        "potted": all_potted,
        "decorated": all_decorated,
    }


def _earlier(later: Floats, age: Floats, own: Floats) -> Floats:
    """Mass of a date of design from that of what follows it, which has what was read of the design in it."""
    seen = age @ own
    return np.asarray((np.divide(later, seen, out=np.zeros(len(later)), where=seen > 0) @ age) * own)


def _designed(model: Model, table: str, mass: Floats, own: Floats) -> tuple[NDArray[np.bool_], Floats]:
    """Which things have a date of design of their own, and the mass of those at each year."""
    column, years = model.reference.tables[table].text("designed"), model.eras.years
    told = np.zeros(len(years))
    if column.vocabulary is None or not len(column.vocabulary):
        return np.zeros(len(column), bool), told
    by_text = np.bincount(column.values[column.known], mass[column.known], len(column.vocabulary))
    for text, of in zip(column.vocabulary.tolist(), by_text.tolist(), strict=True):
        height = _height(str(text), int(years[0]), len(years))
        whole = height * own if (height * own).sum() > 0.0 else height
        told += of * whole / max(float(whole.sum()), 1e-300)
    return column.known, told


@lru_cache(maxsize=4096)
def _height(edtf: str, first: int, years: int) -> Floats:
    """Height of a stated date at each year; even throughout where it lies outside them all."""
    grid = np.arange(first, first + years)
    height = envelope([Years(*span) for span in parse_edtf(edtf).year_spans], grid)
    return height if height.sum() > 0.0 else np.ones(years)


def _open(w: Weighed, name: str, wanted: NDArray[np.bool_]) -> Chosen:
    """What has none of the designs that are dated."""
    if name == "form_designed":
        return Chosen(forms=wanted.astype(float))
    by_row = np.append(wanted.astype(float), 1.0)
    pairs = by_row[w.model.shares.parts.pair_decoration]
    return Chosen(treatments=by_row[w.model.known.treatments[:, 3]], pairs=pairs)
