"""`footring examine`: what a piece is, when it was made, how sure, and why."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from footring.cli.readings import BETWEEN, add_readings, each_piece, has_blocks, typed_readings
from footring.cli.say import say, say_json
from footring.marks.readings import Reading
from footring.packs import load_pack
from footring.reasoning.examine import Examiner
from footring.reasoning.finding import Finding
from footring.reasoning.label_text import tell_piece
from footring.reasoning.next_reading import ABOUT
from footring.reasoning.parameters import Parameters, parameters_beside, read_parameters
from footring.reasoning.piece_json import piece_json
from footring.reasoning.tell import tell_always
from footring.reference import compile_reference
from footring.terms.errors import BadInput

EXAMPLES = """examples:
  footring examine --pack src/footring/demo/pack --read line=Ormsley --read "decoration=Reed Heron"
  footring examine --pack src/footring/demo/pack --read "mark=QUILLOW & TARN / MADE IN ENGLAND" --read number=417 --why
  footring examine --pack src/footring/demo/pack --read form=lid --read number=none --read "glaze=Clear ~0.7" --json
  footring examine --read "mark=ORMSLEY / MADE IN ENGLAND"
"""


def add(verbs: Any) -> None:
    """Register the verb."""
    parser = verbs.add_parser(
        "examine",
        help="say what a piece is and when it was made, against a pack",
        description="Say what a piece is and when it was made, how sure, and why, from whatever was read off it and "
        "what a pack knows. In a mark, ? is one unreadable character, ... a gap, / a line break. lid. and base. before "
        "a name say which part was read.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--pack", metavar="PATH", help="what is known; without it the general rules are all there is")
    parser.add_argument("--parameters", metavar="FILE", help="what footring learn wrote, if not beside the pack")
    add_readings(
        parser, "a reading: mark, mark_kind, line, form, feature, across, glaze, decoration, trim, number, date_code"
    )
    parser.add_argument(
        "--about", metavar="WHAT", help=f"what the next thing to look at should tell most of: {', '.join(ABOUT)}"
    )
    parser.add_argument("--why", action="store_true", help="with the evidence, reading by reading")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Examine one piece or a batch; 1 when some rows of a batch failed."""
    if args.batch and args.read:
        raise BadInput("--batch takes its readings from the file: leave out --read")
    if not args.batch and not args.read:
        raise BadInput("nothing to examine: give --read NAME=VALUE or --batch FILE.csv")
    reference = compile_reference(load_pack(args.pack).tables if args.pack else {})
    examiner = Examiner(reference, _parameters(args))

    last: list[Finding] = []

    def show(readings: list[Reading], piece_id: str | None) -> None:
        last[:] = [examiner.finding(readings, about=args.about)]
        _show(last[0], piece_id, args)

    if not args.batch:
        show(typed_readings([], args.read), None)
        return 0
    all_used = each_piece(args.batch, "examine", "examining", show, args.json)
    if last and not args.json:
        say(tell_always(last[0].cautions, plain=not has_blocks(sys.stdout)))
    return 0 if all_used else 1


def _parameters(args: argparse.Namespace) -> Parameters | None:
    """Those that were named, else those that lie beside the pack, else none."""
    if args.parameters:
        return read_parameters(args.parameters)
    beside = parameters_beside(args.pack) if args.pack else None
    return read_parameters(beside) if beside is not None and beside.is_file() else None


def _show(finding: Finding, piece_id: str | None, args: argparse.Namespace) -> None:
    if args.json:
        say_json(piece_json(finding, piece_id))
        return
    say(tell_piece(finding, piece_id, why=args.why, plain=not has_blocks(sys.stdout), always=not args.batch))
    if args.batch:
        say(BETWEEN)
