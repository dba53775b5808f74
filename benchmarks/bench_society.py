"""A society at work: fifty people browsing and ten writing at once, on PostgreSQL.

    FOOTRING_TEST_POSTGRES=postgres://... python benchmarks/bench_society.py [--seconds 300] [--browsing 50]

One server process as `footring serve` runs it, on loopback; people look at a page for one to three seconds before they
go to the next. Every answer is timed from sent to read; one that is not 200 or a redirect is an error.
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
from pathlib import Path
from urllib.parse import urlencode

HOST = "society.example"
PAGES = ("/at-home/", "/reference/", "/sources/", "/?r=form=covered+dish", "/help/")
NOTE = {"kind": "damage", "what": "flea bite", "where": "rim", "csrfmiddlewaretoken": "a" * 32}
SERVER = """
import sys, waitress
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]), society=True)
from footring.records.known import warm
from footring.web.wsgi import application
warm()
waitress.serve(application, host="127.0.0.1", port=int(sys.argv[2]), threads=8, ident=None,
    trusted_proxy="127.0.0.1", trusted_proxy_headers={"x-forwarded-proto"}, clear_untrusted_proxy_headers=True)
"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=float(os.environ.get("SECONDS_OF_SOCIETY", "60")))
    parser.add_argument("--browsing", type=int, default=50)
    parser.add_argument("--writing", type=int, default=10)
    given = parser.parse_args()
    if "FOOTRING_TEST_POSTGRES" not in os.environ:
        print("FOOTRING_TEST_POSTGRES names no server: left out")
        return
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"DATABASE_URL": os.environ["FOOTRING_TEST_POSTGRES"], "FOOTRING_HOSTS": HOST}
        pieces, cookies = prepared(Path(folder), given.browsing + given.writing)
        port = free_port()
        with subprocess.Popen([sys.executable, "-c", SERVER, folder, str(port)]) as server:
            try:
                wait_for(port)
                took, errors = work(port, cookies, pieces, given)
            finally:
                server.terminate()
    tell(took, errors, given)


def prepared(folder: Path, people: int) -> tuple[list[str], list[str]]:
    """A database with the invented pottery's pieces and people signed in: ids of pieces, cookies."""
    from footring.records.folder import opened

    opened(folder, society=True)
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore

    import footring.demo
    from footring.records.acts import act, revision
    from footring.records.ids import new_id
    from footring.records.models import MODELS, Role, User
    from footring.records.packs import bring_in_pack
    from footring.rows.collection import Piece, Reading

    if revision() == 0:
        bring_in_pack(Path(footring.demo.__file__).parent / "pack", None)
    with act("many pieces", None) as doing:
        for n in range(500):
            piece = Piece(new_id(), name=f"Piece {n}")
            doing.add(piece, Reading(new_id(), piece=piece.id, name="form", value="covered dish"))
    cookies = []
    for n in range(people):
        user, _ = User.objects.get_or_create(username=f"person {n}", defaults={"role": Role.CURATOR})
        session = SessionStore()
        session[SESSION_KEY], session[HASH_SESSION_KEY] = str(user.pk), user.get_session_auth_hash()
        session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
        session["_csrftoken"] = "a" * 32
        session.save()
        cookies.append(f"footring={session.session_key}")
    return list(MODELS["pieces"].objects.values_list("pk", flat=True)[:400]), cookies


def work(port: int, cookies: list[str], pieces: list[str], given: argparse.Namespace):
    took: dict[str, list[float]] = defaultdict(list)
    errors: list[str] = []
    until = time.monotonic() + given.seconds
    people = [
        threading.Thread(target=person, args=(port, cookie, pieces, n < given.browsing, until, took, errors, n))
        for n, cookie in enumerate(cookies)
    ]
    for one in people:
        one.start()
    for one in people:
        one.join()
    return took, errors


def person(port, cookie, pieces, browses, until, took, errors, seed) -> None:
    dice = random.Random(seed)
    time.sleep(dice.uniform(0.0, 2.0))
    while time.monotonic() < until:
        piece = dice.choice(pieces)
        if browses:
            page = dice.choice(
                ["/at-home/", "/reference/", f"/piece/{piece}/", "/sources/", "/?r=form=covered+dish", "/help/"]
            )
            ask(port, cookie, "GET", page, None, took, errors)
        else:
            ask(port, cookie, "POST", f"/piece/{piece}/condition/", NOTE, took, errors)
        time.sleep(dice.uniform(1.0, 3.0))


def ask(port, cookie, method, page, form, took, errors) -> None:
    name = (
        page.split("?")[0]
        if not page.startswith("/piece/")
        else "/piece/" + page.rstrip("/").rpartition("/")[2].replace(page.split("/")[2], "")
    )
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    headers = {"Host": HOST, "Cookie": cookie, "X-Forwarded-Proto": "https", "Referer": f"https://{HOST}/"}
    if form:
        headers["Content-Type"] = "application/x-www-form-urlencoded"
    began = time.perf_counter()
    try:
        connection.request(method, page, urlencode(form) if form else None, headers)
        answer = connection.getresponse()
        answer.read()
        if answer.status not in (200, 302):
            errors.append(f"{method} {page}: {answer.status}")
    except OSError as error:
        errors.append(f"{method} {page}: {error}")
    finally:
        connection.close()
    took[f"{method} {name}"].append(time.perf_counter() - began)


def tell(took, errors, given) -> None:
    print(f"{given.browsing} browsing and {given.writing} writing for {given.seconds:.0f} s")
    for name, times in [*sorted(took.items()), ("all", [t for of in took.values() for t in of])]:
        times = sorted(times)
        print(f"  {name:28}{len(times):6} answers  median {1000 * times[len(times) // 2]:6.0f} ms  "
              f"p95 {1000 * times[int(0.95 * (len(times) - 1))]:6.0f} ms")  # fmt: skip
    print(f"  {len(errors)} errors; aim: none, and p95 at most 300 ms")
    for error in sorted(set(errors))[:5]:
        print(f"    {error}")


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return int(free.getsockname()[1])


def wait_for(port: int) -> None:
    for _ in range(200):
        try:
            socket.create_connection(("127.0.0.1", port), 1).close()
            return
        except OSError:
            time.sleep(0.1)


if __name__ == "__main__":
    main()
