"""`footring serve`: a collection for a society, with accounts and roles, behind a proxy."""

from __future__ import annotations

import argparse
import os
from pathlib import Path
from typing import Any

from footring.cli.serving import made_ready, run_until_closed, server_of
from footring.terms.errors import BadInput

EXAMPLES = """examples:
  footring serve --hosts plates.example
  footring serve Collections/society --hosts plates.example,www.plates.example --port 8200

Put a proxy in front that speaks HTTPS, and have it send X-Forwarded-For,
X-Forwarded-Proto and Host on. DATABASE_URL names a PostgreSQL database,
FOOTRING_STORE a store for photographs (s3://bucket?endpoint=https://host);
without them all is kept in the folder. One process serves a folder.
"""


def add(verbs: Any) -> None:
    """Register the verb."""
    parser = verbs.add_parser(
        "serve",
        help="serve a collection to a society",
        description="Serve a collection to many people, each with an account and a role, behind a proxy. The first "
        "time, an invitation for its keeper is printed. Ctrl-C closes it.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("folder", nargs="?", type=Path, metavar="FOLDER", help="default: Footring in your home folder")
    parser.add_argument("--hosts", default="", metavar="NAMES", help="names the site is reached by, commas between")
    parser.add_argument("--host", default="127.0.0.1", help="where to listen; default: this machine alone")
    parser.add_argument("--port", type=int, default=8100, help="default: 8100")
    parser.add_argument(
        "--proxy", default="127.0.0.1", metavar="ADDRESS", help="where the proxy is; only its word is taken"
    )
    parser.add_argument(
        "--let-in", metavar="NAME", help="print a new way in for an account whose password is lost, and end"
    )
    parser.set_defaults(run=run)


def run(args: argparse.Namespace) -> int:
    """Serve until Ctrl-C."""
    hosts = [name.strip() for name in (args.hosts or os.environ.get("FOOTRING_HOSTS", "")).split(",") if name.strip()]
    if not hosts:
        raise BadInput("--hosts: expected the names that the site is reached by, such as --hosts plates.example")
    if odd := [name for name in hosts if not set(name) <= set(_IN_A_NAME)]:
        raise BadInput(f"--hosts {odd[0]!r}: expected a name such as plates.example, without https:// and without *")
    os.environ["FOOTRING_HOSTS"] = ",".join(hosts)
    folder = (args.folder or Path.home() / "Footring").expanduser().resolve()
    made_ready(folder, society=True)
    if args.let_in:
        return _let_in(args.let_in, hosts[0])
    server = server_of(
        args.host, args.port, trusted_proxy=args.proxy, trusted_proxy_count=1, clear_untrusted_proxy_headers=True,
        trusted_proxy_headers={"x-forwarded-for", "x-forwarded-proto"},
    )  # fmt: skip
    print(
        f"{folder} is open at https://{hosts[0]}/, through a proxy to {args.host}:{server.effective_port}", flush=True
    )
    _invite(hosts[0])
    return run_until_closed(server.run)


_IN_A_NAME = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.-"


def _invite(host: str) -> None:
    from footring.records.invitations import first_invitation

    if token := first_invitation():
        _tell("Nobody can sign in yet. Its keeper", host, token)


def _let_in(name: str, host: str) -> int:
    from footring.records.invitations import new_way_in

    _tell(name, host, new_way_in(name))
    return 0


def _tell(who: str, host: str, token: str) -> None:
    print(f"{who} comes in, once, at:", f"https://{host}/invited/{token}/", sep="\n", flush=True)
