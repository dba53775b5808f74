"""`footring simulate`: an invented factory with known truth."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from footring.cli.progress import Progress
from footring.demo.parameters import read_world
from footring.demo.simulate import simulate
from footring.terms.errors import BadInput

EXAMPLES = """examples:
  footring simulate --seed 1 --encounters 300 --pieces 50 --out ossel-ford
  footring simulate --seed 2 --encounters 200 --pieces 20 --world random:7 --out another-world
"""


def add(verbs: Any) -> None:
    """Register the verb."""
    parser = verbs.add_parser(
        "simulate",
        help="make an invented factory with known truth, to try the reasoning on",
        description="Write a pack of what was met of an invented factory, pieces to be told, the truth of them, and "
        "what an oracle says that knew how they came to be. The same seed and world give the same files.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--seed", type=int, required=True, help="of who met what; the factory is the world's own")
    parser.add_argument("--encounters", type=int, required=True, metavar="N", help="pieces met, for the pack")
    parser.add_argument("--pieces", type=int, required=True, metavar="N", help="pieces to be told")
    parser.add_argument("--out", required=True, metavar="DIR", help="a folder that does not exist yet")
    parser.add_argument("--world", metavar="FILE", help="a world file (world.json of an earlier one), or random:SEED")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Write the files."""
    for name, least in (("seed", 0), ("encounters", 0), ("pieces", 0)):
        if getattr(args, name) < least:
            raise BadInput(f"--{name} {getattr(args, name)}: expected {least} or more")
    with Progress() as show:
        simulate(read_world(args.world), args.seed, args.encounters, args.pieces, Path(args.out), show)
    print(f"Wrote {args.out}: pack, pieces.csv, truth.csv, oracle.csv and the rest. Try")
    print(f"  footring examine --pack {args.out}/pack --batch {args.out}/pieces.csv")
    return 0
