"""Parameters from the pieces that people have settled, to a fixed point."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from footring.marks.readings import Reading, feet, read_reading
from footring.reasoning.channels.fit import fit_rates
from footring.reasoning.eras import SPAN
from footring.reasoning.model import Model, compile_model
from footring.reasoning.parameters import Parameters, default_parameters
from footring.reasoning.piece_years import piece_years
from footring.reasoning.slots import by_slot, choices
from footring.reasoning.weight_fit import fit_weights
from footring.reference import Reference

Floats = NDArray[np.float64]
TRUSTS = (0.99, 0.95, 0.9, 0.8, 0.7, 0.5)
MOST_DATED = 4000
"""Dated pieces that are looked at: every so many-th beyond it."""
DATED_SHARE = 0.2
"""A piece is dated when its years hold this much of what they could in one year."""


def learn(reference: Reference, start: Parameters | None = None) -> Parameters:
    """Fit everything that is fitted.

    Parameters
    ----------
    reference : Reference
        Its confirmed attributions, and the readings of the pieces they are of.
    start : Parameters or None
        What is believed before; None for the defaults. The answer leans on it where there is little to go by, so
        start from the defaults and the same reference gives the same answer however often it is asked.

    Notes
    -----
    The answer is the same whatever the order of the rows.

    Examples
    --------
    >>> from footring.reference import compile_reference
    >>> learn(compile_reference({})).outside
    0.02
    """
    found = start or default_parameters()
    found = replace(found, rates=fit_rates(reference))
    unnumbered, otherwise = numbered(reference, found)
    found = replace(found, unnumbered=unnumbered, unnumbered_else=otherwise)
    found = fit_weights(reference, found)
    settled = settled_readings(reference)
    if not settled:
        return found
    return _with_years(reference, found, settled)


def settled_readings(reference: Reference) -> Mapping[int, list[Reading]]:
    """Readings of the pieces with a confirmed attribution, by the row of that attribution; parts aside."""
    tables = reference.tables
    attributions, readings = tables["attributions"], tables["readings"]
    confirmed = np.flatnonzero(
        attributions.current & (attributions.links["basis"] == 0) & (attributions.links["part"] < 0)
        & (attributions.numbers["weight"] > 0.5)
    )  # fmt: skip
    of_piece = {int(attributions.links["piece"][row]): int(row) for row in confirmed}
    names, values = readings.text("name").tolist(), readings.text("value").tolist()
    absent, sure = readings.numbers["absent"], readings.numbers["sure"]
    found: dict[int, list[Reading]] = defaultdict(list)
    for i in np.flatnonzero(readings.current & (readings.links["part"] < 0)).tolist():
        row = of_piece.get(int(readings.links["piece"][i]))
        if row is None:
            continue
        value = "none" if absent[i] == 1 else str(values[i] or "")
        reading = read_reading(str(names[i]), value)
        if reading is not None:
            found[row].append(reading if np.isnan(sure[i]) else replace(reading, p=float(sure[i])))
    return {row: found[row] for row in sorted(found, key=lambda r: str(attributions.text("id").value(r)))}


def numbered(reference: Reference, start: Parameters) -> tuple[dict[str, float], dict[str, float]]:
    """Share of pieces without a number, by line: where the reference has one for the treatment, and where not."""
    tables = reference.tables
    numbers = tables["numbers"].links
    has = {(int(l_), int(d)) for l_, d in zip(numbers["line"], numbers["decoration"], strict=True)}
    ids = list(tables["lines"].ids)
    counts: dict[tuple[str, bool], list[float]] = defaultdict(lambda: [0.0, 0.0])
    attributions = tables["attributions"].links
    for row, readings in settled_readings(reference).items():
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


def _with_years(reference: Reference, found: Parameters, settled: Mapping[int, list[Reading]]) -> Parameters:
    """Years of dated pieces by line, decoration and form, and how far documents' years are trusted."""
    rows = list(settled)[:: max(1, len(settled) // MOST_DATED)]
    model = compile_model(reference, found)
    messages = {row: years for row in rows if (years := _message(model, settled[row])) is not None}
    best, best_fit = found, -np.inf
    for trust in TRUSTS:
        tried = replace(found, window_trust=trust)
        fit = _fit(compile_model(reference, tried), messages)
        if fit > best_fit + 0.5:
            best, best_fit = tried, fit
    return replace(best, dated=_dated(compile_model(reference, best), messages))


def _message(model: Model, readings: Sequence[Reading]) -> Floats | None:
    """p(what dates a piece | mark group, year); None where its years stay wide open."""
    dates = model.rules.piece_dates(feet(readings)[None])
    of_marks = [r for r in readings if r.name.startswith("mark")]
    (_, factors), *_ = sorted(choices(model.channels.factors(of_marks)), key=lambda way: -way[0])
    years = piece_years(model, by_slot(factors)[0], dates)
    if years is None or years.total.max() <= 0:
        return None
    return np.asarray(years.total / years.total.max())


def _cell_window(model: Model) -> dict[tuple[int, ...], int]:
    known, classes = model.known, model.classes
    return {(int(f), *map(int, known.treatments[k])): int(e)
            for f, k, e in zip(known.cell_form, known.cell_treatment, classes.cell_e, strict=True)}  # fmt: skip


def _posteriors(model: Model, messages: Mapping[int, Floats]) -> Iterator[tuple[int, Floats]]:
    links = model.reference.tables["attributions"].links
    at = _cell_window(model)
    for row, message in messages.items():
        key = tuple(int(links[c][row]) for c in ("form", "line", "body", "glaze", "decoration", "trim"))
        e = at.get(key)
        if e is not None:
            yield row, model.classes.windows[e] * message[model.classes.e_group[e]]


def _fit(model: Model, messages: Mapping[int, Floats]) -> float:
    return float(sum(np.log(max(mass.sum(), 1e-12)) for _, mass in _posteriors(model, messages)))


def _dated(model: Model, messages: Mapping[int, Floats]) -> dict[str, dict[int, float]]:
    """Posterior years of dated pieces, added up by spans of years."""
    tables, years = model.reference.tables, model.eras.years
    links = tables["attributions"].links
    lines, forms, decorations = (list(tables[t].ids) for t in ("lines", "forms", "decorations"))
    starts = years[::SPAN]
    found: dict[str, Floats] = {}
    for row, mass in _posteriors(model, messages):
        if mass.sum() <= 0:
            continue
        share = mass / mass.sum()
        if share.max() < DATED_SHARE / 4:
            continue
        line, form, decoration = (int(links[c][row]) for c in ("line", "form", "decoration"))
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
