"""How quickly pages come of a large collection, beside a bare page that lists fifty rows of the same database.

    python benchmarks/bench_pages.py [--pieces 100000] [--times 40] [--keep FOLDER]

Three photographs and ten encounters to a piece. Time is the server's, from request to whole answer, without the
network; the bare page is one query of fifty rows and one template, served by the same Django in the same run.
"""

from __future__ import annotations

import argparse
import os
import random
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

LATE = "plate+000090000"
START = """
import sys, time
began = time.perf_counter()
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]))
from footring.records.known import warm
from footring.web.wsgi import application
from footring.records.models import User
from django.test import Client
warm()
browser = Client(HTTP_HOST="127.0.0.1")
browser.force_login(User.objects.get(username="keeper"))
assert browser.get(sys.argv[2]).status_code == 200
print(time.perf_counter() - began)
"""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--pieces", type=int, default=int(os.environ.get("PIECES_AT_HOME", "100000")))
    parser.add_argument("--times", type=int, default=40)
    parser.add_argument("--keep", type=Path, help="make the collection here, or use the one that is here")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as thrown_away:
        folder = given.keep or Path(thrown_away)
        print(f"made in {made(folder, given.pieces):.0f} s", flush=True)
        measure(given.times)
        for page in ("/help/", "/at-home/", "/"):
            took = [started(folder, page) for _ in range(2)]
            print(f"  from nothing to {page:12} {min(took):6.2f} s (aim for the first page: 2)")


def made(folder: Path, pieces: int) -> float:
    """A collection of the invented pottery with so many pieces more; how long it took to write."""
    from footring.records.folder import opened

    opened(folder)
    from footring.records.models import MODELS, User

    began = time.perf_counter()
    if MODELS["pieces"].objects.count() < pieces:
        fill(User.objects.get(username="keeper"), pieces)
    return time.perf_counter() - began


def fill(keeper, pieces: int) -> None:
    import footring.demo
    from footring.records.acts import act
    from footring.records.models import MODELS, Role, User
    from footring.records.packs import bring_in_pack
    from footring.rows.collection import Attribution, Encounter, Photograph, Piece, Reading

    bring_in_pack(Path(footring.demo.__file__).parent / "pack", keeper)
    dice = random.Random(1)
    member = User.objects.create(username="member", role=Role.MEMBER)
    forms = list(MODELS["forms"].objects.values_list("line", "pk"))
    glazes, decorations, trims, channels, places = (
        list(MODELS[table].objects.values_list("pk", flat=True))
        for table in ("glazes", "decorations", "trims", "channels", "places")
    )
    for start in range(0, pieces, 10_000):
        rows = []
        for n in range(start, min(start + 10_000, pieces)):
            (line, form), piece = dice.choice(forms), f"b.p{n}"
            said = {"glaze": dice.choice(glazes), "decoration": dice.choice(decorations), "trim": dice.choice(trims)}
            rows.append(
                Piece(
                    piece,
                    name=f"Plate {n} {dice.choice(['heron', 'wheel', 'rush', 'plain'])}",
                    place=dice.choice(places),
                    private=dice.random() < 0.1,
                )
            )
            basis = dice.choice(["confirmed", "proposed"])
            rows.append(Attribution(f"b.a{n}", piece=piece, line=line, form=form, weight=1.0, basis=basis, **said))
            rows.append(Reading(f"b.r{n}", piece=piece, name="number", value=str(dice.randrange(1, 999))))
            rows += [Photograph(f"b.f{n}-{k}", sha256=f"{n:060x}{k:04x}", piece=piece) for k in range(3)]
            rows += [
                Encounter(f"b.e{n}-{k}", piece=piece, met=str(dice.randrange(1980, 2026)), channel=channels[0])
                for k in range(10)
            ]
        with act("many", member if start == 0 else keeper) as doing:
            doing.add(*rows, checked=True)


def measure(times: int) -> None:
    from django.http import HttpResponse
    from django.template import Context, Template
    from django.test import Client
    from django.urls import path

    from footring.records.models import MODELS, User
    from footring.web import urls
    from footring.web.access import ANYONE, allow

    template = Template("<ul>{% for one in rows %}<li>{{ one.name }}</li>{% endfor %}</ul>")

    @allow(ANYONE)
    def bare(_):
        rows = MODELS["pieces"].objects.select_related("place").order_by("-pk")[:50]
        return HttpResponse(template.render(Context({"rows": rows})))

    urls.urlpatterns.append(path("bare/", bare))
    browser = Client(HTTP_HOST="127.0.0.1")
    browser.force_login(User.objects.get(username="keeper"))
    line, form = (MODELS[table].objects.values_list("pk", flat=True)[0] for table in ("lines", "forms"))
    pages = {
        "a bare list of fifty": "/bare/", "at home": "/at-home/", "words": "/at-home/?words=heron",
        "words with a typo": "/at-home/?words=herron", "a word read": "/at-home/?words=417",
        "words everywhere": "/at-home/?words=quillow+plate", "words of two letters": "/at-home/?words=12",
        "words found nowhere": "/at-home/?words=zyxwvut", "a word, by name": "/at-home/?words=heron&order=name",
        "by line": f"/at-home/?line={line}", "by line, by years": f"/at-home/?line={line}&order=made",
        "by years": "/at-home/?made_from=1934&made_to=1936", "by what is rare": "/at-home/?damaged=yes",
        "in order of name": "/at-home/?order=name", "of what it is": "/at-home/?order=what",
        "of the last met": "/at-home/?order=met", "far down by name": f"/at-home/?order=name&after=500&key={LATE}",
        "a page far down": "/at-home/?after=500", "what to ask for": "/at-home/ask/",
        "a piece": "/piece/b.p777/", "its history": "/piece/b.p777/history/",
        "reference": "/reference/", "a line": f"/reference/lines/{line}", "a form": f"/reference/forms/{form}",
        "concordance": "/reference/concordance/", "sources": "/sources/",
        "examine": "/?r=form=covered+dish&r=number=417",
        "why": "/why/?r=form=covered+dish&r=number=417",
    }  # fmt: skip
    print(f"{MODELS['pieces'].objects.count()} pieces, {MODELS['photographs'].objects.count()} photographs, "
          f"{MODELS['encounters'].objects.count()} encounters; server time of {times} requests each")  # fmt: skip
    for name, address in pages.items():
        told(browser, name, address, times)
    browser.force_login(User.objects.get(username="member"))
    for name in ("at home", "words", "words everywhere", "words with a typo", "a word read", "of the last met"):
        told(browser, f"a member: {name}", pages[name], times)
    highest = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"  memory at its highest {highest:.0f} MB (aim: 600)", flush=True)


def told(browser, name: str, address: str, times: int) -> None:
    began = time.perf_counter()
    first = browser.get(address)
    cold = time.perf_counter() - began
    took = sorted(one(browser, address) for _ in range(times))
    median, p95 = 1000 * took[times // 2], 1000 * took[int(0.95 * times)]
    print(f"  {name:27} {first.status_code}  median {median:7.1f} ms  p95 {p95:7.1f} ms  first {1000 * cold:8.1f} ms")


def one(browser, address: str) -> float:
    began = time.perf_counter()
    browser.get(address)
    return time.perf_counter() - began


def started(folder: Path, page: str) -> float:
    ran = subprocess.run([sys.executable, "-c", START, str(folder), page], capture_output=True, text=True, check=True)
    return float(ran.stdout)


if __name__ == "__main__":
    main()
