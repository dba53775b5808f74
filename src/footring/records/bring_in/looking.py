"""What a file would add, before anything is written."""

from __future__ import annotations

import zipfile
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path

from footring.marks.readings import NAMES
from footring.packs import PackFault, read_pack
from footring.packs.files import open_zip
from footring.packs.headings import Column, columns_of
from footring.packs.limits import DEFAULT_LIMITS
from footring.packs.plain_sheet import PlainSheet, read_plain_sheets
from footring.packs.text import Unreadable
from footring.packs.workbook import kind_of_workbook
from footring.records.bring_in.pieces import CellFault, Met, place_id, read_pieces, rows_of
from footring.records.bring_in.progress import file_of
from footring.records.models import MODELS, Job, User
from footring.records.models.stored import attribute
from footring.records.privacy import visible
from footring.rows import TABLES, Row, RowTable
from footring.rows.collection import Place
from footring.terms.errors import BadInput

CHUNK = 2_000
READINGS = tuple(name for name in NAMES if name not in ("channel", "piece_id"))
_NAMED = {"maker": "makers", "line": "lines", "form": "forms", "body": "bodies", "glaze": "glazes",
          "decoration": "decorations", "trim": "trims", "customer": "customers"}  # fmt: skip


@dataclass
class Looked:
    """What a file would add.

    Parameters
    ----------
    counts : dict of str to int
        Rows that would be new, by table.
    here : int
        Pieces of a sheet, or rows of a pack, that are here already: these are left as they are.
    otherwise : int
        Those among them that stand otherwise here.
    left_out : int
        Rows of the file that cannot be read.
    faults : list of CellFault or PackFault
    pieces, places, tables
        What is to be written.
    """

    counts: dict[str, int] = field(default_factory=dict)
    here: int = 0
    otherwise: int = 0
    left_out: int = 0
    faults: list[CellFault] | list[PackFault] = field(default_factory=list)
    strange: dict[str, Counter[str]] = field(default_factory=dict)
    pieces: list[Met] = field(default_factory=list)
    places: dict[str, str] = field(default_factory=dict)
    new_places: dict[str, str] = field(default_factory=dict)
    tables: dict[str, list[Row]] = field(default_factory=dict)

    @property
    def total(self) -> int:
        """Rows that would be new."""
        return sum(self.counts.values())

    def chunks(self) -> Iterator[list[Row]]:
        """All new rows, some thousand at a time."""
        yield [Place(place_id(name), name=name) for name in self.new_places.values()]
        pieces = iter(self.pieces)
        while some := list(islice(pieces, CHUNK // 4)):
            yield list(rows_of(some, self.places))
        for rows in self.tables.values():
            for start in range(0, len(rows), CHUNK):
                yield rows[start : start + CHUNK]


def kind_of(path: Path, called: str) -> str:
    """"pack" or "sheet": a zip of tables, or a workbook whose sheets are called like tables and have their columns.

    Raises
    ------
    BadInput
        It is neither.
    """  # fmt: skip
    if not zipfile.is_zipfile(path):
        return "sheet"
    try:
        with path.open("rb") as file, open_zip(file, DEFAULT_LIMITS) as archive:
            if kind_of_workbook(archive, called) is None:
                return "pack"
    except Unreadable as stop:
        raise BadInput(str(stop.fault)) from None
    except (zipfile.BadZipFile, OSError, ValueError, RuntimeError, NotImplementedError) as error:
        raise BadInput(f"{called} is damaged: {error}; save it again, or copy it again") from None
    return "pack" if all(_is_table(sheet) for sheet in read_plain_sheets(path, called=called)) else "sheet"


def _is_table(sheet: PlainSheet) -> bool:
    columns = {column.name for column in TABLES[sheet.name].columns} if sheet.name in TABLES else set()
    return "id" in sheet.heading and set(sheet.heading) <= columns


def sheets_of(job: Job) -> list[PlainSheet]:
    """The sheets of a job's file, the one that was chosen first, else the longest."""
    chosen = job.given.get("sheet")
    found = read_plain_sheets(file_of(job), called=job.what)
    return sorted(found, key=lambda sheet: (sheet.name != chosen, -len(sheet.rows)))


def columns_for(job: Job, sheet: PlainSheet) -> list[Column]:
    """What the columns hold, as was chosen; else as guessed."""
    chosen = job.given.get("columns")
    if chosen and len(chosen) == len(sheet.heading):
        return [Column(*one) for one in chosen]
    return columns_of(sheet, READINGS, names_known(job.by))


def names_known(by: User) -> dict[str, dict[str, str]]:
    """Names of things in the reference that a person may see, by themselves in lower case, by the reading."""
    return {
        reading: {name.casefold(): name for name in visible(table, by).values_list("name", flat=True) if name}
        for reading, table in _NAMED.items()
    }


def look_at_sheet(job: Job, sheet: PlainSheet, columns: list[Column]) -> Looked:
    """What a spreadsheet of pieces would add."""
    read = read_pieces(sheet, columns, job.given.get("fixes"))
    here = _present("pieces", [piece.id for piece in read.pieces])
    new = [piece for piece in read.pieces if piece.id not in here]
    names = {piece.place.casefold(): piece.place for piece in reversed(new) if piece.place}
    places = {name.casefold(): pk for pk, name in MODELS["places"].objects.order_by("-pk").values_list("pk", "name")}
    wanted = {folded: name for folded, name in names.items() if folded not in places}
    made = _present("places", [place_id(name) for name in wanted.values()])
    places |= {folded: place_id(name) for folded, name in wanted.items()}
    missing = {folded: name for folded, name in wanted.items() if place_id(name) not in made}
    return Looked(
        _counts(new, len(missing)), len(here), 0, len({fault.line for fault in read.faults}), read.faults,
        _strange(new, job.by), new, places, missing,
    )  # fmt: skip


def _present(table: str, ids: list[str]) -> set[str]:
    found = set[str]()
    for start in range(0, len(ids), CHUNK):
        found.update(MODELS[table].objects.filter(pk__in=ids[start : start + CHUNK]).values_list("pk", flat=True))
    return found


def _counts(pieces: list[Met], places: int) -> dict[str, int]:
    counts = {
        "places": places,
        "pieces": len(pieces),
        "parts": sum(len({reading.part for reading in piece.readings} - {None}) for piece in pieces),
        "encounters": sum(piece.met is not None for piece in pieces),
        "readings": sum(len(piece.readings) for piece in pieces),
    }
    return {table: count for table, count in counts.items() if count}


def _strange(pieces: list[Met], by: User) -> dict[str, Counter[str]]:
    """Names that are not in the reference, and how often each stands; by reading."""
    known, found = names_known(by), {name: Counter[str]() for name in _NAMED}
    for piece in pieces:
        for reading in piece.readings:
            if not reading.absent and reading.name in known and reading.value.casefold() not in known[reading.name]:
                found[reading.name][reading.value] += 1
    return {name: names for name, names in found.items() if names}


def look_at_pack(job: Job) -> Looked:
    """What a pack would add; a pack with faults would add nothing."""
    pack, faults = read_pack(file_of(job))
    named = [_called(fault, job) for fault in faults]
    if faults:
        return Looked(faults=named, left_out=sum(map(len, pack.tables.values())))
    looked = Looked()
    for table, rows in pack.tables.items():
        _add_table(looked, table, rows)
    looked.faults = list(_taken(looked.tables, job))
    return looked


def _called(fault: PackFault, job: Job) -> PackFault:
    """The fault with the file's own name instead of what it is kept as."""
    return replace(fault, file=fault.file.replace(str(file_of(job)), job.what))


def _add_table(looked: Looked, table: str, rows: RowTable) -> None:
    all_rows = list(rows.rows())
    here = _present(table, [row.id for row in all_rows])
    new = [row for row in all_rows if row.id not in here]
    looked.here += len(here)
    looked.otherwise += _otherwise(table, [row for row in all_rows if row.id in here])
    if new:
        looked.tables[table], looked.counts[table] = new, len(new)


def _otherwise(table: str, rows: list[Row]) -> int:
    """How many of these rows stand otherwise in the collection, whoever recorded them and whenever."""
    names = [c.name for c in TABLES[table].columns if c.name not in ("recorded_at", "recorded_by")]
    given = {row.id: [getattr(row, name) for name in names] for row in rows}
    ids, count = list(given), 0
    for start in range(0, len(ids), CHUNK):
        stored = MODELS[table].objects.filter(pk__in=ids[start : start + CHUNK])
        attributes = [attribute(name, TABLES[table]) for name in names]
        count += sum(list(values) != given[values[0]] for values in stored.values_list(*attributes))
    return count


def _taken(tables: dict[str, list[Row]], job: Job) -> Iterator[PackFault]:
    """New rows that say what a current row says already, under another id."""
    for table, rows in tables.items():
        spec = TABLES[table]
        names = [column.name for column in spec.key]
        if names:
            stored = MODELS[table].objects.current().values_list("pk", *(attribute(name, spec) for name in names))
            by_key = {tuple(key): pk for pk, *key in stored}
            yield from _clashes(table, rows, names, by_key, job)


def _clashes(
    table: str, rows: Iterable[Row], names: list[str], by_key: dict[tuple[object, ...], str], job: Job
) -> Iterator[PackFault]:
    for row in rows:
        key = tuple(getattr(row, name) for name in names)
        pk = by_key.get(key)
        if pk is not None and pk != getattr(row, "supersedes", None):
            told = ", ".join(str(value) for value in key if value is not None)
            say = f"{row.id} says what {pk} in the collection says already: take it out, or let it supersede that"
            yield PackFault("said already", f"{job.what}, {table}", None, None, names[0], told, "", say)
