"""`footring backup`: a collection as a bag with checksums."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from footring.cli.say import say
from footring.records.backup import back_up

EXAMPLES = """example:
  footring backup Collections/plates Backups/plates

The collection may be open meanwhile. The bag (BagIt 1.0, RFC 8493) is a
folder with the records, the photographs and a checksum for each; copy it to
another disk. Sign-in secrets are not in it; the records are, the private
ones too: keep it as you keep the collection.
"""


def add(verbs: Any) -> None:
    """Register the verb."""
    parser = verbs.add_parser(
        "backup",
        help="copy a collection into a bag with checksums",
        description="Copy a collection into a new folder, a bag with a checksum for every file, and read it back.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("folder", type=Path, metavar="FOLDER", help="the collection")
    parser.add_argument("bag", type=Path, metavar="BAG", help="a folder that is not there yet")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Make the bag."""
    bag = back_up(args.folder.expanduser().resolve(), args.bag.expanduser().resolve())
    size, _, files = bag.info["Payload-Oxum"].partition(".")
    say(f"{bag.path}: {int(files):,} files, {int(size):,} bytes, each read back and found as it was")
    return 0
