"""Everything that is said of the things of the reference, and by whom: claims, and rows that name their source."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.sources.priors import KINDS, OTHER, STANCES, kind_priors
from footring.reference import TREATMENT, CompiledTable, Reference
from footring.reference.hashing import mixed, word_hashes
from footring.rows import TABLES, ColumnData
from footring.terms.dates import parse_edtf
from footring.terms.errors import BadInput

Ints = NDArray[np.integer[Any]]
Floats = NDArray[np.float64]
Hashes = NDArray[np.uint64]
EXISTS = "exists"
"""Property of a production or the use of a mark: that there was such a thing."""
STATED = {"productions": (EXISTS, "made", "customer"), "numbers": TREATMENT, "mark_uses": (EXISTS, "used")}
"""Tables whose rows are themselves the word of a source, and what each of them says."""
PATTERN = {
    "productions": ("line", "form", "size", *TREATMENT, "customer"),
    "mark_uses": ("mark", "line", "form"),
}
"""What a row of these is about, so that two sources that tell of the same are known to."""
CLAIM_KINDS = ("number", "date", "customer", "mark", "treatment", "name", "existence", "other")
_BY_TABLE = {"numbers": "number", "names": "name"}
_BY_COLUMN = {"customers": "customer", "marks": "mark"} | {table: "treatment" for table in TABLES if table in (
    "bodies", "glazes", "decorations", "trims",
)}  # fmt: skip


@dataclass(frozen=True, slots=True, eq=False)
class Said:
    """What sources say of one property of the things of one table. Arrays of shape (sayings,).

    Parameters
    ----------
    origin : str
        Table of the rows: "claims", or one of `STATED`.
    table, what : str
        What it is said of: things of a table, and their property.
    rows, subject, source : int array
        Row of `origin`; row of `table`; row of the sources, -1 where none is named.
    firmness, stance : int array
        Index into the choices of the table claims.
    value : int array
        Row of the table the property refers to; -1 for a property that is no such thing.
    first, last : float array
        Years the value reaches to with its doubt, infinite where open; NaN where it is no date.
    about, says : uint64 array
        Numbers that tell subjects and values apart.
    """

    origin: str
    table: str
    what: str
    rows: Ints
    subject: Ints
    source: Ints
    firmness: Ints
    stance: Ints
    value: Ints
    first: Floats
    last: Floats
    about: Hashes
    says: Hashes

    def __len__(self) -> int:
        return len(self.rows)

    @property
    def kind(self) -> int:
        """Index into `CLAIM_KINDS`."""
        return claim_kind(self.table, self.what)


def claim_kind(table: str, name: str) -> int:
    """Which kind of claim one about this property is, as an index into `CLAIM_KINDS`."""
    column = next((column for column in TABLES[table].columns if column.name == name), None)
    if table in _BY_TABLE:
        found = _BY_TABLE[table]
    elif column is not None and column.date:
        found = "date"
    elif table in ("marks", "mark_uses"):
        found = "mark"
    elif column is None and table in STATED:
        found = "existence"
    else:
        found = _BY_COLUMN.get(column.refers_to or "", "other") if column else "other"
    return CLAIM_KINDS.index(found)


def source_kinds(reference: Reference, source: Ints) -> Ints:
    """Kind of each source as an index into `KINDS`; "other" where there is none or its kind is not known."""
    kinds: Ints = np.append(reference.tables["sources"].links["kind"], -1)[source]
    return np.where(kinds < 0, OTHER, kinds)


def usual_firmness(kinds: Ints) -> Ints:
    """How firmly sources of these kinds put what they say, unless a claim says otherwise."""
    assert len(kind_priors()) == len(KINDS)
    return np.array([prior.firmness for prior in kind_priors()])[kinds]


def everything_said(reference: Reference) -> list[Said]:
    """All that is said and still stands, in groups of one table and property."""
    rows = [stated(reference, table, name) for table, names in STATED.items() for name in names]
    return [group for group in (*rows, *_claims(reference)) if len(group)]


def stated(reference: Reference, table: str, name: str) -> Said:
    """What the current rows of a table say by standing there, of one of its columns or of `EXISTS`."""
    compiled = reference.tables[table]
    told = compiled.current if name == EXISTS else compiled.current & compiled.text(name).known
    rows = np.flatnonzero(told)
    source = compiled.links["source"][rows]
    data = None if name == EXISTS else compiled.text(name).take(rows)
    value, first, last, says = _values(reference, table, name, data, len(rows))
    firmness = usual_firmness(source_kinds(reference, source))
    stance = np.zeros(len(rows), np.int32)
    about = subject_hashes(reference, table)[rows]
    return Said(table, table, name, rows, rows, source, firmness, stance, value, first, last, about, says)


def _claims(reference: Reference) -> Iterator[Said]:
    claims = reference.tables["claims"]
    names, tables = (claims.text(column) for column in ("property", "subject_table"))
    pairs = np.stack([tables.values, names.values], axis=1)[claims.current]
    for table, name in sorted({(str(tables.vocabulary[t]), str(names.vocabulary[n])) for t, n in pairs.tolist()}):  # type: ignore[index]
        told = claims.current & _is(tables, table) & _is(names, name)
        for valued in (True, False):
            rows = np.flatnonzero(told & (claims.text("value").known == valued))
            yield _claimed(reference, claims, rows, table, property_of(table, name, valued))


def _claimed(reference: Reference, claims: CompiledTable, rows: Ints, table: str, name: str) -> Said:
    subject, source, firmness, stance = (
        claims.links[column][rows] for column in ("subject", "source", "firmness", "stance")
    )
    data = None if name == EXISTS else claims.text("value").take(rows)
    value, first, last, says = _values(reference, table, name, data, len(rows))
    about = subject_hashes(reference, table)[subject]
    return Said("claims", table, name, rows, subject, source, firmness, stance, value, first, last, about, says)


def _is(data: ColumnData, word: str) -> NDArray[np.bool_]:
    assert data.vocabulary is not None
    return np.asarray(np.append(data.vocabulary == word, False)[data.values])


def property_of(table: str, name: str, valued: bool) -> str:
    """What a claim is about: `EXISTS` where it is of a production or the use of a mark and of no value of a column."""
    column = any(column.name == name for column in TABLES[table].columns)
    return name if table not in PATTERN or (column and valued) else EXISTS


def subject_hashes(reference: Reference, table: str) -> Hashes:
    """A number for what each row of a table is about, shape (rows,).

    Rows that tell of one and the same combination share it; every other thing has its own.
    """
    compiled = reference.tables[table]
    start = np.uint64(list(TABLES).index(table) + 1)
    if table not in PATTERN:
        return mixed(np.arange(len(compiled), dtype=np.uint64) << np.uint64(8) | start)
    total = np.full(len(compiled), start)
    for place, column in enumerate(PATTERN[table]):
        total += mixed(compiled.links[column].astype(np.int64).view(np.uint64) ^ np.uint64((place + 1) << 40))
    return mixed(total)


def _values(
    reference: Reference, table: str, name: str, data: ColumnData | None, length: int
) -> tuple[Ints, Floats, Floats, Hashes]:
    value = np.full(length, -1, np.int64)
    first, last = np.full((2, length), np.nan)
    if data is None or data.vocabulary is None or not len(data.vocabulary):
        return value, first, last, np.zeros(length, np.uint64)
    column = next((column for column in TABLES[table].columns if column.name == name), None)
    if column is not None and column.refers_to:
        value = reference.tables[column.refers_to].ids.find_all(data).astype(np.int64)
    words = [plain_value(word, column is not None and column.date) for word in data.vocabulary.tolist()]
    says = np.append(word_hashes(np.array(words, object)), np.uint64(0))[data.values]
    if column is not None and column.date:
        spans = np.array([*map(year_span, words), (np.nan, np.nan)])
        first, last = spans[data.values].T
    return value, first, last, says


def plain_value(word: str, is_date: bool) -> str:
    """A value as it is compared: a date in its canonical text, other words without capitals and spare spaces."""
    if is_date:
        try:
            return str(parse_edtf(word))
        except BadInput:
            pass
    return " ".join(word.casefold().split())


def year_span(word: str) -> tuple[float, float]:
    """First and last year of a date with its doubt, infinite where open; NaN for what is no date."""
    try:
        date = parse_edtf(word)
    except BadInput:
        return (np.nan, np.nan)
    first, last = date.year_min, date.year_max
    return (-np.inf if first is None else float(first), np.inf if last is None else float(last))


FOR, AGAINST, NOT_MET = (STANCES.index(stance) for stance in ("for", "against", "not_met"))
