"""Lids and bases: which forms are lids, and whether a lid and a base were issued together."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from math import log2

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.conflicts import Conflict
from footring.reasoning.finding import Finding
from footring.reasoning.model import Model
from footring.reasoning.thing_names import TABLE_OF
from footring.reference import TREATMENT

Floats = NDArray[np.float64]
MOST_BITS = 60.0
MOST = 20
"""Forms in treatments that are looked at, of each part."""
MARRIED = (
    "married or a replacement lid, or a pair that nobody has recorded; the reference does not have them issued together"
)


@dataclass(frozen=True, slots=True)
class Pairing:
    """What is known of a lid and a base that are together.

    Parameters
    ----------
    conflict : Conflict or None
    note : str or None
        That they were issued together.
    """

    conflict: Conflict | None = None
    note: str | None = None


def lid_forms(model: Model) -> NDArray[np.bool_]:
    """Which forms are the lid of something, shape (forms,)."""
    table = model.reference.tables["goes_with"]
    lids = np.zeros(len(model.form_line), bool)
    lids[table.links["form"][_pairs(model)]] = True
    return lids


def _pairs(model: Model) -> NDArray[np.intp]:
    table = model.reference.tables["goes_with"]
    kinds = table.spec.column("kind").choices or ()
    known = (table.links["form"] >= 0) & (table.links["with_form"] >= 0)
    return np.flatnonzero((table.links["kind"] == kinds.index("lid")) & table.current & known)


def restricted(model: Model, forms: NDArray[np.bool_]) -> Floats | None:
    """What being one of some forms multiplies the prior with; None where they are none or have no share."""
    share = float(model.form_prior[forms].sum())
    return forms / share if share > 0.0 else None


def pairing(model: Model, lid: Finding, base: Finding) -> Pairing:
    """Whether a lid and a base were issued together.

    Parameters
    ----------
    lid, base : Finding
        What each may be.

    Returns
    -------
    Pairing
        Empty where the reference says nothing of what goes with either. What a row leaves open may be any: one that
        names no treatment pairs the forms whatever the treatment of each.
    """
    rules = _rules(model)
    together = apart = 0.0
    for (lid_form, *lid_parts), p in _by_form(model, lid).items():
        for (base_form, *base_parts), q in _by_form(model, base).items():
            if any(lid_form == rule[0] or base_form == rule[5] for rule in rules):
                fits = any(_fits(rule, (lid_form, *lid_parts), (base_form, *base_parts)) for rule in rules)
                together, apart = together + p * q * fits, apart + p * q * (not fits)
    if together + apart < 0.5:
        return Pairing()
    if together >= apart:
        return Pairing(note="The lid and the base were issued together.")
    bits = min(log2(apart / together), MOST_BITS) if together > 0.0 else MOST_BITS
    return Pairing(Conflict(("the lid", "the base"), bits, MARRIED))


Rule = tuple[int, ...]


def _rules(model: Model) -> list[Rule]:
    table = model.reference.tables["goes_with"]
    columns = ("form", *TREATMENT, "with_form", *(f"with_{part}" for part in TREATMENT))
    return [tuple(int(table.links[column][row]) for column in columns) for row in _pairs(model).tolist()]


def _by_form(model: Model, part: Finding) -> dict[tuple[int, ...], float]:
    """Probability of forms in treatments; a part that is not told with its row is the likeliest on the whole."""
    usual = {name: _usual(model, name, part) for name in TREATMENT}
    found: dict[tuple[int, ...], float] = defaultdict(float)
    for row in part.attributions:
        values = ((row.values[name], usual[name]) for name in TREATMENT)
        parts = (usually if value.state == "unknown" else value.row for value, usually in values)
        found[(row.values["form"].row, *parts)] += row.p
    return dict(sorted(found.items(), key=lambda item: -item[1])[:MOST])


def _usual(model: Model, name: str, part: Finding) -> int:
    """Row of the value that is likelier than all others together; -1 for none."""
    _, p, which = part.marginals[name][0] if part.marginals.get(name) else (None, 0.0, None)
    return model.reference.tables[TABLE_OF[name]].ids.find(which) if which and p > 0.5 else -1


def _fits(rule: Rule, lid: tuple[int, ...], base: tuple[int, ...]) -> bool:
    if rule[0] != lid[0] or rule[5] != base[0]:
        return False
    given = zip((*rule[1:5], *rule[6:]), (*lid[1:], *base[1:]), strict=True)
    return all(want < 0 or is_ < 0 or want == is_ for want, is_ in given)
