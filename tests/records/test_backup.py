"""A collection goes into a bag while it is open, and comes out as it was; a damaged bag leaves nothing."""

import errno
import hashlib
import os
import shutil
import sqlite3
import subprocess
import sys
import threading
from contextlib import closing
from urllib.parse import parse_qs, urlsplit

import boto3
import pytest

from footring.cli import main
from footring.records.backup import back_up, restore
from footring.standards.bagit import BagFaults, write_bag
from footring.terms.errors import BadInput

FILL = """
import sys
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]))
from footring.records.acts import act
from footring.rows.collection import Piece
with act("put away", None) as doing:
    doing.add(*(Piece(f"p{i}", name=f"Dish {i}") for i in range(200)))
"""
KEEP = """
import io, sys
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]))
from PIL import Image
from footring.records.photographs import keep
picture = io.BytesIO()
Image.new("RGB", (60, 40), "teal").save(picture, "JPEG")
print(keep(picture.getvalue(), None).sha256)
"""
SHOW = """
import sys
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]))
from footring.records.models import MODELS
from footring.records.photographs import original
print(*(len(original(kept)[0]) for kept in MODELS["photographs"].objects.all()))
"""
FOOTRING = "import sys; from footring.cli import main; sys.exit(main())"


def run(code, *arguments, **more):
    """What a process of its own prints and complains of, and how it ends."""
    environment = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")} | more
    done = subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)], capture_output=True, text=True, env=environment, timeout=120
    )
    return done.stdout, done.stderr, done.returncode


@pytest.fixture(autouse=True)
def _no_other_database(monkeypatch):
    monkeypatch.delenv("DATABASE_URL", raising=False)


@pytest.fixture(scope="module")
def filled(tmp_path_factory):
    folder = tmp_path_factory.mktemp("filled") / "plates"
    folder.mkdir()
    assert run(FILL, folder) == ("", "", 0)
    (folder / "photos/ab").mkdir(parents=True)
    (folder / "photos/ab/cd.jpg").write_bytes(b"\xff\xd8 a picture")
    (folder / "parameters.json").write_text("{}")
    (folder / "exports/site.zip").write_bytes(b"can be made again")
    return folder


def everything(folder):
    with closing(sqlite3.connect(folder / "collection.sqlite3")) as opened:
        return list(opened.iterdump())


def test_what_comes_out_is_what_went_in(filled, tmp_path):
    made = back_up(filled, tmp_path / "bag")
    assert sorted(made.payload) == ["data/collection.sqlite3", "data/parameters.json", "data/photos/ab/cd.jpg"]
    restore(tmp_path / "bag", tmp_path / "again")
    assert everything(tmp_path / "again") == everything(filled)
    assert (tmp_path / "again/photos/ab/cd.jpg").read_bytes() == b"\xff\xd8 a picture"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["again", "bag"]


@pytest.mark.skipif(sys.platform == "win32", reason="files have no such modes there")
def test_what_comes_from_a_medium_that_is_only_read_can_be_written_to_by_its_owner_alone(filled, tmp_path):
    back_up(filled, tmp_path / "bag")
    for path in (tmp_path / "bag").rglob("*"):
        path.chmod(0o555 if path.is_dir() else 0o444)
    restore(tmp_path / "bag", tmp_path / "again")
    modes = {(path.is_dir(), path.stat().st_mode & 0o777) for path in (tmp_path / "again").rglob("*")}
    assert modes == {(True, 0o700), (False, 0o600)}


def test_no_secret_is_in_a_bag(filled, tmp_path):
    secret = (filled / ".secret").read_bytes()
    back_up(filled, tmp_path / "bag")
    assert not any(secret in file.read_bytes() for file in (tmp_path / "bag").rglob("*") if file.is_file())


def test_a_collection_that_is_written_to_meanwhile_is_copied_as_of_one_moment(tmp_path):
    folder, done = tmp_path / "open", threading.Event()
    folder.mkdir()
    with closing(
        sqlite3.connect(folder / "collection.sqlite3", isolation_level=None, check_same_thread=False)
    ) as writer:
        writer.execute("PRAGMA journal_mode=WAL")
        writer.execute("CREATE TABLE pair (a INTEGER, b INTEGER)")
        writer.execute("INSERT INTO pair VALUES (0, 0)")

        def write():
            while not done.is_set():
                writer.execute("BEGIN")
                writer.execute("UPDATE pair SET a = a + 1")
                writer.execute("UPDATE pair SET b = b + 1")
                writer.execute("COMMIT")

        thread = threading.Thread(target=write)
        thread.start()
        for i in range(5):
            back_up(folder, tmp_path / f"bag{i}")
        done.set()
        thread.join()
    pairs = []
    for i in range(5):
        with closing(sqlite3.connect(tmp_path / f"bag{i}/data/collection.sqlite3")) as opened:
            pairs += opened.execute("SELECT a, b FROM pair").fetchall()
    assert len(pairs) == 5 and all(a == b for a, b in pairs) and pairs[-1][0] > 0


@pytest.mark.parametrize("name", ["collection.sqlite3", "parameters.json", "photos/ab/cd.jpg"])
def test_a_damaged_bag_is_refused_says_which_file_and_leaves_nothing(filled, tmp_path, name, capsys):
    back_up(filled, tmp_path / "bag")
    file = tmp_path / "bag/data" / name
    data = bytearray(file.read_bytes())
    data[len(data) // 2] ^= 1
    file.write_bytes(data)
    with pytest.raises(BagFaults, match=f"data/{name}: changed"):
        restore(tmp_path / "bag", tmp_path / "again")
    assert main(["restore", str(tmp_path / "bag"), str(tmp_path / "again")]) == 2
    assert f"data/{name}: changed" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["bag"]


def test_nothing_is_written_over(filled, tmp_path):
    back_up(filled, tmp_path / "bag")
    with pytest.raises(BadInput, match="is there already"):
        back_up(filled, tmp_path / "bag")
    before = everything(filled)
    with pytest.raises(BadInput, match="is there already"):
        restore(tmp_path / "bag", filled)
    assert everything(filled) == before
    (tmp_path / "empty").mkdir()
    restore(tmp_path / "bag", tmp_path / "empty")


def test_a_bag_of_something_else_is_refused(tmp_path, filled):
    (tmp_path / "other/data").mkdir(parents=True)
    (tmp_path / "other/data/a").write_text("a")
    write_bag(tmp_path / "other", {})
    with pytest.raises(BadInput, match=r"a bag of something else: expected data/collection\.sqlite3"):
        restore(tmp_path / "other", tmp_path / "again")
    (tmp_path / "other/data/collection.sqlite3").write_bytes((filled / "collection.sqlite3").read_bytes())
    write_bag(tmp_path / "other", {})
    with pytest.raises(BadInput, match="data/a is no part of a collection"):
        restore(tmp_path / "other", tmp_path / "again")


def test_a_bag_of_a_broken_database_is_refused_though_its_sums_are_right(tmp_path):
    (tmp_path / "bag/data").mkdir(parents=True)
    (tmp_path / "bag/data/collection.sqlite3").write_bytes(b"SQLite format 3\0" + b"nonsense" * 500)
    write_bag(tmp_path / "bag", {})
    with pytest.raises(BadInput, match="SQLite finds it broken"):
        restore(tmp_path / "bag", tmp_path / "again")
    assert not (tmp_path / "again").exists()


def test_a_folder_without_a_collection_is_told(tmp_path, monkeypatch):
    with pytest.raises(BadInput, match=r"holds no collection: expected collection\.sqlite3 in it"):
        back_up(tmp_path, tmp_path / "bag")
    monkeypatch.setenv("DATABASE_URL", "postgres://somewhere/db")
    with pytest.raises(BadInput, match="nowhere holds no collection"):
        back_up(tmp_path / "nowhere", tmp_path / "bag")


def test_the_command_tells_what_it_read_back(filled, tmp_path, capsys):
    assert main(["backup", str(filled), str(tmp_path / "bag")]) == 0
    assert "3 files" in capsys.readouterr().out
    assert main(["restore", str(tmp_path / "bag"), str(tmp_path / "again")]) == 0
    assert "footring open" in capsys.readouterr().out


@pytest.mark.slow
def test_photographs_that_are_in_a_store_are_in_the_bag_and_come_back_into_the_folder(tmp_path, bucket):
    folder, bag, again = tmp_path / "plates", tmp_path / "bag", tmp_path / "again"
    kept, _, code = run(KEEP, folder, FOOTRING_STORE=bucket)
    sha256 = kept.strip()
    assert code == 0 and not list((folder / "photos").iterdir()), "it is in the store alone"
    said, wrong, code = run(FOOTRING, "backup", folder, bag, FOOTRING_STORE=bucket)
    assert (wrong, code) == ("", 0) and "2 files" in said
    assert hashlib.sha256((bag / f"data/photos/{sha256[:2]}/{sha256}.jpg").read_bytes()).hexdigest() == sha256
    said, _, code = run(FOOTRING, "restore", bag, again, FOOTRING_STORE=bucket)
    assert code == 0 and f"photographs are in {again}/photos: copy them into the store" in said
    shown, wrong, _ = run(SHOW, again)
    assert int(shown) > 600, wrong


@pytest.mark.slow
def test_a_store_that_cannot_be_reached_or_gives_something_else_is_told_and_no_bag_is_made(tmp_path, bucket, filled):
    nowhere = run(
        FOOTRING, "backup", filled, tmp_path / "bag", FOOTRING_STORE="s3://plates?endpoint=http://127.0.0.1:9"
    )
    why = "the store of photographs cannot be reached. Nothing is left of it"
    assert nowhere == ("", f"footring backup: {tmp_path}/bag could not be made: {why}\n", 2)
    name, at = f"ab/ab{'0' * 62}.jpg", urlsplit(bucket)
    client = boto3.client("s3", endpoint_url=parse_qs(at.query)["endpoint"][0], region_name="us-east-1")
    client.put_object(Bucket=at.hostname, Key=f"of-a-society/{name}", Body=b"something else")
    client.close()
    _, wrong, code = run(FOOTRING, "backup", filled, tmp_path / "bag", FOOTRING_STORE=bucket)
    assert code == 2 and wrong.startswith(f"footring backup: {name}: what the store has by this name is not what was")
    assert list(tmp_path.iterdir()) == []


def test_a_disk_that_fills_up_is_told_and_nothing_is_left(filled, tmp_path, monkeypatch):
    back_up(filled, tmp_path / "bag")

    def full(source, target, **how):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), str(target))

    def several(source, target, **how):
        raise shutil.Error([(str(source), str(target), "No space left on device")] * 2)

    monkeypatch.setattr(shutil, "copy2", full)
    monkeypatch.setattr(shutil, "copytree", several)
    told = r"could not be made: No space left on device\. Nothing is left of it$"
    with pytest.raises(BadInput, match=f"other {told}"):
        back_up(filled, tmp_path / "other")
    with pytest.raises(BadInput, match=f"again {told}"):
        restore(tmp_path / "bag", tmp_path / "again")
    assert [path.name for path in tmp_path.iterdir()] == ["bag"]
    (tmp_path / "file").touch()
    assert main(["backup", str(filled), str(tmp_path / "file" / "bag")]) == 2
