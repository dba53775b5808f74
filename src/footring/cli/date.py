"""`footring date`: dates from what stands on a foot."""

from __future__ import annotations

import argparse
import sys
from typing import Any, NamedTuple

from footring.cli.readings import BETWEEN, add_readings, each_piece, has_blocks, typed_readings
from footring.cli.say import say, say_json
from footring.marks.datecode_pack import pack_schemes
from footring.marks.datecode_schemes import Scheme
from footring.marks.readings import Reading
from footring.packs import load_pack
from footring.reasoning.date_json import date_json
from footring.reasoning.date_mark import DateFinding, date_mark
from footring.reasoning.prior import YearPrior, default_prior, read_prior
from footring.reasoning.tell import tell, tell_always
from footring.terms.errors import BadInput

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
    add_readings(parser, "another reading: country, form, maker, date_code, label, numeral, made, mark_kind")
    parser.add_argument("--pack", metavar="PATH", help="a pack whose date codes are read besides those that ship")
    parser.add_argument("--prior", metavar="FILE.csv", help="your own prior over years: columns country, year, height")
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
    finding = known.date(typed_readings(args.mark, args.read))
    _show(finding, None, args.json)
    return 0


def _show(finding: DateFinding, piece_id: str | None, as_json: bool, *, always: bool = True) -> None:
    if as_json:
        say_json(date_json(finding, piece_id))
    else:
        say(tell(finding, piece_id, plain=not has_blocks(sys.stdout), always=always))


def _batch(path: str, known: Known, as_json: bool) -> int:
    last: list[DateFinding] = []

    def show(readings: list[Reading], piece_id: str | None) -> None:
        last[:] = [known.date(readings)]
        _show(last[0], piece_id, as_json, always=False)
        if not as_json:
            say(BETWEEN)

    all_used = each_piece(path, "date", "dating", show, as_json)
    if last and not as_json:
        say(tell_always(last[0].cautions, plain=not has_blocks(sys.stdout)))
    return 0 if all_used else 1
