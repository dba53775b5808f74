"""`footring learn`: parameters from the pieces that people have settled."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from footring.cli.progress import Progress
from footring.cli.say import say, say_json
from footring.packs import load_pack
from footring.packs.write import csv_bytes
from footring.reasoning.learn import learn
from footring.reasoning.parameters import Parameters, parameters_beside
from footring.reasoning.piece_readings import settled_readings
from footring.reasoning.propose import propose
from footring.reference import Reference, compile_reference
from footring.rows import TABLES, RowTable
from footring.terms.errors import BadInput
from footring.terms.printable import printable

EXAMPLES = """examples:
  footring learn src/footring/demo/pack --out parameters.json
"""


def add(verbs: Any) -> None:
    """Register the verb."""
    parser = verbs.add_parser(
        "learn",
        help="learn from the pieces you have settled how things are met and misread",
        description="Fit everything that is fitted on a pack's confirmed pieces and their readings, and write it to a "
        "file beside the pack, which footring examine then uses. The same pack gives the same file.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("pack", metavar="PACK", help="a pack: a folder, a zip or a workbook")
    parser.add_argument("--out", metavar="FILE.json", help="where to write instead of beside the pack")
    parser.add_argument("--proposals", metavar="FILE.csv", help="also write attributions proposed for open pieces")
    parser.add_argument("--json", action="store_true", help="print the parameters as JSON")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Learn, write, tell."""
    reference = compile_reference(load_pack(args.pack).tables)
    with Progress() as show:
        show("learning", 0, 1)
        found = learn(reference)
    out = Path(args.out) if args.out else parameters_beside(args.pack)
    _write(out, (json.dumps(found.to_json(), indent=1, sort_keys=True) + "\n").encode())
    if args.proposals:
        table = RowTable.from_rows(TABLES["attributions"], propose(reference, found))
        _write(Path(args.proposals), b"".join(csv_bytes(table)))
    if args.json:
        say_json(found.to_json(), sort_keys=True)
    else:
        say("\n".join(_told(reference, found, out)))
    return 0


def _write(path: Path, content: bytes) -> None:
    try:
        path.write_bytes(content)
    except OSError as error:
        raise BadInput(f"cannot write {path}: {error.strerror or error}") from error


def _told(reference: Reference, found: Parameters, out: Path) -> Iterator[str]:
    settled = len(settled_readings(reference))
    if not settled:
        yield "No piece here has both readings and a confirmed attribution: how pieces are misread stays as it ships."
    else:
        yield f"Learned from {settled:,} settled pieces with readings."
        yield f"A document counts for {found.document:g} of a piece; its years are believed {found.window_trust:.0%}."
        names = reference.tables["channels"]
        for name, share in sorted(found.channels.items()):
            if name:
                says = printable(str(names.text("name").value(names.ids.find(name))))
                yield f"Met through “{says}”, where someone chose: a piece counts for {share:g}."
    yield f"Of pieces yet to be met, {found.outside:.1%} are expected to be of a line that is not in the pack."
    yield f"Written to {out}. Its digest is {found.digest}."
