"""What to look at next: how much each reading not yet taken would tell of what the piece is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.examination import Examination
from footring.reasoning.information import information_bits
from footring.reasoning.next_asked import WITHIN, told_apart
from footring.reasoning.next_atoms import Atoms, atoms
from footring.reasoning.next_outcomes import outcomes
from footring.reference import TREATMENT
from footring.terms.errors import UnknownName
from footring.terms.tables import read_table

Floats = NDArray[np.float64]
ABOUT = ("maker", "line", "form", *TREATMENT, "treatment", "outside", *WITHIN)


@dataclass(frozen=True, slots=True)
class NextReading:
    """A reading that could be taken.

    Parameters
    ----------
    reading : str
        Its name; a feature with where to look; "in_clay" for a mark there.
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


def next_readings(examination: Examination, about: str | None = None) -> tuple[NextReading, ...]:
    """Readings not yet taken, the most telling first.

    Parameters
    ----------
    examination : Examination
    about : str or None
        One of `ABOUT`; None for line, form, treatment and outside at once. "years" are those of decorating, told
        apart by spans of years; a piece was mostly potted within the year before.

    Raises
    ------
    UnknownName
        If nothing can be told about that.

    Notes
    -----
    Worked out on the likeliest cells; all else counts as one thing, so that the bits are a lower bound, short by at
    most its probability times the logarithm of the number of outcomes. Outcomes go wrong as the channels say, each
    reading on its own; that nothing can be made out is an outcome too.
    """
    if about is not None and about not in ABOUT:
        raise UnknownName(f"nothing can be asked about {about!r}: expected one of {', '.join(ABOUT)}")
    if not len(examination.model.form_line):
        return ()
    listed, answer = _listed(examination, about)
    target = np.unique(answer, return_inverse=True)[1].ravel()
    found = [_next(name, listed.p, target, of) for name, of in outcomes(listed)]
    return tuple(sorted(found, key=lambda n: (-n.bits, n.minutes, n.reading)))


def _listed(examination: Examination, about: str | None) -> tuple[Atoms, NDArray[np.intp]]:
    """Atoms, and the answer that each stands for."""
    listed = atoms(examination)
    if about is not None and about in WITHIN:
        return told_apart(listed, about)
    each = np.arange(len(listed.p))
    outside = each == len(each) - 1
    if about is None:
        return listed, each
    if about == "outside":
        return listed, outside.astype(np.intp)
    return listed, np.where(outside, -2, listed.treatment if about == "treatment" else listed.rows(about))


def _next(name: str, p: Floats, target: NDArray[np.intp], of: Floats) -> NextReading:
    root, _, place = name.partition(": ")
    note = next(row for row in read_table("footring.reasoning", "how_to_look.csv") if row["reading"] == root)
    prior = np.bincount(target, p).astype(np.float64)
    joint = np.array([np.bincount(target, p * column) for column in of.T], np.float64).T
    there = prior > 0.0
    bits = information_bits(prior[there], joint[there] / prior[there, None]) * (1.0 - float(note["unreadable"]))
    how = f"{note['how']} Look at: {place}." if place else note["how"]
    return NextReading(name, round(bits, 4), float(note["minutes"]), how)
