"""Which window each cell has: the few distinct ones of forms and of treatments, and where they meet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.eras import Eras, reweighted
from footring.reasoning.parameters import Parameters
from footring.reasoning.recorded import Recorded
from footring.reference import Reference

Floats = NDArray[np.float64]
Index = NDArray[np.int32]
Said = tuple[int, int, int, int, int, int]
Key = TypeVar("Key", bound=Hashable)
Treated = tuple[int, tuple[tuple[str, float], ...], str | None, str | None]
Formed = tuple[int, tuple[tuple[str, float], ...], str | None, str | None, int]
Documents = Mapping[Said, Sequence[tuple[str, float]]]

_OF_TREATMENT = tuple((b, g, d, t) for d, g, t, b in product((True, False), repeat=4))[:-1]
"""Parts of a treatment that a document may name (body, glaze, decoration, trim), the most specific first:
the decoration tells most, then the glaze."""


@dataclass(frozen=True, slots=True, eq=False)
class Classes:
    """Windows of cells, and of whatever may turn up where nothing is recorded.

    A *meeting* is a form's class with a treatment's class of the same line; `meeting_e` and `cell_e` are rows of
    `windows`, which are in the order of `e_group`, the mark group each belongs to.

    Parameters
    ----------
    form, treatment, pair, line : int32 arrays
        Class of each form; of each treatment; of each (line, decoration) pair; of a line's undated treatments.
    meeting_form, meeting_treatment, meeting_e : int32 array, shape (meetings,)
        In the order of `meeting_form`.
    cell_e, cell_meeting, cell_product : int32 array, shape (cells,)
        Window of each cell; the meeting it would have unrecorded, by its treatment and by the product of its parts.
    e_group : int32 array, shape (windows,)
    windows : array, shape (windows, years)
    """

    form: Index
    treatment: Index
    pair: Index
    line: Index
    meeting_form: Index
    meeting_treatment: Index
    meeting_e: Index
    cell_e: Index
    cell_meeting: Index
    cell_product: Index
    e_group: Index
    windows: Floats


def compile_classes(
    reference: Reference,
    known: Recorded,
    pairs: tuple[Index, Index],
    eras: Eras,
    group_of_form: Index,
    parameters: Parameters,
    trust: Floats,
) -> Classes:
    """Find the window of every cell and meeting.

    Parameters
    ----------
    pairs : tuple of int32 array, shape (pairs,)
        Line and decoration of each pair recorded.
    group_of_form : int32 array, shape (forms,)
        Mark group.
    trust : array, shape (productions,)
        How far each production is believed, 0 to 1.
    """
    return _Making(reference, known, eras, group_of_form, parameters, trust).classes(pairs)


class _Making:
    def __init__(
        self, reference: Reference, known: Recorded, eras: Eras, groups: Index, parameters: Parameters, trust: Floats
    ) -> None:
        self.known, self.eras, self.groups, self.parameters = known, eras, groups, parameters
        self.form_line = reference.tables["forms"].links["line"]
        self.form_designed = reference.tables["forms"].text("designed").tolist()
        self.decorated = reference.tables["decorations"].text("designed").tolist()
        self.line_ids, self.form_ids, self.decoration_ids = (
            list(reference.tables[table].ids) for table in ("lines", "forms", "decorations")
        )
        self.documents = _documents(reference, trust)
        self.namings = _namings(self.documents)
        self.profiles: dict[str, Floats | None] = {}
        self.e: dict[tuple[int, int], int] = {}

    def classes(self, pairs: tuple[Index, Index]) -> Classes:
        forms = [self._form(f) for f in range(len(self.form_line))]
        treatments = [self._treatment(*row) for row in self.known.treatments.tolist()]
        of_pair = [self._treatment(line, -1, -1, d, -1) for line, d in zip(*(p.tolist() for p in pairs), strict=True)]
        of_line = [self._treatment(line, -1, -1, -1, -1) for line in range(len(self.line_ids))]
        form_class, form_keys = _numbered(forms)
        treated, treatment_keys = _numbered(treatments + of_pair + of_line)
        of_treatment, of_pair_, of_line_ = np.split(treated, np.cumsum([len(treatments), len(of_pair)]))
        by_line: dict[int, list[int]] = defaultdict(list)
        for j, key in enumerate(treatment_keys):
            by_line[key[0]].append(j)
        meetings = [(i, j) for i, key in enumerate(form_keys) for j in by_line[key[0]]]
        meeting_e = np.array([self._meet(form_keys[i], treatment_keys[j]) for i, j in meetings], np.int32)
        at = {meeting: m for m, meeting in enumerate(meetings)}
        pair_at = {both: p for p, both in enumerate(zip(*(p.tolist() for p in pairs), strict=True))}
        classes_of = (form_class.tolist(), of_treatment.tolist(), of_pair_.tolist(), of_line_.tolist())
        treated_as = self.known.treatments.tolist()
        own: list[tuple[int, int, int]] = []
        for form, k in zip(self.known.cell_form.tolist(), self.known.cell_treatment.tolist(), strict=True):
            line, _, _, decoration, _ = treated_as[k]
            i, j, p = classes_of[0][form], classes_of[1][k], pair_at.get((line, decoration))
            meeting, parts = at[i, j], at[i, classes_of[3][line] if p is None else classes_of[2][p]]
            own.append((self._cell(form, k, form_keys[i], treatment_keys[j], int(meeting_e[meeting])), meeting, parts))
        cell_e, cell_meeting, cell_product = np.array(own, np.int32).reshape(-1, 3).T
        group, window = np.array(list(self.e), np.int32).reshape(-1, 2).T
        order = np.argsort(group, kind="stable")
        place = np.empty(len(order), np.int32)
        place[order] = np.arange(len(order), dtype=np.int32)
        met = np.array(meetings, np.int32).reshape(-1, 2)
        return Classes(
            form_class, of_treatment, of_pair_, of_line_, met[:, 0], met[:, 1], place[meeting_e], place[cell_e],
            cell_meeting, cell_product, group[order], self.eras.windows[window[order]],
        )  # fmt: skip

    def _cell(self, form: int, k: int, formed: Formed, treated: Treated, e: int) -> int:
        """Window of a cell: what documents say of it on this form, else where its classes meet."""
        if (int(self.form_line[form]), form) not in self.namings:
            return e
        line, *parts = self.known.treatments[k].tolist()
        said = self._said(line, form, parts)
        return self._meet(formed, (line, said, treated[2], treated[3])) if said else e

    def _form(self, form: int) -> Formed:
        line = int(self.form_line[form])
        said = tuple(self.documents.get((line, form, -1, -1, -1, -1), ()))
        profile = f"{self.line_ids[line]}//{self.form_ids[form]}"
        return (line, said, profile if profile in self.parameters.dated else None, self.form_designed[form],
                int(self.groups[form]))  # fmt: skip

    def _treatment(self, line: int, *parts: int) -> Treated:
        decoration = parts[2]
        profile, designed = None, None
        if decoration >= 0:
            named = f"{self.line_ids[line]}/{self.decoration_ids[decoration]}"
            profile, designed = named if named in self.parameters.dated else None, self.decorated[decoration]
        return (line, self._said(line, -1, parts), profile, designed)

    def _said(self, line: int, form: int, parts: Sequence[int]) -> tuple[tuple[str, float], ...]:
        for named in self.namings.get((line, form), ()):
            b, g, d, t = (part if use else -1 for part, use in zip(parts, named, strict=True))
            all_given = named == (b >= 0, g >= 0, d >= 0, t >= 0)
            if all_given and (found := self.documents.get((line, form, b, g, d, t))):
                return tuple(found)
        return ()

    def _meet(self, form: Formed, treatment: Treated) -> int:
        line, said, profile, designed = treatment
        said, profile = (said, profile or form[2]) if said else (form[1], profile or form[2])
        edges = [str(edge) for edge in (form[3], designed) if edge]
        window = self.eras.window(line, said, self._profile(line, profile), edges)
        return self.e.setdefault((int(form[4]), window), len(self.e))

    def _profile(self, line: int, name: str | None) -> Floats | None:
        if name is None:
            return None
        if name not in self.profiles:
            density = self.eras.line_density[line]
            self.profiles[name] = reweighted(density, self.parameters.dated[name], self.eras.years)
        return self.profiles[name]


def _namings(documents: Documents) -> dict[tuple[int, int], list[tuple[bool, ...]]]:
    """Which parts of a treatment documents name on each line and form, the most specific first."""
    found: dict[tuple[int, int], set[tuple[bool, ...]]] = defaultdict(set)
    for line, form, *parts in documents:
        found[line, form].add(tuple(part >= 0 for part in parts))
    return {thing: [named for named in _OF_TREATMENT if named in used] for thing, used in found.items()}


def _numbered(keys: list[Key]) -> tuple[Index, list[Key]]:
    seen: dict[Key, int] = {}
    which = np.array([seen.setdefault(key, len(seen)) for key in keys], np.int32)
    return which, list(seen)


def _documents(reference: Reference, trust: Floats) -> Documents:
    """What documents say of each thing they name, customers' orders aside."""
    table = reference.tables["productions"]
    made = table.text("made")
    named = np.stack([table.links[c] for c in ("line", "form", "body", "glaze", "decoration", "trim")], axis=1)
    found: dict[Said, list[tuple[str, float]]] = {}
    for row in np.flatnonzero(made.known & (trust > 0) & (table.links["customer"] < 0)).tolist():
        key: Said = tuple(named[row].tolist())
        found.setdefault(key, []).append((str(made.value(row)), float(trust[row])))
    return found
