"""`footring restore`: a collection out of a bag, after every checksum was found right."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import Any

from footring.cli.say import say
from footring.records.backup import restore

EXAMPLES = """example:
  footring restore Backups/plates Collections/again

A bag that is damaged is refused, and the files that are wrong are named. What
is there already is never written over.
"""


def add(verbs: Any) -> None:
    """Register the verb."""
    parser = verbs.add_parser(
        "restore",
        help="make a collection of a bag",
        description="Make a collection of a bag, in a folder that is not there yet, once every checksum was right.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("bag", type=Path, metavar="BAG", help="what footring backup made")
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="a folder that is not there yet")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Make the collection."""
    folder = args.folder.expanduser().resolve()
    bag = restore(args.bag.expanduser().resolve(), folder)
    day = bag.info.get("Bagging-Date", "a day nobody wrote down")
    say(f"{folder}: as it was on {day}. Now say: footring open {folder}")
    if os.environ.get("FOOTRING_STORE"):
        say(f"Its photographs are in {folder / 'photos'}: copy them into the store, or leave FOOTRING_STORE out")
    return 0
