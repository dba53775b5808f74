"""Collections of every released version open as `footring open` opens them, nothing lost, and go on being kept."""

import gzip
import json
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

RELEASES = sorted((Path(__file__).parent / "releases").glob("at-*.sqlite3.gz"))
MADE_ANEW = ("auth_", "django_", "sqlite_", "shelf_words", "records_shelved", "records_word")
"""Tables that hold nothing a person wrote; by what their names begin with."""
OPENER = """
import json, sys
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]))
from django.db import connection
with connection.cursor() as cursor:
    cursor.execute("VACUUM INTO %s", [str(Path(sys.argv[1]) / "opened.sqlite3")])
from django.contrib.auth import authenticate
from footring.records import known as made_ready
from footring.records.acts import act, undo
from footring.records.known import known
from footring.records.models import MODELS, Act, Shelved, User
from footring.records.search import found
from footring.rows.collection import Piece, Reading
keeper = User.objects.get(username="keeper")
made_ready.QUICK_SECONDS = 600.0  # never in the background
before = known()
undo(Act.objects.get(what="Move"), keeper)
undo(Act.objects.get(what="Take a condition away"), keeper)
with act("Put away", keeper) as doing:
    doing.add(Piece("new", name="Gravy boat"), Reading("new.read", piece="new", name="form", value="gravy boat"))
print(json.dumps({
    "place": MODELS["pieces"].objects.get(pk="ossel.piece-8").place_id,
    "chip": MODELS["conditions"].objects.get(pk="at.chip").row().place,
    "found": [found(Shelved.objects.all(), words).rows.count() for words in ("chipped", "gravy", "mistake")],
    "people": [authenticate(username=name, password="a heron among the reeds").role for name in ("keeper", "ida")],
    "unnumbered": Act.objects.filter(revision=None).count(),
    "lines": len(before.reference.tables["lines"]),
    "pieces": [len(one.reference.tables["pieces"]) for one in (before, known())],
}))
"""


@pytest.fixture(params=RELEASES, ids=lambda path: path.name.split(".")[0])
def kept(request, tmp_path):
    """A folder as that version left it."""
    (tmp_path / "collection.sqlite3").touch(0o600)
    (tmp_path / "collection.sqlite3").write_bytes(gzip.decompress(request.param.read_bytes()))
    return tmp_path


def columns_of(path: Path) -> dict[str, list[str]]:
    """The columns of all tables that hold what people wrote."""
    with closing(sqlite3.connect(path)) as database:
        names = [name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        return {
            name: [f'"{column[1]}"' for column in database.execute(f'PRAGMA table_info("{name}")')]
            for name in names
            if not name.startswith(MADE_ANEW)
        }


def everything(path: Path, columns: dict[str, list[str]]) -> dict[str, list[tuple]]:
    """All rows of some columns of some tables."""
    with closing(sqlite3.connect(path)) as database:
        return {
            name: sorted(database.execute(f'SELECT {", ".join(some)} FROM "{name}"'), key=repr)
            for name, some in columns.items()
        }


def test_there_is_one_of_the_first_release():
    assert RELEASES[0].name == "at-0007.sqlite3.gz"
    assert sum(path.stat().st_size for path in RELEASES) < 1_000_000


def test_a_collection_of_an_earlier_version_opens_with_all_that_was_in_it_and_is_kept_on(kept):
    columns = columns_of(kept / "collection.sqlite3")
    before = everything(kept / "collection.sqlite3", columns)
    assert sum(map(len, before.values())) > 200
    ours = ("DATABASE_URL", "DJANGO_SETTINGS_MODULE", "FOOTRING_STORE")
    environment = {name: value for name, value in os.environ.items() if name not in ours}
    told = subprocess.run([sys.executable, "-c", OPENER, str(kept)], capture_output=True, text=True, env=environment)
    assert told.returncode == 0, told.stderr
    assert everything(kept / "opened.sqlite3", columns) == before
    found = json.loads(told.stdout)
    assert (found["place"], found["chip"]) == ("ossel.shelf", "rim"), "undone, as it was before"
    assert found["found"] == [1, 1, 0]
    assert found["people"] == ["keeper", "member"]
    assert (found["unnumbered"], found["lines"], found["pieces"]) == (0, 5, [12, 13])
