"""What the page of a file shows: what its columns hold, what it would add, and why some rows are left out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from footring.packs.headings import DAY_FIRST, LENGTHS, MONTH_FIRST, UNITS, Column
from footring.packs.names import nearest
from footring.packs.plain_sheet import PlainSheet
from footring.records.bring_in.looking import READINGS, Looked, columns_for, look_at_sheet, names_known, sheets_of
from footring.records.bring_in.progress import file_of
from footring.records.bring_in.work import looked_at
from footring.records.models import Job
from footring.terms.errors import FootringError

MOST_FAULTS = 50
MOST_STRANGE = 12
SAMPLES = 3
_ONE = {"encounters": "day it was met on", "bodies": "body", "glazes": "glaze"}
_MANY = {"encounters": "days they were met on"}
OWN = (("id", "its own number"), ("name", "what it is called"), ("place", "where it is put away"), ("met", "met on"))


@dataclass(frozen=True)
class Shown:
    """One column as it is shown: its heading, some of its cells, what it is taken for."""

    number: int
    heading: str
    cells: str
    column: Column
    units: tuple[str, ...]


def meanings() -> list[tuple[str, list[tuple[str, str]]]]:
    """What a column may be taken for, in groups."""
    readings = [*READINGS, *(f"lid.{name}" for name in ("form", "glaze", "decoration", "trim", "number", "mark"))]
    return [("the piece", list(OWN)), ("read off it", [(name, told(name)) for name in readings])]


def told(meaning: str) -> str:
    """A meaning in words."""
    part, _, name = meaning.rpartition(".")
    words = (name if not name.isdigit() else part).replace("_", " ")
    return f"{words} of the {part}" if part in ("lid", "base") else words + (f" ({name})" if name.isdigit() else "")


def context(job: Job) -> dict[str, Any]:
    """What the page needs to look a file over; a problem where it cannot be read."""
    try:
        if job.kind == "pack" or not file_of(job).is_file():
            return _verdict(looked_at(job))
        sheets = sheets_of(job)
        columns = columns_for(job, sheets[0])
        looked = look_at_sheet(job, sheets[0], columns)
    except FootringError as error:
        return {"problem": str(error)}
    return {
        "sheet": sheets[0], "sheets": [sheet.name for sheet in sheets], "columns": _shown(sheets[0], columns),
        "meanings": meanings(), **_verdict(looked), "strange": list(_strange(looked, job)),
    }  # fmt: skip


def _shown(sheet: PlainSheet, columns: list[Column]) -> list[Shown]:
    return [
        Shown(i + 1, heading or f"column {i + 1}", _samples(sheet, i), column, _units(column))
        for i, (heading, column) in enumerate(zip(sheet.heading, columns, strict=True))
    ]


def _samples(sheet: PlainSheet, i: int) -> str:
    cells = dict.fromkeys(row[i] for row in sheet.rows[:200] if row[i])
    return " · ".join(cell if len(cell) < 30 else f"{cell[:28]}…" for cell in list(cells)[:SAMPLES])


def _units(column: Column) -> tuple[str, ...]:
    if column.means.rpartition(".")[2] in LENGTHS:
        return UNITS
    return (DAY_FIRST, MONTH_FIRST) if column.means == "met" else ()


def _verdict(looked: Looked) -> dict[str, Any]:
    faults = looked.faults
    return {
        "looked": looked, "adds": counted(looked.counts), "pieces": looked.counts.get("pieces", 0),
        "faults": faults[:MOST_FAULTS], "more": len(faults) - MOST_FAULTS,
        "reasons": Counter(_reason(fault) for fault in faults).most_common(5),
    }  # fmt: skip


def _reason(fault: Any) -> str:
    """Why in short: the column, or the kind of fault."""
    return getattr(fault, "heading", None) or getattr(fault, "kind", None) or "nothing stands in them that is read"


def counted(counts: dict[str, int]) -> str:
    """"312 pieces, 2,904 readings and 14 places"."""  # fmt: skip
    first = ("pieces", "readings")
    names = [*(name for name in first if name in counts), *(name for name in counts if name not in first)]
    parts = [f"{counts[name]:,} {_word(name, counts[name])}" for name in names]
    return " and ".join(filter(None, [", ".join(parts[:-1]), *parts[-1:]]))


def _word(table: str, count: int) -> str:
    if count == 1:
        return _ONE.get(table, table.removesuffix("s").replace("_", " "))
    return _MANY.get(table, table.replace("_", " "))


def _strange(looked: Looked, job: Job) -> Iterator[tuple[str, str, int, str | None]]:
    """Names not in the reference: the reading, the name, how often, and the nearest that is."""
    known = names_known(job.by) if looked.strange else {}
    often = [(n, reading, name) for reading, names in looked.strange.items() for name, n in names.items()]
    for count, reading, name in sorted(often, reverse=True)[:MOST_STRANGE]:
        yield told(reading), name, count, nearest(name, known[reading].values())


def chosen(post: QueryDict, job: Job, sheet: PlainSheet) -> dict[str, Any]:
    """What was chosen on the page, on top of what was before."""
    given = dict(job.given)
    if post.get("sheet", sheet.name) != sheet.name:
        return {"sheet": post["sheet"]}
    allowed = {meaning for _, group in meanings() for meaning, _ in group} | {c.means for c in columns_for(job, sheet)}
    means = [post.get(f"means-{i + 1}", "") for i in range(len(sheet.heading))]
    units = [post.get(f"unit-{i + 1}", "") for i in range(len(sheet.heading))]
    given["columns"] = [
        [of if of in allowed else "", unit if unit in (*UNITS, DAY_FIRST, MONTH_FIRST) else ""]
        for of, unit in zip(means, units, strict=True)
    ]
    fixes = {name.removeprefix("fix-"): post[name].strip() for name in post if name.startswith("fix-")}
    now = {name: text for name, text in fixes.items() if text != post.get(f"was-{name}", "")}
    given["fixes"] = {**given.get("fixes", {}), **now}
    return given
