"""A society at work: fifty people browsing and ten writing at once, on PostgreSQL, through `footring serve` itself.

    FOOTRING_TEST_POSTGRES=postgres://... python benchmarks/bench_society.py [--seconds 300] [--browsing 50]

The server is the command that a society runs, on loopback, with a database made for the purpose and thrown away. Who
takes part is signed in from the start. Each asks for a page, looks at it for one to three seconds, and asks for the
next, which is brisk for a reader; who writes notes a chip or a number, one as often as the other, and sees the piece
again after each, as a browser does. Every request is a connection of its own, as proxies make them unless told
otherwise. Every answer is timed from sent to read; one that is not the page, or leads to signing in, is an error. The
people run on the same machine as the server.
"""

from __future__ import annotations

import argparse
import http.client
import os
import random
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections import defaultdict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

HOST = "society.example"
DATABASE = "footring_society_at_work"
PAGES = ("/at-home/", "/reference/", "/piece/{}/", "/sources/", "/?r=form=covered+dish", "/help/")
TOKEN = "a" * 32
WRITTEN = {
    "condition": {"kind": "damage", "what": "flea bite", "where": "rim", "csrfmiddlewaretoken": TOKEN},
    "reading": {"name": "number", "value": "417", "csrfmiddlewaretoken": TOKEN},
}
"""Pages of a piece that something is sent to, and what: no answer rests on its condition, every answer on readings."""
LOOKS_SECONDS = (1.0, 3.0)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=float(os.environ.get("SECONDS_OF_SOCIETY", "60")))
    parser.add_argument("--browsing", type=int, default=50)
    parser.add_argument("--writing", type=int, default=10)
    parser.add_argument("--pieces", type=int, default=500)
    parser.add_argument("--only-notes", action="store_true", help="what is written is the condition alone")
    given = parser.parse_args()
    address = os.environ.get("FOOTRING_TEST_POSTGRES")
    if address is None:
        print("FOOTRING_TEST_POSTGRES names no server: left out")
        return
    with tempfile.TemporaryDirectory() as folder, own_database(address):
        pieces, cookies = prepared(Path(folder), given.browsing + given.writing, given.pieces)
        with served(Path(folder)) as port:
            timed = work(port, cookies, pieces, given)
    tell(timed, given)


@contextmanager
def own_database(server: str) -> Iterator[None]:
    """A database for `DATABASE_URL` to name, until it is done with."""
    import psycopg

    with psycopg.connect(server, autocommit=True) as asked:
        asked.execute(f"DROP DATABASE IF EXISTS {DATABASE}")
        asked.execute(f"CREATE DATABASE {DATABASE}")
        os.environ["DATABASE_URL"] = f"{server.rpartition('/')[0]}/{DATABASE}"
        try:
            yield
        finally:
            asked.execute(f"DROP DATABASE {DATABASE} WITH (FORCE)")


@contextmanager
def served(folder: Path) -> Iterator[int]:
    """`footring serve`, until it is done with; the port it listens on."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = int(free.getsockname()[1])
    footring = str(Path(sys.executable).with_name("footring"))
    command = [footring, "serve", str(folder), "--hosts", HOST, "--port", str(port)]
    with subprocess.Popen(command, stdout=subprocess.DEVNULL) as server:
        try:
            wait_for(port)
            yield port
        finally:
            server.terminate()


def wait_for(port: int) -> None:
    for _ in range(300):
        try:
            socket.create_connection(("127.0.0.1", port), 1).close()
            return
        except OSError:
            time.sleep(0.1)
    raise SystemExit("footring serve did not begin within half a minute")


def prepared(folder: Path, people: int, pieces: int) -> tuple[list[str], list[str]]:
    """A collection with the invented pottery and so many pieces more, and people signed in: ids, cookies."""
    from footring.records.folder import opened

    opened(folder, society=True)
    import footring.demo
    from footring.records.acts import act
    from footring.records.ids import new_id
    from footring.records.models import MODELS, Role, User
    from footring.records.packs import bring_in_pack
    from footring.rows.collection import Piece, Reading

    bring_in_pack(Path(footring.demo.__file__).parent / "pack", None)
    with act("many pieces", None) as doing:
        for n in range(pieces):
            piece = Piece(new_id(), name=f"Piece {n}")
            doing.add(piece, Reading(new_id(), piece=piece.id, name="form", value="covered dish"))
    users = [User.objects.create(username=f"person {n}", role=Role.CURATOR) for n in range(people)]
    return list(MODELS["pieces"].objects.values_list("pk", flat=True)[:400]), [signed_in(user) for user in users]


def signed_in(user) -> str:
    """The cookie of somebody who has signed in, without the work that a password is."""
    from django.conf import settings
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore

    session = SessionStore()
    session[SESSION_KEY], session[HASH_SESSION_KEY] = str(user.pk), user.get_session_auth_hash()
    session[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[0]
    session["_csrftoken"] = TOKEN
    session.save()
    return f"{settings.SESSION_COOKIE_NAME}={session.session_key}"


@dataclass
class Timed:
    """Seconds from sent to read, by kind of page, and what went wrong."""

    took: dict[str, list[float]] = field(default_factory=lambda: defaultdict(list))
    errors: list[str] = field(default_factory=list)


def work(port: int, cookies: list[str], pieces: list[str], given: argparse.Namespace) -> Timed:
    timed, until = Timed(), time.monotonic() + given.seconds
    people = [
        threading.Thread(target=person, args=(Browser(port, cookie, timed), pieces, kinds(n, given), until, n))
        for n, cookie in enumerate(cookies)
    ]
    for one in people:
        one.start()
    for one in people:
        one.join()
    return timed


def kinds(n: int, given: argparse.Namespace) -> list[str]:
    """What a person writes; nothing for who browses."""
    if n < given.browsing:
        return []
    return ["condition"] if given.only_notes else list(WRITTEN)


def person(browser: Browser, pieces: list[str], writes: list[str], until: float, seed: int) -> None:
    dice = random.Random(seed)
    time.sleep(dice.uniform(0.0, LOOKS_SECONDS[1]))
    while time.monotonic() < until:
        piece = dice.choice(pieces)
        if writes:
            browser.write(piece, dice.choice(writes))
        else:
            page = dice.choice(PAGES)
            browser.get(page.format(piece), page)
        time.sleep(dice.uniform(*LOOKS_SECONDS))


@dataclass
class Browser:
    """What one person asks with."""

    port: int
    cookie: str
    timed: Timed

    def get(self, address: str, kind: str) -> None:
        self._ask("GET", address, kind, None, 200)

    def write(self, piece: str, kind: str) -> None:
        """Add something to a piece, and see the piece again."""
        self._ask("POST", f"/piece/{piece}/{kind}/", f"a {kind} written", WRITTEN[kind], 302)
        self.get(f"/piece/{piece}/", f"the piece after a {kind}")

    def _ask(self, method: str, address: str, kind: str, form: dict[str, str] | None, expected: int) -> None:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        headers = {"Host": HOST, "Cookie": self.cookie, "X-Forwarded-Proto": "https", "X-Forwarded-For": "192.0.2.1",
                   "Referer": f"https://{HOST}/", "Content-Type": "application/x-www-form-urlencoded"}  # fmt: skip
        began = time.perf_counter()
        try:
            connection.request(method, address, urlencode(form) if form else None, headers)
            answer = connection.getresponse()
            answer.read()
            where = answer.headers.get("Location", "")
            if answer.status != expected or "sign-in" in where:
                self.timed.errors.append(f"{method} {kind}: {answer.status} {where}")
        except (OSError, http.client.HTTPException) as error:
            self.timed.errors.append(f"{method} {kind}: {error!r}")
        finally:
            connection.close()
        self.timed.took[kind].append(time.perf_counter() - began)


def tell(timed: Timed, given: argparse.Namespace) -> None:
    every = [one for times in timed.took.values() for one in times]
    print(f"{given.browsing} browsing and {given.writing} writing for {given.seconds:.0f} s, {given.pieces} pieces; "
          f"{len(every) / given.seconds:.0f} answers a second")  # fmt: skip
    for kind, times in [*sorted(timed.took.items()), ("all", every)]:
        told = "  ".join(f"{name} {1000 * quantile(times, q):6.0f}" for name, q in QUANTILES.items())
        print(f"  {kind:27}{len(times):6} answers  ms  {told}")
    print(f"  {len(timed.errors)} errors; aim: none, and p95 at most 300 ms")
    for error in sorted(set(timed.errors))[:5]:
        print(f"    {error}")


QUANTILES = {"p50": 0.5, "p95": 0.95, "p99": 0.99, "slowest": 1.0}


def quantile(times: list[float], q: float) -> float:
    return sorted(times)[int(q * (len(times) - 1))]


if __name__ == "__main__":
    main()
