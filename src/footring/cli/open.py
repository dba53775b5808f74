"""`footring open`: the collection in a browser, for one person on this machine."""

from __future__ import annotations

import argparse
import importlib.resources
import os
import sys
import webbrowser
from pathlib import Path
from typing import Any

from footring.cli.serving import made_ready, run_until_closed, server_of

HOST = "127.0.0.1"
EXAMPLES = """examples:
  footring open
  footring open --demo
  footring open Collections/plates --no-browser
"""


def add(verbs: Any) -> None:
    """Register the verb."""
    parser = verbs.add_parser(
        "open",
        help="open a collection in the browser",
        description="Open a collection, a folder that is made if it is not there yet, in the browser. Only this "
        "machine reaches it, and only the browser that is opened gets in. Ctrl-C closes it.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("folder", nargs="?", type=Path, metavar="FOLDER", help="default: Footring in your home folder")
    parser.add_argument(
        "--demo", action="store_true", help="the invented pottery, in a folder of its own among your data"
    )
    parser.add_argument("--port", type=int, default=0, help="default: any that is free")
    parser.add_argument("--no-browser", action="store_true", help="print the address instead of opening it")
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Serve until Ctrl-C."""
    folder = _folder(args)
    made_ready(folder)
    if args.demo:
        _fill_with_demo()
    from footring.web.launch import new_token

    server = server_of(HOST, args.port)
    address = f"http://{HOST}:{server.effective_port}/enter/{new_token()}/"
    print(f"{folder} is open at {address}", "That address works once. Ctrl-C closes it.", sep="\n", flush=True)
    if not args.no_browser:
        webbrowser.open(address)
    return run_until_closed(server.run)


def _folder(args: argparse.Namespace) -> Path:
    if args.folder:
        return Path(args.folder).expanduser().resolve()
    return _own_data() / "footring" / "demo" if args.demo else Path.home() / "Footring"


def _own_data() -> Path:
    """Where the system wants programs to keep what is a person's: nobody else can put anything there."""
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support"
    named = Path(os.environ.get("XDG_DATA_HOME", ""))  # it counts only if absolute: XDG Base Directory 0.8, from memory
    return named if named.is_absolute() else Path.home() / ".local" / "share"


def _fill_with_demo() -> None:
    """The demo's pack, where the folder is still empty."""
    from footring.records.acts import revision
    from footring.records.models import User
    from footring.records.packs import bring_in_pack

    if revision() == 0:
        with importlib.resources.as_file(importlib.resources.files("footring.demo") / "pack") as pack:
            bring_in_pack(pack, User.objects.get(username="keeper"))
