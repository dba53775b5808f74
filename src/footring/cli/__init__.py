"""The `footring` command: one file per verb, each thin."""

from __future__ import annotations

import argparse
import io
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from footring.cli.say import say
from footring.terms.errors import FootringError

VERBS = (
    "open",
    "serve",
    "backup",
    "restore",
    "date",
    "examine",
    "group",
    "pack",
    "sources",
    "simulate",
    "learn",
    "evaluate",
)
"""One module of this folder each, with `add(subparsers)` that registers a parser with `run` as its default."""


def parser() -> argparse.ArgumentParser:
    """The whole command line, every verb registered."""
    whole = argparse.ArgumentParser(
        prog="footring",
        description="Turn a piece over and say what it is, when it was made, how sure, and why.",
    )
    verbs = whole.add_subparsers(dest="verb", required=True, metavar="VERB")
    for verb in VERBS:
        import_module(f"footring.cli.{verb}").add(verbs)
    return whole


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command. 0 done, 1 some rows failed, 2 the input cannot be used."""
    # Before numpy is loaded: our matrices are small; 100 pieces took 19 s with a thread a processor, 13 s with one.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):  # what a terminal or pipe cannot show is told, not an error
            stream.reconfigure(errors="backslashreplace")
    args = parser().parse_args(argv)
    try:
        return int(args.run(args))
    except FootringError as error:
        say(f"footring {args.verb}: {error}", error=True)
        return 2
    except BrokenPipeError:  # whoever read our output has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 1


if __name__ == "__main__":
    sys.exit(main())
