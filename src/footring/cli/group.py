"""`footring group`: the dates of a group of pieces from the years their types were made."""

from __future__ import annotations

import argparse
import csv
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite
from typing import Any

import numpy as np

from footring.cli.csv_file import csv_text
from footring.cli.say import say, say_json
from footring.reasoning.aoristic import AoristicSum, aoristic_sum
from footring.reasoning.mean_date import mean_ceramic_date
from footring.terms.errors import BadInput
from footring.terms.printable import printable

COLUMNS = ("type", "begin", "end", "count")

MOST_BLOCKS = 1000

EXAMPLE = """\
A file looks like this (the column assemblage may be left out):

  type,begin,end,count,assemblage
  Ormsley green edge line,1911,1938,14,station yard
  Wherry mottled blue,1932,1949,11,Tarn Lane tip

examples:
  footring group src/footring/demo/group.csv
  footring group src/footring/demo/group.csv --bins 1900:1970:10 --json
  cat src/footring/demo/group.csv | footring group -

Years are points on a line: 1911 to 1938 lasts 27 years. A type without dates is
an error, not a zero: give it dates or take it out.
"""


def add(verbs: Any) -> None:
    """Register the verb."""
    parser = verbs.add_parser(
        "group",
        help="mean date and spread over time of a group of pieces",
        description="Mean ceramic date (South 1977) of each assemblage, and the aoristic sum (Ratcliffe 2000) of the "
        "whole group over blocks of time, from the years in which its types were made.",
        epilog=EXAMPLE,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("file", metavar="FILE.csv", help="columns type, begin, end, count [, assemblage]; - is stdin")
    parser.add_argument(
        "--bins", metavar="FIRST:LAST:STEP", help="blocks of time, such as 1850:1950:10; decades if not said"
    )
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the mean dates and the aoristic sum of a file."""
    rows = list(_rows(csv_text(args.file)))
    if not rows:
        raise BadInput(f"{args.file}: no rows under the heading {', '.join(COLUMNS)}")
    means = {name: _mean(name, rows) for name in dict.fromkeys(row.assemblage for row in rows)}
    dated = [row for row in rows if row.count and row.span]
    edges = _edges(args.bins) if args.bins else _decades(dated)
    found = aoristic_sum([row.span for row in dated if row.span], edges, [row.count for row in dated])
    say_json(_as_json(means, edges, found)) if args.json else say(_told(means, edges, found))
    return 0


@dataclass(frozen=True, slots=True)
class _Row:
    line: int
    type: str
    span: tuple[float, float] | None
    count: float
    assemblage: str


@dataclass(frozen=True, slots=True)
class _Mean:
    count: float
    mean_date: float | None


def _rows(lines: Iterable[str]) -> Iterator[_Row]:
    reader = csv.DictReader(lines)
    known = {*COLUMNS, "assemblage"}
    heading = [name.strip() for name in reader.fieldnames or ()]
    missing, unknown = [name for name in COLUMNS if name not in heading], [n for n in heading if n not in known]
    if missing or unknown or len(set(heading)) < len(heading):
        raise BadInput(
            f"expected the columns {', '.join(COLUMNS)} and perhaps assemblage, given {', '.join(heading)!r}"
        )
    reader.fieldnames = heading
    try:
        yield from (_row(reader.line_num, row) for row in reader)
    except csv.Error as error:
        raise BadInput(f"line {reader.line_num}: {error}") from error


def _row(line: int, row: dict[str | Any, Any]) -> _Row:
    if None in row or None in row.values():
        raise BadInput(f"line {line}: more or fewer fields than the heading has")
    begin, end, count = (_number(line, name, row[name].strip()) for name in ("begin", "end", "count"))
    if not row["type"].strip() or count is None or count < 0:
        raise BadInput(f"line {line}: expected a type and a count of zero or more")
    if (begin is None) != (end is None) or (begin is not None and end is not None and end < begin):
        raise BadInput(f"line {line}: expected begin and end in order, given {row['begin']!r} and {row['end']!r}")
    span = None if begin is None or end is None else (begin, end)
    return _Row(line, row["type"].strip(), span, count, (row.get("assemblage") or "").strip() or "all")


def _number(line: int, name: str, text: str) -> float | None:
    if not text:
        return None
    try:
        value = float(text)
    except ValueError:
        value = float("nan")
    if not isfinite(value) or abs(value) > 1e9:
        raise BadInput(f"line {line}: {name} is a number, given {text!r}")
    return value


def _mean(assemblage: str, rows: Iterable[_Row]) -> _Mean:
    counts: dict[str, float] = {}
    spans: dict[str, tuple[float, float]] = {}
    for row in rows:
        if row.assemblage == assemblage:
            counts[row.type] = counts.get(row.type, 0.0) + row.count
            if row.span and spans.setdefault(row.type, row.span) != row.span:
                raise BadInput(f"line {row.line}: type {row.type!r} has other dates than before: keep one pair a type")
    midpoints = {name: sum(span) / 2 for name, span in spans.items()}
    return _Mean(sum(counts.values()), mean_ceramic_date(counts, midpoints))


def _edges(text: str) -> list[float]:
    try:
        first, last, step = (float(part) for part in text.split(":"))
    except ValueError:
        first = last = step = 0.0
    blocks = (last - first) / step if step > 0 else 0.0
    if not (blocks >= 1 and blocks == int(blocks) and blocks <= MOST_BLOCKS):
        raise BadInput(f"--bins {text!r}: expected FIRST:LAST:STEP in whole steps, {MOST_BLOCKS} at most: 1850:1950:10")
    return [float(edge) for edge in np.linspace(first, last, int(blocks) + 1)]


def _decades(rows: Sequence[_Row]) -> list[float]:
    years = [year for row in rows for year in row.span or ()] or [0.0]
    first = floor(min(years) / 10)
    decades = range(first, max(ceil(max(years) / 10), first + 1) + 1)
    if len(decades) > MOST_BLOCKS:
        raise BadInput(f"the types span more than {MOST_BLOCKS} decades: give --bins FIRST:LAST:STEP")
    return [10.0 * decade for decade in decades]


def _as_json(means: dict[str, _Mean], edges: list[float], found: AoristicSum) -> dict[str, Any]:
    blocks = zip(edges, edges[1:], found.weighted.tolist(), found.raw.tolist(), strict=False)
    return {
        "assemblages": {name: {"count": mean.count, "mean_date": mean.mean_date} for name, mean in means.items()},
        "blocks": [{"from": a, "to": b, "weighted": weighted, "raw": raw} for a, b, weighted, raw in blocks],
        "outside": found.outside,
    }


def _told(means: dict[str, _Mean], edges: list[float], found: AoristicSum) -> str:
    lines = ["Mean date of each assemblage"]
    for name, mean in means.items():
        date = f"{mean.mean_date:8.1f}" if mean.mean_date is not None else "no pieces"
        lines.append(f"  {date}  {printable(name[:44])}, {mean.count:g} pieces")
    lines += ["", "Pieces in each block of years, each spread evenly over its type's years"]
    tallest = max(float(found.weighted.max()), 1e-12)
    for first, last, pieces in zip(edges, edges[1:], found.weighted.tolist(), strict=False):
        lines.append(f"  {first:g}-{last:g}  {pieces:8.2f}  {'#' * round(36 * pieces / tallest)}".rstrip())
    if found.outside > 1e-9:
        lines.append(f"  {found.outside:.2f} pieces lie outside these years")
    return "\n".join(lines)
