"""What could be read next, and how likely each outcome is whatever the piece is: the channels' own confusions."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from math import ceil, exp, log

import numpy as np
from numpy.typing import NDArray

from footring.marks.readings import Reading
from footring.reasoning.channels.factor import SLOTS, Factor
from footring.reasoning.channels.named import word_key
from footring.reasoning.next_atoms import Atoms
from footring.reasoning.piece_years import SIDES
from footring.reasoning.slots import choices
from footring.reference import TREATMENT
from footring.terms.errors import BadInput

Floats = NDArray[np.float64]
Outcomes = tuple[str, Floats]
MOST = 12
"""Values that are told apart among the outcomes; all others together are one more."""
_STEP = 0.015
"""Lengths that are told apart, as a share of them: no wider than sizes of one kind are spread."""
_CODE_YEARS = 3
"""Years that a date code, once read, leaves open (common practice, no source)."""
_WORDS = {"maker": "maker", "line": "line", "form": "form", "trade_size": "size"} | {part: part for part in TREATMENT}
_KINDS = {"effect": ("glaze", "effect"), "technique": ("decoration", "technique")}
_MEASURES = {"across": "across_mm", "height": "high_mm"}


def outcomes(atoms: Atoms) -> Iterator[Outcomes]:
    """Every reading that was not taken: its name, and p(outcome | atom), shape (atoms, outcomes), rows summing to 1.

    Notes
    -----
    A value is told by its own name only; other names of it count among all others, so that a reading may tell a
    little more than this says, never less.
    """
    taken = {reading.name for reading in atoms.examination.readings}
    ways: dict[str, Callable[[Atoms, str], Floats | None]] = {
        **dict.fromkeys(_WORDS, _words), **dict.fromkeys(_KINDS, _kinds), **dict.fromkeys(_MEASURES, _measured),
        "number": _numbers, "date_code": _codes,
    }  # fmt: skip
    for name, way in ways.items():
        if name not in taken and (found := way(atoms, name)) is not None:
            yield name, found
    yield from _marks(atoms)
    yield from _features(atoms)


def _words(atoms: Atoms, name: str) -> Floats | None:
    slot = _WORDS[name]
    values = atoms.sizes() if slot == "size" else atoms.values(slot)
    column = "trade_size" if name == "trade_size" else "name"
    texts = atoms.examination.model.reference.tables[SLOTS[slot]].text(column)
    typed = {word_key(str(text)): str(text) for row in _likeliest(atoms, values) if (text := texts.value(row))}
    return _read(atoms, name, values, list(typed.values()))


def _kinds(atoms: Atoms, name: str) -> Floats | None:
    slot, column = _KINDS[name]
    words = atoms.examination.model.reference.tables[SLOTS[slot]].spec.column(column).choices or ()
    return _read(atoms, name, atoms.values(slot), [word for word in words if word != "none"])


def _features(atoms: Atoms) -> Iterator[Outcomes]:
    seen_at = {word_key(r.value.partition(":")[0]) for r in atoms.examination.readings if r.name == "feature"}
    table = atoms.examination.model.reference.tables["telltales"]
    places = {word_key(str(text)): str(text) for text in table.text("look_at").tolist() if text}
    for key in sorted(places.keys() - seen_at):
        named = atoms.examination.model.channels.features(key).named
        values = atoms.values("form")
        concerned = {thing for thing, _, _ in named.names}
        if not concerned.intersection(_likeliest(atoms, values)):
            continue
        seen = {word_key(word): f"{places[key]}: {word}" for _, word, _ in named.names}
        found = _read(atoms, "feature", values, list(seen.values())[:MOST], absent=False)
        if found is not None:
            yield f"feature: {places[key]}", found


def _numbers(atoms: Atoms, name: str) -> Floats | None:
    values, none = atoms.numbers()
    texts = atoms.examination.model.reference.tables["numbers"].text("code")
    typed = [str(text) for row in _likeliest(atoms, values) if (text := texts.value(row))]
    return _read(atoms, name, values, list(dict.fromkeys(typed)), none=none)


def _marks(atoms: Atoms) -> Iterator[Outcomes]:
    """The printed mark and the one in the clay, each as it stands, where nothing was read of it."""
    texts = atoms.examination.model.reference.tables["marks"].text("lettering")
    for name, side in (("mark", SIDES[1]), ("in_clay", SIDES[0])):
        if any(side in way.weighed.slots for way in atoms.examination.ways):
            continue
        values, none = atoms.marks(side)
        rows = [row for row in _likeliest(atoms, values).tolist() if texts.value(row)]
        if rows:
            yield name, _closed(np.concatenate([values[:, rows], none[:, None]], axis=1))


def _codes(atoms: Atoms, _: str) -> Floats | None:
    if not atoms.examination.model.rules.schemes:
        return None
    years = atoms.years()
    edges = np.arange(0, years.shape[1], _CODE_YEARS)
    return np.asarray(np.add.reduceat(years, edges, axis=1))


def _measured(atoms: Atoms, name: str) -> Floats | None:
    """A length, at places spread over the sizes that it may be."""
    measures = atoms.examination.model.channels.measures[name]
    values = atoms.sizes()
    mm = measures.recorded[_likeliest(atoms, values)]
    mm = mm[np.isfinite(mm)]
    if not len(mm):
        return None
    least, most = 0.9 * mm.min(), 1.1 * mm.max()
    at = np.geomspace(least, most, ceil(log(most / least) / _STEP))
    base = np.array([measures.base(float(x)) for x in at])
    density = np.array([measures.p(float(x), None) for x in at])
    heights = np.concatenate([density.T, base[None]]) * np.gradient(at)
    heights = np.append(heights, [base * np.gradient(at)], axis=0)
    of_outside = np.zeros((len(values), 1))
    of_outside[-1] = 1.0
    found = np.concatenate([values, of_outside], axis=1) @ heights
    return np.asarray(found / np.maximum(found.sum(axis=1, keepdims=True), 1e-300))


def _read(
    atoms: Atoms, name: str, values: Floats, typed: Sequence[str], *, absent: bool = True, none: Floats | None = None
) -> Floats | None:
    """p(outcome | atom): each of some texts, looked for and not there, and anything else."""
    if len(typed) == 0:
        return None
    readings = [Reading(name, text) for text in typed] + ([Reading(name, "", absent=True)] if absent else [])
    found = [_given(atoms, reading, values, none) for reading in readings]
    return _closed(np.array([column for column in found if column is not None]).T)


def _given(atoms: Atoms, reading: Reading, values: Floats, none: Floats | None) -> Floats | None:
    try:
        (factor,) = _factors(atoms, reading)
    except (BadInput, ValueError):
        return None
    rows = factor.log.shape[0]
    p = values[:, :rows] @ np.exp(factor.log)
    without = np.zeros(len(p)) if none is None else none
    left = np.maximum(1.0 - values[:, :rows].sum(axis=1) - without, 0.0)
    p = p + without * exp(factor.none) + left * exp(factor.new)
    p[-1] = exp(factor.outside)
    return np.asarray(p)


def _factors(atoms: Atoms, reading: Reading) -> list[Factor]:
    return [f for _, several in choices(atoms.examination.model.channels.factors([reading])) for f in several]


def _closed(found: Floats) -> Floats:
    """With what is left as one more outcome; rows that come to more than 1 are brought down to it."""
    found = found / np.maximum(found.sum(axis=1, keepdims=True), 1.0)
    return np.concatenate([found, np.maximum(1.0 - found.sum(axis=1, keepdims=True), 0.0)], axis=1)


def _likeliest(atoms: Atoms, values: Floats) -> NDArray[np.intp]:
    share = atoms.p @ values
    rows = np.argsort(-share, kind="stable")[:MOST]
    rows = rows[share[rows] > 1e-6]
    return rows[rows < values.shape[1] - 1] if values.shape[1] else rows
