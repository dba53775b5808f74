"""A society whose records are in PostgreSQL has a bag that opens as a folder, with everything as it was."""

import os
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from django.apps import apps
from django.db import connection

import footring.demo
from footring.records.acts import act, undo
from footring.records.models import MODELS, Act, Role, User
from footring.records.packs import bring_in_pack
from tests.house import ROOT

pytestmark = [
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(not os.environ.get("DATABASE_URL"), reason="the records are in a file here"),
]
FOOTRING = "import sys; from footring.cli import main; sys.exit(main())"
TOLD = """
import sys
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]), society=True)
from django.db import connection
from tests.records.test_elsewhere import everything
from footring.records.models import Act, Shelved, User
from footring.records.acts import undo
print(connection.vendor, everything(), Shelved.objects.count(), sep="\\n")
undone = undo(Act.objects.first(), User.objects.get(username="ines"))
print(undone.pk, undone.revision)
"""


def everything():
    """Every row of every table that is not made anew."""
    made_anew = ("shelved", "word", "indexed")
    models = [model for model in apps.get_models(include_auto_created=True) if model._meta.model_name not in made_anew]
    rows = {model._meta.label: sorted(map(repr, model._base_manager.values_list())) for model in models}
    return sorted(rows.items())


def run(code, *arguments, **environment):
    ours = ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")
    own = {name: value for name, value in os.environ.items() if name not in ours} | environment
    return subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)], capture_output=True, text=True, env=own, cwd=ROOT
    )


@pytest.fixture
def society(db):
    """A reference, a piece that was renamed, one that was taken away, and who did it."""
    ines = User.objects.create_user("ines", password="under the third shelf", role=Role.KEEPER)
    bring_in_pack(Path(footring.demo.__file__).parent / "pack", ines)
    with act("rename", ines) as doing:
        doing.change("pieces", MODELS["pieces"].objects.first().pk, name="Ænder “dish”")
    undo(Act.objects.first(), ines)
    with act("take away", ines) as doing:
        doing.change("pieces", MODELS["pieces"].objects.last().pk, name=None)
    return ines


def test_a_bag_of_records_in_postgresql_opens_as_a_folder_with_everything_as_it_was(society, tmp_path):
    named = connection.settings_dict["NAME"]
    address = urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{named}").geturl()
    (tmp_path / "society").mkdir()
    made = run(FOOTRING, "backup", tmp_path / "society", tmp_path / "bag", DATABASE_URL=address)
    assert made.returncode == 0, made.stderr
    assert run(FOOTRING, "restore", tmp_path / "bag", tmp_path / "again").returncode == 0
    told = run(TOLD, tmp_path / "again")
    vendor, rows, shelved, undone = told.stdout.splitlines()
    assert vendor == "sqlite", told.stderr
    assert rows == str(everything())
    assert int(shelved) == MODELS["pieces"].objects.count() > 0
    last = Act.objects.first()
    assert undone == f"{last.pk + 1} {last.revision + 1}"


def test_making_a_bag_leaves_the_society_s_records_as_they_are(society, tmp_path):
    last = Act.objects.first()
    Act.objects.filter(pk=last.pk).update(revision=last.revision + 7)  # as where another was begun first and kept last
    before, named = everything(), connection.settings_dict["NAME"]
    address = urlsplit(os.environ["DATABASE_URL"])._replace(path=f"/{named}").geturl()
    (tmp_path / "society").mkdir()
    made = run(FOOTRING, "backup", tmp_path / "society", tmp_path / "bag", DATABASE_URL=address)
    assert made.returncode == 0, made.stderr
    assert everything() == before


def test_a_database_that_cannot_be_read_is_told_and_leaves_no_bag(society, tmp_path):
    (tmp_path / "society").mkdir()
    address = urlsplit(os.environ["DATABASE_URL"])._replace(path="/no-such-database").geturl()
    told = run(FOOTRING, "backup", tmp_path / "society", tmp_path / "bag", DATABASE_URL=address)
    assert told.returncode == 2 and told.stderr.count("\n") == 1
    assert told.stderr.startswith("footring backup: the records cannot be read: ") and "no-such-database" in told.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["society"]
