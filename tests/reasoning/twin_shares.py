"""How common everything is, counted row by row and share by share: the slow twin of `shares` and `recorded`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from functools import cache
from itertools import product
from typing import Any

from footring.reasoning.model import Model
from footring.reasoning.source_records import document_weight

PARTS = ("body", "glaze", "decoration", "trim")
TABLES = {"body": "bodies", "glaze": "glazes", "decoration": "decorations", "trim": "trims"}
Parts = tuple[str | None, str | None, str | None, str | None]


class TwinShares:
    """Counts and shares of one reference; `NEW` stands for a part that it does not hold, None for one not said."""

    def __init__(self, model: Model) -> None:
        self.model, self.reference, self.levels = model, model.reference, model.parameters.levels
        tables = self.reference.tables
        self.rows: dict[str, dict[str, Any]] = {t: {r.id: r for r in tables[t].rows.rows()} for t in tables}
        self.at = {(t, name): i for t in tables for i, name in enumerate(tables[t].ids)}
        self.lines, self.forms = self.rows["lines"], self.rows["forms"]
        self.values = {part: [*self.rows[TABLES[part]]] for part in PARTS}
        self.sizes: dict[str, float] = defaultdict(float)
        self._pieces: dict[Any, float] = defaultdict(float)
        self._papers: dict[Any, float] = defaultdict(float)
        self._stated: dict[Any, float] = defaultdict(float)
        self._of_form: dict[str, float] = defaultdict(float)
        self._of_line: dict[str, float] = defaultdict(float)
        self._form_papers: dict[str, float] = defaultdict(float)
        self._count_papers()
        self._count_pieces()
        self.cells = {cell for cell in {**self._pieces, **self._papers} if cell[0] is not None}
        self._tables()
        self._lines_and_forms()

    @cache  # noqa: B019
    def trusted(self, table: str) -> list[tuple[Any, float]]:
        """Rows and what each counts for; 0 where it is superseded."""
        weight = document_weight(self.reference, table) * self.reference.tables[table].current
        return list(zip(self.rows[table].values(), weight.tolist(), strict=True))

    def _parts(self, row: Any) -> Parts:
        parts = [getattr(row, name) for name in PARTS]
        if any(parts):
            only = [self.values[name][0] if len(self.values[name]) == 1 else None for name in PARTS]
            parts = [part or one for part, one in zip(parts, only, strict=True)]
        return tuple(parts)  # type: ignore[return-value]

    def _count_papers(self) -> None:
        each = self.model.parameters.document
        for row, weight in self.trusted("productions"):
            self._form_papers[row.form] += each * weight
            self._state(row, row.form, 0.0, each * weight)
        for row, weight in self.trusted("numbers"):
            self._state(row, None, 0.0, each * weight)

    def _state(self, row: Any, form: str | None, pieces: float, papers: float) -> None:
        if any(self._parts(row)) and pieces + papers > 0:
            if form is None:
                self._stated[row.line, self._parts(row)] += pieces + papers
            else:
                self._pieces[form, *self._parts(row)] += pieces
                self._papers[form, *self._parts(row)] += papers

    def _count_pieces(self) -> None:
        met = {row.piece: row.channel for row in self.rows["encounters"].values()}
        confirmed, proposed = defaultdict(float), defaultdict(float)
        for row in self.rows["attributions"].values():
            factor = 1.0 if met[row.piece] == "open" else self.model.parameters.channels[""]
            named = (row.line, row.form, row.size, self._parts(row), tuple(getattr(row, n) for n in PARTS))
            (confirmed if row.basis == "confirmed" else proposed)[named] += row.weight * factor
        wished: dict[Any, float] = defaultdict(float)
        for named in {**confirmed, **proposed}:
            line, form, size, parts, _ = named
            whole = confirmed[named] + min(proposed[named], confirmed[named])
            self._of_line[line] += whole
            self._of_form[form] += whole
            self.sizes[size] += whole
            if any(parts) and confirmed[named] > 0:
                if form is None:
                    self._stated[line, parts] += confirmed[named]
                else:
                    self._pieces[form, *parts] += confirmed[named]
                    wished[form, *parts] += proposed[named]
        for cell, weight in wished.items():
            self._pieces[cell] += min(weight, self._pieces[cell] + self._papers[cell])

    def _tables(self) -> None:
        self.tables: dict[tuple[str, Parts], float] = defaultdict(float)
        for cell in self.cells:
            weight = self.weight(cell)
            sits = weight**self.levels.table_power if weight > 1 else weight
            self.tables[self.forms[cell[0]].line, cell[1:]] += sits
        for named, weight in self._stated.items():
            self.tables[named] += min(weight, 1.0)
        self.pairs = {(line, parts[2]) for line, parts in self.tables if parts[2] is not None}

    def weight(self, cell: Any) -> float:
        return self._pieces[cell] + self._papers[cell]

    def _lines_and_forms(self) -> None:
        lines = {line: self._of_line[line] + self.levels.line for line in self.lines}
        self.line = {line: n / sum(lines.values()) for line, n in lines.items()}
        met = {f: self._of_form[f] + min(self._form_papers[f], 1.0) + self.levels.form for f in self.forms}
        in_line = {line: sum(met[f] for f in met if self.forms[f].line == line) for line in self.lines}
        self.form = {f: met[f] / in_line[self.forms[f].line] for f in met}

    # ---- p(treatment | line, form), by the way it comes about

    def ways_to(self, form: str) -> Iterator[tuple[str, Parts, float]]:
        """("cell" | "treatment" | "product", parts, share); the shares sum to 1."""
        v, line = self.levels, self.forms[form].line
        mine = {cell[1:]: self.weight(cell) for cell in self.cells if cell[0] == form}
        for parts, own in _own(mine, v.cell, v.cell_discount).items():
            yield "cell", parts, own
        rest = 1.0 - sum(_own(mine, v.cell, v.cell_discount).values())
        of_line = {parts: n for (its, parts), n in self.tables.items() if its == line}
        for parts, own in _own(of_line, v.treatment, v.treatment_discount).items():
            yield "treatment", parts, rest * own
        left = rest * (1.0 - sum(_own(of_line, v.treatment, v.treatment_discount).values()))
        for b, g, d, t in product(*([*self.values[part], "NEW"] for part in PARTS)):
            p = self.body(form, b) * self.glaze(line, g) * self.decorated(line, g, d) * self.edged(line, d, t)
            yield "product", (b, g, d, t), left * p

    def _even(self, part: str, value: str) -> float:
        things = len(self.values[part])
        new = self.levels.new if things else 1.0
        return new if value == "NEW" else (1.0 - new) / things

    def _times(self, line: str | None = None, **given: str) -> float:
        """Treatments with these parts, on a line or on all; each counts once at most. "?" is any that is said."""
        return sum(
            min(n, 1.0)
            for (its, parts), n in self.tables.items()
            if line in (None, its)
            and all((p := parts[PARTS.index(name)]) is not None and v in ("?", p) for name, v in given.items())
        )

    @cache  # noqa: B019
    def body(self, form: str, value: str) -> float:
        line, s = self.forms[form].line, self.levels.body
        on_line = (self._times(line, body=value) + s * self._even("body", value)) / (self._times(line, body="?") + s)
        here = [(c[1], min(self.weight(c), 1.0)) for c in self.cells if c[0] == form and c[1] is not None]
        return (sum(n for b, n in here if b == value) + s * on_line) / (sum(n for _, n in here) + s)

    def everywhere(self, part: str, value: str) -> float:
        strength = self.levels.thing * max(len(self.values[part]), 1)
        counted = self._times(**{part: value}) + strength * self._even(part, value)
        return counted / (self._times(**{part: "?"}) + strength)

    @cache  # noqa: B019
    def glaze(self, line: str, value: str) -> float:
        s = self.levels.glaze
        counted = self._times(line, glaze=value) + s * self.everywhere("glaze", value)
        return counted / (self._times(line, glaze="?") + s)

    @cache  # noqa: B019
    def decorated_at_all(self, line: str, value: str) -> float:
        wide = self.levels.decoration_of_line
        counted = self._times(line, decoration=value) + wide * self.everywhere("decoration", value)
        return counted / (self._times(line, decoration="?") + wide)

    @cache  # noqa: B019
    def decorated(self, line: str, glaze: str, value: str) -> float:
        s = self.levels.decoration
        under = self._times(line, glaze=glaze, decoration=value) + s * self.decorated_at_all(line, value)
        return under / (self._times(line, glaze=glaze, decoration="?") + s)

    @cache  # noqa: B019
    def trim(self, line: str, value: str) -> float:
        s = self.levels.trim_of_line
        counted = self._times(line, trim=value) + s * self.everywhere("trim", value)
        return counted / (self._times(line, trim="?") + s)

    @cache  # noqa: B019
    def edged(self, line: str, decoration: str, value: str) -> float:
        s = self.levels.trim
        beside = self._times(line, decoration=decoration, trim=value) + s * self.trim(line, value)
        return beside / (self._times(line, decoration=decoration, trim="?") + s)


def _own(weights: dict[Any, float], strength: float, discount: float) -> dict[Any, float]:
    """Pitman-Yor: (n - discount) / (all + strength) of what was met, a part of a piece losing in proportion."""
    whole = sum(weights.values()) + strength
    return {what: (n - discount * min(n, 1.0)) / whole for what, n in weights.items()}


def share_of(shares: TwinShares, line: str, part: str, value: str) -> float:
    """Share of a part over everything that is made of a line."""
    if part == "body":
        return sum(shares.form[f] * shares.body(f, value) for f, r in shares.forms.items() if r.line == line)
    return {"glaze": shares.glaze, "decoration": shares.decorated_at_all, "trim": shares.trim}[part](line, value)


def as_rows(shares: TwinShares, cell: Sequence[Any]) -> tuple[int, ...]:
    """A cell of the twin, (form, parts...), as (line, form, parts...) in row numbers."""
    form = cell[0]
    said = zip(PARTS, cell[1:], strict=True)
    numbers = [shares.at[TABLES[name], part] if part not in (None, "NEW") else -1 for name, part in said]
    return (shares.at["lines", shares.forms[form].line], shares.at["forms", form], *numbers)
