"""`footring pack`: check a pack, or copy it from one form into another."""

from __future__ import annotations

import argparse
import io
import sys
from collections import Counter
from pathlib import Path
from typing import Any, BinaryIO

from footring.cli.progress import Progress
from footring.cli.say import say, say_json
from footring.packs import Pack, PackFault, load_pack, read_pack, write_pack
from footring.packs.limits import DEFAULT_LIMITS
from footring.terms.errors import BadInput

CHECK_EXAMPLES = """\
A pack is a folder or zip with one CSV a table (and datapackage.json), or an
XLSX or ODS workbook with one sheet a table.

examples:
  footring pack check src/footring/demo/pack
  footring pack check src/footring/demo/pack --json

A zip may come from a pipe: footring pack check - < mine.zip

Exit 0: no fault. Exit 2: faults, each with its file, line and column.
"""

COPY_EXAMPLES = """\
The copy is written anew: columns in the order of the table, datapackage.json
made from the tables. A name that ends in .zip makes a zip, another a folder.

example:
  footring pack copy src/footring/demo/pack "$(mktemp -d)/demo.zip"

A pack with faults is not copied. What is there already is not written over
unless you say --replace.
"""


def add(verbs: Any) -> None:
    """Register the verb."""
    say = "check a pack of tables, or copy it"
    parser = verbs.add_parser(
        "pack", help=say, description="Packs: everything known of what factories made, as tables."
    )
    doings = parser.add_subparsers(dest="doing", required=True, metavar="DOING", help="what to do")
    check = _doing(
        doings, "check", "every fault of a pack", CHECK_EXAMPLES,
        "Read a whole pack and report every fault at once: where it is, what was given, what was expected, what to do.",
    )  # fmt: skip
    check.add_argument("path", metavar="PATH", help="folder, zip, XLSX or ODS; - reads a zip or workbook from stdin")
    check.set_defaults(run=run_check)
    copy = _doing(
        doings,
        "copy",
        "a pack in another form",
        COPY_EXAMPLES,
        "Copy a pack: folder to zip, zip or workbook to folder.",
    )
    copy.add_argument("source", metavar="FROM", help="folder, zip, XLSX or ODS; - reads a zip or workbook from stdin")
    copy.add_argument("target", metavar="TO", help="folder, or zip when it ends in .zip")
    copy.add_argument("--replace", action="store_true", help="write over what is there")
    copy.set_defaults(run=run_copy)


def _doing(doings: Any, name: str, say: str, epilog: str, description: str) -> argparse.ArgumentParser:
    form = argparse.RawDescriptionHelpFormatter
    parser: argparse.ArgumentParser = doings.add_parser(
        name, help=say, description=description, epilog=epilog, formatter_class=form
    )
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.add_argument("--progress", action="store_true", help="say how far it is even where stderr is no terminal")
    return parser


def run_check(args: argparse.Namespace) -> int:
    """Print every fault."""
    with Progress(args.progress) as progress:
        pack, faults = read_pack(_source(args.path), progress=progress)
    say_json(_as_json(pack, faults)) if args.json else say(_told(pack, faults))
    return 2 if faults else 0


def run_copy(args: argparse.Namespace) -> int:
    """Write the copy."""
    with Progress(args.progress) as progress:
        pack = load_pack(_source(args.source), progress=progress)
    write_pack(pack.tables, args.target, about=pack.about, replace=args.replace)
    told = {"path": args.target, "tables": _rows(pack)}
    say_json(told) if args.json else say(f"{args.target}: {_counted(pack)}")
    return 0


def _source(path: str) -> Path | BinaryIO:
    if path != "-":
        return Path(path)
    data = sys.stdin.buffer.read(DEFAULT_LIMITS.file_bytes + 1)
    if len(data) > DEFAULT_LIMITS.file_bytes:
        raise BadInput(f"stdin: more than {DEFAULT_LIMITS.file_bytes:,} bytes; give the pack as a file")
    return io.BytesIO(data)


def _rows(pack: Pack) -> dict[str, int]:
    return {name: len(table) for name, table in pack.tables.items()}


def _counted(pack: Pack) -> str:
    rows = _rows(pack)
    return f"{_number(sum(rows.values()), 'row')} in {_number(len(rows), 'table')}"


def _number(count: int, what: str) -> str:
    return f"{count:,} {what}" + ("" if count == 1 else "s")


def _as_json(pack: Pack, faults: list[PackFault]) -> dict[str, Any]:
    return {
        "path": pack.path,
        "tables": _rows(pack),
        "faults": [fault.as_dict() for fault in faults],
        "counts": dict(Counter(fault.kind for fault in faults).most_common()),
    }


def _told(pack: Pack, faults: list[PackFault]) -> str:
    if not faults:
        return f"{pack.path}: {_counted(pack)}, no fault found"
    counts = Counter(fault.kind for fault in faults).most_common()
    title = f"{pack.path}: {_number(len(faults), 'fault')} in {_counted(pack)}"
    return "\n".join([*map(str, faults), "", title, *(f"  {count:>6,}  {kind}" for kind, count in counts)])
