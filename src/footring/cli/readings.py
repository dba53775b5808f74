"""Readings as they are typed on the command line or stand in a file, one piece after another."""

from __future__ import annotations

import argparse
import csv
from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import Any, TextIO

from footring.cli.csv_file import csv_text
from footring.cli.progress import Progress
from footring.cli.say import say, say_json
from footring.marks.readings import Reading, read_reading
from footring.terms.errors import BadInput, FootringError

BETWEEN = "\n" + "-" * 78 + "\n"


def add_readings(parser: argparse.ArgumentParser, names: str) -> None:
    """Options that readings come in by; `names` are those to show in the help."""
    parser.add_argument(
        "--read",
        action="append",
        default=[],
        metavar="NAME=VALUE",
        help=f"{names} ...; none = looked for and absent, 'value ~0.7' = doubtful",
    )
    parser.add_argument("--batch", metavar="FILE.csv", help="one piece a row, columns id and reading names; - is stdin")
    parser.add_argument("--json", action="store_true", help="JSON Lines, one object a piece")


def typed_readings(marks: Iterable[str], reads: Iterable[str]) -> list[Reading]:
    """Readings of one piece; a name may be repeated, and marks are counted with the `--read mark=`."""
    typed = [("mark", mark) for mark in marks]
    for given in reads:
        name, equals, value = given.partition("=")
        if not equals:
            raise BadInput(f"--read {given!r}: expected NAME=VALUE, such as country=Japan")
        typed.append((name, value))
    seen: dict[str, int] = {}
    read = ((name, read_reading(name, value)) for name, value in typed)
    return [_numbered(reading, name, seen) for name, reading in read if reading is not None]


def _numbered(reading: Reading, name: str, seen: dict[str, int]) -> Reading:
    seen[name] = seen.get(name, 0) + 1
    last = name.rpartition(".")[2]
    return reading if last.isdigit() else replace(reading, index=seen[name])


def has_blocks(stream: TextIO) -> bool:
    """Whether a stream can show the characters that curves are drawn with."""
    try:
        "▁█─┬“”".encode(stream.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def each_piece(
    path: str, verb: str, doing: str, show: Callable[[list[Reading], str | None], None], as_json: bool
) -> bool:
    """Show every piece of a file; a row that cannot be used is told, and the others go on.

    Returns
    -------
    bool
        Whether all rows could be used.
    """
    names, rows = _read_rows(path)
    failed = 0
    with Progress() as progress:
        for count, (line, row) in enumerate(rows):
            progress(doing, count, len(rows))
            piece_id = row.get("id") or None
            try:
                show(_row_readings(row, names), piece_id)
            except FootringError as error:
                failed += 1
                _show_error(verb, piece_id, line, error, as_json)
    return failed == 0


def _row_readings(row: dict[str, Any], names: list[str]) -> list[Reading]:
    if None in row or any(row[name] is None for name in names):
        raise BadInput(f"expected {len(names)} cells as in the heading, given another number")
    return [reading for name in names if name != "id" and (reading := read_reading(name, row[name]))]


def _show_error(verb: str, piece_id: str | None, line: int, error: FootringError, as_json: bool) -> None:
    if as_json:
        say_json({"id": piece_id, "error": f"line {line}: {error}"})
    else:
        say(f"footring {verb}: line {line}, {piece_id or 'no id'}: {error}", error=True)


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
