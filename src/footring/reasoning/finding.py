"""Everything concluded about one piece."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.care.cautions import Caution
from footring.marks.readings import Reading
from footring.reasoning.attributions import NAMES, Attribution
from footring.reasoning.carried import carried
from footring.reasoning.date_finding import DateAnswer
from footring.reasoning.examination import Examination
from footring.reasoning.thing_names import TABLE_OF, Names
from footring.reference import TREATMENT

Floats = NDArray[np.float64]
Share = tuple[str, float, str | None]
"""Value, probability and id; "none", "new" and "unknown" have no id."""
_ENDS: dict[str, tuple[str, ...]] = dict.fromkeys(
    ("number", "in_clay_mark", "printed_mark", "customer"), ("none", "new")
)
_ENDS |= dict.fromkeys(TREATMENT, ("new",))


@dataclass(frozen=True, slots=True)
class Finding:
    """What one piece, or its lid, is and when it was made, how sure, and why.

    Parameters
    ----------
    readings : tuple of Reading
        What it rests on.
    outside : float
        Probability of a maker or line that the reference does not hold.
    unrecorded : float
        Probability of a known line and a form in a treatment that neither a piece nor a document names.
    attributions : tuple of Attribution
        The likeliest, in order.
    rest : float
        What all other attributions have together; with `attributions` and `outside` it makes 1.
    marginals : mapping of name to list of (value, probability, id)
        Each attribute on its own, given not outside, the likeliest first. Empty where all is outside.
    dates : mapping of name to DateAnswer
        form_designed, pattern_designed, potted and decorated, over everything it may be.
    evidence, conflicts, unusual, next : tuples
        Why, what fights, what is unusual about the leading answer, and what to look at next.
    cautions : tuple of Caution
        The most urgent first.
    notes : tuple of str
        What could not be used, and why.
    provenance : mapping of str to str
        Version, and digests of reference and parameters.
    lid : Finding or None
        The lid's own, where it was read apart.
    together : str or None
        That lid and base were issued together, where the reference says so.
    about : str or None
        What `next` is meant to tell, where it was asked for.
    """

    readings: tuple[Reading, ...]
    outside: float
    unrecorded: float
    rest: float
    attributions: tuple[Attribution, ...]
    marginals: Mapping[str, list[Share]]
    dates: Mapping[str, DateAnswer]
    evidence: tuple[Any, ...]
    conflicts: tuple[Any, ...]
    unusual: tuple[Any, ...]
    next: tuple[Any, ...]
    cautions: tuple[Caution, ...]
    notes: tuple[str, ...]
    provenance: Mapping[str, str]
    lid: Finding | None = None
    together: str | None = None
    about: str | None = None


def named_marginals(examination: Examination, names: Names) -> dict[str, list[Share]]:
    """Every attribute on its own, by name, the likeliest first; see `Finding.marginals`."""
    if examination.outside >= 1.0 or not len(examination.model.form_line):
        return {}
    found = {**examination.marginals, **carried(examination)}
    sized = any("size" in way.weighed.slots for way in examination.ways)
    return {
        name: _named(name, found[name], names, "new" if name == "size" and sized else "unknown")
        for name in (*NAMES, "customer")
        if name in found
    }


def _named(name: str, p: Floats, names: Names, otherwise: str) -> list[Share]:
    ends = _ENDS.get(name, ())
    values = len(p) - len(ends)
    shares: list[Share] = []
    for row in np.argsort(-p, kind="stable").tolist():
        if p[row] > 0.0:
            if row < values:
                value = names.value(TABLE_OF[name], row)
                shares.append((str(value.name), float(p[row]), value.id))
            else:
                shares.append((ends[row - values], float(p[row]), None))
    left = 1.0 - float(p.sum())
    if left > _LEAST:
        shares.append((otherwise, left, None))
        shares.sort(key=lambda share: -share[1])
    return shares


_LEAST = 1e-9
"""Share of what is not known that is told."""
