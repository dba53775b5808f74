"""Parameters from the pieces that people have settled, to a fixed point."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from footring.marks.readings import Reading, feet
from footring.reasoning.channels.fit import fit_rates
from footring.reasoning.classes import Classes
from footring.reasoning.eras import SPAN
from footring.reasoning.model import Model, compile_model, compile_windows
from footring.reasoning.outside_fit import fit_outside
from footring.reasoning.parameters import Parameters, default_parameters
from footring.reasoning.piece_readings import settled_readings
from footring.reasoning.piece_years import piece_years
from footring.reasoning.slots import by_slot, choices
from footring.reasoning.unreadable import check_readings
from footring.reasoning.weight_fit import fit_weights
from footring.reference import Reference

Floats = NDArray[np.float64]
Settled = Mapping[int, list[Reading]]
TRUSTS = (0.99, 0.95, 0.9, 0.8, 0.7, 0.5)
MOST_DATED = 4000
"""Dated pieces that are looked at: every so many-th beyond it."""
DATED_SHARE = 0.05
"""A piece is dated when some year holds this much of its chances."""


def learn(reference: Reference, start: Parameters | None = None) -> Parameters:
    """Fit everything that is fitted.

    Parameters
    ----------
    reference : Reference
        Its confirmed attributions, and the readings of the pieces they are of.
    start : Parameters or None
        What is believed before; None for the defaults. The answer leans on it where there is little to go by, so
        start from the defaults and the same reference gives the same answer however often it is asked.

    Raises
    ------
    ReferenceFaults
        Readings that cannot be read, all of them named.

    Notes
    -----
    The answer is the same whatever the order of the rows.

    Examples
    --------
    >>> from footring.reference import compile_reference
    >>> learn(compile_reference({})).outside
    0.02
    """
    check_readings(reference)
    found = start or default_parameters()
    found = replace(found, rates=fit_rates(reference))
    found = replace(found, outside=fit_outside(reference, found))
    settled = settled_readings(reference)
    unnumbered, otherwise = _numbered(reference, settled, found)
    found = replace(found, unnumbered=unnumbered, unnumbered_else=otherwise)
    found = fit_weights(reference, found)
    return _with_years(reference, found, settled) if settled else found


def _numbered(reference: Reference, settled: Settled, start: Parameters) -> tuple[dict[str, float], dict[str, float]]:
    """Share of pieces without a number, by line: where the reference has one for the treatment, and where not."""
    tables = reference.tables
    links, current = tables["numbers"].links, tables["numbers"].current
    has = {(int(l_), int(d)) for l_, d in zip(links["line"][current], links["decoration"][current], strict=True)}
    ids = list(tables["lines"].ids)
    counts: dict[tuple[str, bool], list[float]] = defaultdict(lambda: [0.0, 0.0])
    attributions = tables["attributions"].links
    for row, readings in settled.items():
        for reading in readings:
            if reading.name == "number":
                line, decoration = int(attributions["line"][row]), int(attributions["decoration"][row])
                for name in (ids[line], ""):
                    counts[name, (line, decoration) in has][int(reading.absent)] += 1.0
    return _absent(counts, True, start.unnumbered), _absent(counts, False, start.unnumbered_else)


def _absent(
    counts: Mapping[tuple[str, bool], Sequence[float]], known: bool, start: Mapping[str, float]
) -> dict[str, float]:
    whole = counts.get(("", known), [0.0, 0.0])
    base = (whole[1] + 4.0 * start[""]) / (sum(whole) + 4.0)
    found = {"": base}
    for (line, has), (there, absent) in sorted(counts.items()):
        if line and has == known:
            found[line] = (absent + 4.0 * base) / (there + absent + 4.0)
    return found


def _with_years(reference: Reference, found: Parameters, settled: Settled) -> Parameters:
    """Years of dated pieces by line, decoration and form, and how far documents' years are trusted."""
    model = compile_model(reference, found)
    dated = _dated_pieces(model, settled)
    best, best_fit, windows = found, -np.inf, model.classes
    for trust in TRUSTS:
        tried = replace(found, window_trust=trust)
        classes = compile_windows(model, tried)
        fit = float(sum(np.log(max(_years(classes, piece).sum(), 1e-12)) for piece in dated))
        if fit > best_fit + 0.5:
            best, best_fit, windows = tried, fit, classes
    return replace(best, dated=_by_span(model, windows, dated))


class _Dated(NamedTuple):
    """A piece with something that dates it: its attribution, its cell, and p(what dates it | mark group, year)."""

    row: int
    cell: int
    message: Floats


def _dated_pieces(model: Model, settled: Settled) -> list[_Dated]:
    """Dated pieces of recorded cells, every so many-th of many."""
    links, known = model.reference.tables["attributions"].links, model.known
    cells = zip(known.cell_form.tolist(), known.treatments[known.cell_treatment].tolist(), strict=True)
    at = {(form, *treatment): cell for cell, (form, treatment) in enumerate(cells)}
    found = []
    for row in list(settled)[:: max(1, len(settled) // MOST_DATED)]:
        cell = at.get(tuple(int(links[c][row]) for c in ("form", "line", "body", "glaze", "decoration", "trim")))
        if cell is not None and (message := _message(model, settled[row])) is not None:
            found.append(_Dated(row, cell, message))
    return found


def _years(classes: Classes, piece: _Dated) -> Floats:
    """p(year, what dates a piece), by the window of its cell; shape (years,)."""
    e = classes.cell_e[piece.cell]
    return np.asarray(classes.windows[e] * piece.message[classes.e_group[e]])


def _message(model: Model, readings: Sequence[Reading]) -> Floats | None:
    """p(what dates a piece | mark group, year); None where its years stay wide open."""
    dates = model.rules.piece_dates(feet(readings)[None])
    of_marks = [r for r in readings if r.name.startswith("mark")]
    _, factors = max(choices(model.channels.factors(of_marks)), key=lambda way: way[0])
    years = piece_years(model, by_slot(factors)[0], dates)
    if years is None or years.total.max() <= 0:
        return None
    return np.asarray(years.total / years.total.max())


def _by_span(model: Model, classes: Classes, dated: Sequence[_Dated]) -> dict[str, dict[int, float]]:
    """Posterior years of dated pieces, added up by spans of years."""
    tables, years = model.reference.tables, model.eras.years
    links = tables["attributions"].links
    lines, forms, decorations = (list(tables[t].ids) for t in ("lines", "forms", "decorations"))
    starts = years[::SPAN]
    found: dict[str, Floats] = {}
    for piece in dated:
        mass = _years(classes, piece)
        if mass.sum() <= 0:
            continue
        share = mass / mass.sum()
        if share.max() < DATED_SHARE:
            continue
        line, form, decoration = (int(links[c][piece.row]) for c in ("line", "form", "decoration"))
        spread = np.add.reduceat(share, np.arange(0, len(years), SPAN))
        keys = [lines[line], f"{lines[line]}/{decorations[decoration]}" if decoration >= 0 else "",
                f"{lines[line]}//{forms[form]}" if form >= 0 else ""]  # fmt: skip
        for key in keys:
            if key:
                found[key] = found.get(key, 0.0) + spread
    return {
        key: {int(y): round(float(n), 4) for y, n in zip(starts, spread, strict=True) if n > 5e-3}
        for key, spread in sorted(found.items())
    }
