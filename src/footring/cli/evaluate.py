"""`footring evaluate`: how good the answers are, on an invented factory with known truth."""

from __future__ import annotations

import argparse
import json
import math
from dataclasses import asdict
from typing import Any

from footring.cli.progress import Progress
from footring.reasoning.calibration.evaluation import Evaluation, evaluate
from footring.reasoning.calibration.simulated import read_simulated
from footring.reasoning.calibration.table import Measured
from footring.reasoning.calibration.tell import tell
from footring.terms.errors import BadInput

EXAMPLES = """examples:
  footring simulate --seed 1 --encounters 100 --pieces 40 --out small-world && footring evaluate small-world
"""


def add(verbs: Any) -> None:
    """Register the verb."""
    parser = verbs.add_parser(
        "evaluate",
        help="how good the answers are, on an invented factory with known truth",
        description="Learn from the pack of a simulated factory, examine its pieces, and hold the answers against the "
        "truth, against an oracle that knew everything, and against standard methods on the same readings.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("folder", metavar="DIR", help="what footring simulate wrote")
    parser.add_argument("--most", type=int, metavar="N", help="examine only the first N pieces, and N selected ones")
    parser.add_argument("--json", action="store_true", help="one JSON object")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Print the table."""
    if args.most is not None and args.most < 1:
        raise BadInput(f"--most {args.most}: expected 1 or more")
    world = read_simulated(args.folder, most=args.most)
    with Progress() as show:
        found = evaluate(world, show)
    print(json.dumps(_plain(found), allow_nan=False) if args.json else tell(found))
    return 0


def _plain(found: Evaluation) -> Any:
    plain = asdict(found)
    for name, judged in (("plain", found.plain), ("selected", found.selected)):
        if judged is not None:
            plain[name]["rows"] = [_row(row) for row in judged.rows]
    return _finite(plain)


def _row(row: Measured) -> dict[str, Any]:
    value, low, high = row.found
    of = {"what": row.what, "value": value, "low": low, "high": high}
    return of | {"least": row.least, "most": row.most, "reached": row.reached}


def _finite(value: Any) -> Any:
    """Null for what could not be measured."""
    if isinstance(value, dict):
        return {name: _finite(one) for name, one in value.items()}
    if isinstance(value, list):
        return [_finite(one) for one in value]
    return None if isinstance(value, float) and not math.isfinite(value) else value
