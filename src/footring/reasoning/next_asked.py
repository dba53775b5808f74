"""What is asked about that no form or treatment settles: which size, number or years, told apart within each atom."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.eras import SPAN
from footring.reasoning.next_atoms import Atoms
from footring.reasoning.window_masses import Chosen, meeting_masses
from footring.reference.weights import sums

Floats = NDArray[np.float64]
Index = NDArray[np.intp]
LEAST = 1e-5
"""What is less likely counts together."""
_OUTSIDE, _ELSE = -2, -1


def told_apart(atoms: Atoms, about: str) -> tuple[Atoms, Index]:
    """Atoms that each settle what is asked about.

    Parameters
    ----------
    atoms : Atoms
    about : str
        One of `WITHIN`.

    Returns
    -------
    tuple of Atoms and int array, shape (atoms,)
        Every atom once for each size, number or span of years it may be of, and the answer each stands for. What is
        hardly likely is one answer; so is outside, which stands last and is not told apart.
    """
    table = WITHIN[about](atoms)
    answer_of = np.arange(table.shape[1]) // (SPAN if about == "years" else 1)
    masses = atoms.p[:, None] * np.add.reduceat(table, np.unique(answer_of, return_index=True)[1], axis=1)
    likely = masses > LEAST
    likely[-1] = False
    atom, answer = np.nonzero(likely)
    left = np.maximum(atoms.p - np.where(likely, masses, 0.0).sum(axis=1), 0.0)
    others = np.flatnonzero(left[:-1])
    told = np.concatenate(
        [
            table[atom] * (answer_of == answer[:, None]),
            table[others] * ~likely[others][:, answer_of],
            table[-1:],
        ]
    )
    told /= np.maximum(told.sum(axis=1, keepdims=True), 1e-300)
    which = np.concatenate([atom, others, [len(atoms.p) - 1]])
    apart = replace(
        atoms,
        p=np.concatenate([masses[atom, answer], left[others], atoms.p[-1:]]),
        form=atoms.form[which],
        treatment=atoms.treatment[which],
        window=atoms.window[which],
        told={about: told},
    )
    return apart, np.concatenate([answer, np.full(len(others), _ELSE), [_OUTSIDE]])


def _numbers(atoms: Atoms) -> Floats:
    """p(number | atom) after what was read of it, shape (atoms, numbers + 2); none and a new one last."""
    found, none = atoms.numbers()
    table = np.column_stack([found, none, np.maximum(1.0 - found.sum(axis=1) - none, 0.0)])
    slot = atoms.likeliest_way.weighed.slots.get("number")
    if slot is not None:
        table = table * np.exp([*slot.log[:-1], slot.none, slot.log[-1]])
    return np.asarray(table / np.maximum(table.sum(axis=1, keepdims=True), 1e-300))


def _years(atoms: Atoms) -> Floats:
    """As `Atoms.years`, and of a form in what nobody recorded by the windows of what it may be."""
    found, way, classes = atoms.years(), atoms.likeliest_way, atoms.examination.model.classes
    dated = classes.windows * (1.0 if way.years is None else way.years.total[classes.e_group])
    for atom in np.flatnonzero((atoms.form >= 0) & (atoms.window < 0)).tolist():
        chosen = Chosen(forms=np.eye(1, len(way.weighed.form), int(atoms.form[atom]))[0])
        of = sums(classes.meeting_e, meeting_masses(way.weighed, chosen), len(dated)) @ dated
        if of.sum() > 0.0:
            found[atom] = of / of.sum()
    return found


WITHIN: Mapping[str, Callable[[Atoms], Floats]] = {"size": Atoms.sizes, "number": _numbers, "years": _years}
"""p(value | atom) of what may be asked about, shape (atoms, values)."""
