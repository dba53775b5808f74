"""`footring sources`: how reliable each source of a pack has proved, and where claims disagree."""

from __future__ import annotations

import argparse
from dataclasses import asdict
from typing import Any

from footring.cli.progress import Progress
from footring.cli.say import say, say_json
from footring.packs import load_pack
from footring.reasoning.disagreements import disagreements
from footring.reasoning.source_records import firmness_records, learn_sources, source_records
from footring.reasoning.tell_sources import tell_sources
from footring.reference import compile_reference

MOST = 20

EXAMPLES = """\
A claim is checked by confirmed attributions (their cells, numbers, marks, date
codes, customers) and by claims made with a piece in the hand. What one source
took over from another counts once.

examples:
  footring sources src/footring/demo/pack
  footring sources src/footring/demo/pack --json

Overrule a disagreement with a row in the table resolutions, with your reason.
"""


def add(verbs: Any) -> None:
    """Register the verb."""
    parser = verbs.add_parser(
        "sources",
        help="how reliable each source has proved, and where claims disagree",
        description="How often what each source of a pack says was borne out by pieces in the hand, what it means "
        "that something was said from memory, and every disagreement with the claims for and against.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("pack", metavar="PACK", help="a pack: folder, zip, XLSX or ODS")
    parser.add_argument("--all", action="store_true", help=f"every disagreement, not the first {MOST}")
    parser.add_argument("--json", action="store_true", help="one JSON object, with every disagreement")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the records of the sources and what disagrees."""
    with Progress() as progress:
        pack = load_pack(args.pack, progress=progress)
    reference = compile_reference(pack.tables)
    learned = learn_sources(reference)
    records = list(source_records(reference, learned).values())
    firmness, found = firmness_records(reference, learned), disagreements(reference, learned)
    if args.json:
        told = {
            "sources": [asdict(one) for one in records],
            "firmness": [asdict(one) for one in firmness],
            "disagreements": [asdict(one) for one in found],
            "digests": {"reference": learned.reference_digest, "sources": learned.digest},
        }
        say_json(told)
    else:
        say(tell_sources(records, firmness, found, len(found) if args.all else MOST))
    return 0
