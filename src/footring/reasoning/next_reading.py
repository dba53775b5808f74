"""What to look at next: how much each reading not yet taken would tell of what the piece is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.examination import Examination
from footring.reasoning.information import information_bits
from footring.reasoning.model import Model
from footring.reasoning.posterior import average
from footring.terms.errors import UnknownName
from footring.terms.tables import read_table

Floats = NDArray[np.float64]
MOST = 200
"""Likeliest recorded cells that are told apart; forms in what nobody recorded, and outside, come besides."""
UNREADABLE = 0.1
"""Looks that tell nothing: worn, hidden, not to be made out (common practice, no source)."""
ABOUT = ("line", "form", "body", "glaze", "decoration", "trim")
_COLUMN = {"body": 1, "glaze": 2, "decoration": 3, "trim": 4}


@dataclass(frozen=True, slots=True)
class NextReading:
    """A reading that could be taken.

    Parameters
    ----------
    reading : str
        Its name; a feature with where to look.
    bits : float
        Expected information about the line, form, treatment and outside, or about what was asked.
    minutes : float
        How long it takes.
    how : str
        How to look.
    """

    reading: str
    bits: float
    minutes: float
    how: str


@dataclass(frozen=True, slots=True, eq=False)
class _Options:
    """What the piece may be: a row for each; form and treatment -1 outside, treatment -1 where it is not settled."""

    p: Floats
    form: NDArray[np.int64]
    treatment: NDArray[np.int64]
    e: NDArray[np.int64]


def next_readings(examination: Examination, about: str | None = None) -> tuple[NextReading, ...]:
    """Readings not yet taken, the most telling first.

    Parameters
    ----------
    examination : Examination
    about : str or None
        One of `ABOUT`; None for everything at once.

    Raises
    ------
    UnknownName
        If nothing can be told about that.
    """
    if about is not None and about not in ABOUT:
        raise UnknownName(f"nothing can be asked about {about!r}: expected one of {', '.join(ABOUT)}")
    model, taken = examination.model, {r.name for r in examination.readings}
    options = _options(examination)
    target = _target(model, options, about)
    found = []
    for name, outcomes in _outcomes(model, options):
        if name.partition(":")[0] in taken:
            continue
        by_target = _grouped(options.p, target, outcomes * (1.0 - UNREADABLE))
        prior = np.bincount(target, options.p)
        bits = information_bits(prior, np.column_stack([by_target, np.full(len(prior), UNREADABLE)]))
        minutes, how = _how(name)
        found.append(NextReading(name, round(bits, 4), minutes, how))
    return tuple(sorted(found, key=lambda n: (-n.bits, n.reading)))


def _grouped(p: Floats, target: NDArray[np.int64], outcomes: Floats) -> Floats:
    """p(outcome | target), averaged over what else is not known."""
    count = int(target.max()) + 1
    mass = np.zeros((count, outcomes.shape[1]))
    np.add.at(mass, target, p[:, None] * outcomes)
    total = np.bincount(target, p, count)
    return np.asarray(np.where(total[:, None] > 0, mass / np.maximum(total, 1e-300)[:, None], 1.0 / outcomes.shape[1]))


def _options(examination: Examination) -> _Options:
    model, known = examination.model, examination.model.known
    cells = np.argsort(-examination.cells, kind="stable")[:MOST]
    open_form = examination.unrecorded_forms
    forms = np.flatnonzero(open_form > 1e-6)
    p = np.concatenate([examination.cells[cells], open_form[forms], [examination.outside]])
    first = np.full(len(forms), -1)
    return _Options(
        p / max(p.sum(), 1e-300),
        np.concatenate([known.cell_form[cells], forms, [-1]]).astype(np.int64),
        np.concatenate([known.cell_treatment[cells], first, [-1]]).astype(np.int64),
        np.concatenate([model.classes.cell_e[cells], first, [-1]]).astype(np.int64),
    )


def _target(model: Model, options: _Options, about: str | None) -> NDArray[np.int64]:
    if about is None:
        return np.arange(len(options.p))
    if about == "form":
        value = options.form
    elif about == "line":
        value = np.where(options.form >= 0, _at(model.form_line, options.form), -1)
    else:
        value = np.where(options.treatment >= 0, _at(model.known.treatments[:, _COLUMN[about]], options.treatment), -1)
    return np.asarray(np.unique(value, return_inverse=True)[1]).ravel()


def _at(values: NDArray[np.int32], rows: NDArray[np.int64]) -> NDArray[np.int64]:
    return values[rows].astype(np.int64) if len(values) else np.full(len(rows), -1)


def _outcomes(model: Model, options: _Options) -> Iterator[tuple[str, Floats]]:
    """Name and p(outcome | option) of each reading; rows sum to 1."""
    inside = options.form >= 0
    line = np.where(inside, _at(model.form_line, options.form), -1)
    yield "line", _told(model, "line", line, model.shares.line)
    yield "form", _told(model, "form", options.form, model.form_prior)
    for name, column in _COLUMN.items():
        part = np.where(options.treatment >= 0, _at(model.known.treatments[:, column], options.treatment), -1)
        yield name, _told(model, name, part, average(model, name))
    yield "across", _sizes(model, options)
    yield "number", _numbers(model, options)
    yield from _features(model, options.form)
    for name, side in (("mark", model.marks.printed), ("in_clay", model.marks.in_clay)):
        yield name, _marks(model, options, side.none)


def _told(model: Model, name: str, value: NDArray[np.int64], share: Floats) -> Floats:
    """A value named, with the channel's own rate of misreading; where it is not known, as it is on the average."""
    share = share / max(share.sum(), 1e-300) if len(share) else np.ones(1)
    slip = min(0.5, model.channels.rates.of(name, "misread"))
    rows = np.tile(share, (len(value), 1))
    said = np.flatnonzero(value >= 0)
    rows[said] *= slip
    rows[said, value[said]] += 1.0 - slip
    return np.asarray(rows / rows.sum(axis=1, keepdims=True))


def _sizes(model: Model, options: _Options) -> Floats:
    """Width in bins a tenth apart."""
    mm = model.reference.tables["sizes"].numbers["across_mm"].astype(float)
    bins = np.append(np.floor(np.log(np.where(np.isnan(mm), 1.0, mm)) / 0.1).astype(int), 0)
    values, which = np.unique(bins, return_inverse=True)
    of_form = np.zeros((len(model.form_line) + 1, len(values)))
    np.add.at(of_form, (model.size_form, which[:-1]), model.size_share)
    mean = of_form.sum(axis=0) + 1e-9
    of_form[of_form.sum(axis=1) <= 0] = mean / mean.sum()
    rows = 0.95 * of_form + 0.05 * mean / mean.sum()
    return np.asarray((rows / rows.sum(axis=1, keepdims=True))[options.form])


def _numbers(model: Model, options: _Options) -> Floats:
    """Which number, none, or one that is not known."""
    number = model.numbering
    count = number.own.shape[1]
    rows = np.zeros((len(options.p), count + 2))
    rows[:, -1], rows[:, -2] = 0.5, 0.5
    said = np.flatnonzero(options.treatment >= 0)
    k = options.treatment[said]
    if len(k):
        rows[said, :count] = number.own[k].toarray() * (1.0 - number.absent[k])[:, None]
        rows[said, -2] = number.absent[k]
        rows[said, -1] = np.maximum(1.0 - rows[said, :-1].sum(axis=1), 0.0)
    return rows


def _features(model: Model, form: NDArray[np.int64]) -> Iterator[tuple[str, Floats]]:
    table = model.reference.tables["telltales"]
    places, seen, other = (table.text(c).tolist() for c in ("look_at", "seen", "seen_on_other"))
    for place in sorted({str(p) for p in places}):
        chance = np.full(len(model.form_line) + 1, 0.5)
        words = sorted({str(w) for i, p in enumerate(places) if p == place for w in (seen[i], other[i])})
        for i in np.flatnonzero(table.current).tolist():
            if places[i] == place:
                for column, word in (("form", seen[i]), ("other_form", other[i])):
                    chance[table.links[column][i]] = 0.95 if word == words[0] else 0.05
        yield f"feature: {place}", np.stack([chance[form], 1.0 - chance[form]], axis=1)


def _marks(model: Model, options: _Options, none: Floats) -> Floats:
    """Which mark, as far as the window of each option tells; or none."""
    side = model.marks.printed if none is model.marks.printed.none else model.marks.in_clay
    rows = np.full((len(options.p), side.marks + 2), 1e-3 / (side.marks + 2))
    groups = np.where(options.form >= 0, _at(model.marks.group_of_form, options.form), -1)
    for at in np.flatnonzero(groups >= 0).tolist():
        group, e = groups[at], options.e[at]
        years = model.classes.windows[e] if e >= 0 else model.eras.line_density[model.form_line[options.form[at]]]
        first, last = np.searchsorted(side.pair_group, [group, group + 1])
        np.add.at(rows[at], side.pair_mark[first:last], side.share[first:last] @ years)
        rows[at, -2] += float(side.none[group] @ years)
        rows[at, -1] += float((side.new[group] + side.other[group]) @ years)
    rows[groups < 0, -1] = 1.0
    return np.asarray(rows / rows.sum(axis=1, keepdims=True))


def _how(name: str) -> tuple[float, str]:
    root, _, place = name.partition(": ")
    row = next(r for r in read_table("footring.reasoning", "how_to_look.csv") if r["reading"] == root)
    return float(row["minutes"]), f"{row['how']} Look at: {place}." if place else row["how"]


def minutes_first(readings: Sequence[NextReading]) -> list[NextReading]:
    """In the order of bits a minute."""
    return sorted(readings, key=lambda n: -n.bits / n.minutes)
