"""`footring date`: dates from what stands on a foot."""

from __future__ import annotations

import argparse
import csv
import json
import sys
from collections.abc import Iterator
from dataclasses import replace
from typing import Any, NamedTuple, TextIO

from footring.cli.csv_file import csv_text
from footring.cli.progress import Progress
from footring.marks.datecode_pack import pack_schemes
from footring.marks.datecode_schemes import Scheme
from footring.marks.readings import Reading, read_reading
from footring.packs import load_pack
from footring.reasoning.date_json import date_json
from footring.reasoning.date_mark import DateFinding, date_mark
from footring.reasoning.prior import YearPrior, default_prior, read_prior
from footring.reasoning.tell import tell, tell_always
from footring.terms.errors import BadInput, FootringError

EXAMPLES = """examples:
  footring date --mark "QUILLOW & T?RN / MADE IN ENGLAND"
  footring date --mark 'On base, printed in green: "ORMSLEY / Rd No 314901"' --read country=England
  footring date --pack src/footring/demo/pack --mark "QUILLOW & TARN / MADE IN ENGLAND" --read date_code=C4
  footring date --read date_code=none --read "made=between 1936 and 1939" --json
"""


class Known(NamedTuple):
    """What a piece is dated with, besides its readings."""

    prior: YearPrior
    schemes: tuple[Scheme, ...]

    def date(self, readings: list[Reading]) -> DateFinding:
        """Dates of one piece."""
        return date_mark(prior=self.prior, schemes=self.schemes, readings=readings)


def add(verbs: Any) -> None:
    """Register the verb."""
    parser = verbs.add_parser(
        "date",
        help="date a piece, or a file of pieces, from the marks on the foot",
        description="Date a piece from the marks on its foot, with the evidence rule by rule. In a mark, ? is one "
        "unreadable character, ... a gap, / a line break; museum-style transcriptions are read as well.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--mark", action="append", default=[], metavar="TEXT", help="a mark as typed; may be repeated")
    parser.add_argument(
        "--read",
        action="append",
        default=[],
        metavar="NAME=VALUE",
        help="another reading: country, form, maker, date_code, label, numeral, made, mark_kind ...; "
        "none = looked for and absent, 'value ~0.7' = doubtful",
    )
    parser.add_argument(
        "--batch", metavar="FILE.csv", help="one piece a row, columns id, mark and reading names; - is stdin"
    )
    parser.add_argument("--pack", metavar="PATH", help="a pack whose date codes are read besides those that ship")
    parser.add_argument("--prior", metavar="FILE.csv", help="your own prior over years: columns country, year, height")
    parser.add_argument("--json", action="store_true", help="JSON Lines, one object a piece")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Date one piece or a batch; 1 when some rows of a batch failed."""
    known = Known(
        read_prior(args.prior) if args.prior else default_prior(),
        pack_schemes(load_pack(args.pack).tables) if args.pack else (),
    )
    if args.batch:
        if args.mark or args.read:
            raise BadInput("--batch takes its readings from the file: leave out --mark and --read")
        return _batch(args.batch, known, args.json)
    if not args.mark and not args.read:
        raise BadInput("nothing to date: give --mark TEXT, --read NAME=VALUE or --batch FILE.csv")
    finding = known.date(list(_readings(args.mark, args.read)))
    _show(finding, None, args.json)
    return 0


def _readings(marks: list[str], reads: list[str]) -> Iterator[Reading]:
    typed = [("mark", mark) for mark in marks]
    for given in reads:
        name, equals, value = given.partition("=")
        if not equals:
            raise BadInput(f"--read {given!r}: expected NAME=VALUE, such as country=Japan")
        typed.append((name, value))
    seen: dict[str, int] = {}
    for name, value in typed:
        reading = read_reading(name, value)
        if reading is not None:
            yield _numbered(reading, name, seen)


def _numbered(reading: Reading, name: str, seen: dict[str, int]) -> Reading:
    seen[name] = seen.get(name, 0) + 1
    last = name.rpartition(".")[2]
    return reading if last.isdigit() else replace(reading, index=seen[name])


def _show(finding: DateFinding, piece_id: str | None, as_json: bool, *, always: bool = True) -> None:
    if as_json:
        print(_line(date_json(finding, piece_id)))
    else:
        print(tell(finding, piece_id, plain=not _has_blocks(sys.stdout), always=always))


def _line(plain: dict[str, Any]) -> str:
    return json.dumps(plain, allow_nan=False)


def _has_blocks(stream: TextIO) -> bool:
    try:
        "▁█─┬“”".encode(stream.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def _batch(path: str, known: Known, as_json: bool) -> int:
    names, rows = _read_rows(path)
    failed = 0
    finding = None
    with Progress() as show:
        for count, (line, row) in enumerate(rows):
            show("dating", count, len(rows))
            piece_id = row.get("id") or None
            try:
                finding = known.date(_row_readings(row, names))
            except FootringError as error:
                failed += 1
                _show_error(piece_id, line, error, as_json)
                continue
            _show(finding, piece_id, as_json, always=False)
            if not as_json:
                print("\n" + "-" * 78 + "\n")
    if finding and not as_json:
        print(tell_always(finding, plain=not _has_blocks(sys.stdout)))
    return 1 if failed else 0


def _row_readings(row: dict[str, Any], names: list[str]) -> list[Reading]:
    if None in row or any(row[name] is None for name in names):
        raise BadInput(f"expected {len(names)} cells as in the heading, given another number")
    return [reading for name in names if name != "id" and (reading := read_reading(name, row[name]))]


def _show_error(piece_id: str | None, line: int, error: FootringError, as_json: bool) -> None:
    if as_json:
        print(_line({"id": piece_id, "error": f"line {line}: {error}"}))
    else:
        print(f"footring date: line {line}, {piece_id or 'no id'}: {error}", file=sys.stderr)


def _read_rows(path: str) -> tuple[list[str], list[tuple[int, dict[str, Any]]]]:
    """The heading, and each row with the line it ends on."""
    try:
        reader = csv.DictReader(csv_text(path), strict=True)
        names, rows = list(reader.fieldnames or []), [(reader.line_num, row) for row in reader]
    except csv.Error as error:
        raise BadInput(f"{path} cannot be read as CSV: {error}") from error
    if not names:
        raise BadInput(f"{path} is empty: expected a heading with id, mark and reading names")
    if len(set(names)) < len(names):
        raise BadInput(f"{path}: a column stands twice; number repeated readings mark, mark.2")
    for name in names:
        if name != "id":
            read_reading(name, "")
    return names, rows
