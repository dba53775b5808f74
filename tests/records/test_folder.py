"""A folder that cannot be written to, a disk that is full, a file that is no collection: told in a line, nothing lost."""

import os
import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest

from footring.records.folder import _cut_off

OURS = ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")
ENVIRONMENT = {name: value for name, value in os.environ.items() if name not in OURS}
FILL = """
import os, sys
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]))
from django.db import OperationalError
from django.test import Client
from footring.web.launch import new_token
from footring.records.models import MODELS
browser = Client(HTTP_HOST="127.0.0.1")
browser.get(f"/enter/{new_token()}/")
ballast = Path(sys.argv[1]) / "exports" / "ballast"
try:
    ballast.write_bytes(bytes(10_000_000))
except OSError:
    os.truncate(ballast, ballast.stat().st_size - 300_000)
for n in range(3000):
    name = f"{n} " + "x" * 190
    answer = browser.post("/put-away/", {"r": f"form=cup {n} {'y' * 90}", "name": name, "place": "", "is_this": "no"})
    if answer.status_code >= 400:
        print(answer.status_code, answer.content.decode().split('role="alert">')[1].split("<")[0])
        break
print(n, MODELS["pieces"].objects.count(), MODELS["pieces"].objects.count() - MODELS["findings"].objects.count())
"""
UPLOAD = """
import gc, io, os, re, shutil, sys
from pathlib import Path
folder = Path(sys.argv[1])
from footring.records.folder import opened
opened(folder)
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image
from footring.records.acts import act
from footring.records.models import MODELS
from footring.rows.collection import Piece
from footring.web.launch import new_token
with act("put away", None) as doing:
    doing.add(Piece("dish"))
browser = Client(enforce_csrf_checks=True, raise_request_exception=False, HTTP_HOST="127.0.0.1")
browser.get(f"/enter/{new_token()}/")
form = re.search(r'csrfmiddlewaretoken" value="(\\w+)"', browser.get("/piece/dish/").content.decode())[1]
picture = io.BytesIO()
Image.new("RGB", (60, 40), "teal").save(picture, "JPEG")
def send(*sizes):
    files = [SimpleUploadedFile(f"{size}.jpg", picture.getvalue() + os.urandom(size)) for size in sizes]
    answer = browser.post("/piece/dish/photograph/", {"csrfmiddlewaretoken": form, "photograph": files})
    print(answer.status_code, *re.findall(r'role="alert">([^<]+)<', answer.content.decode()))
def leave(free):
    gc.collect()
    (folder / "exports" / "ballast").unlink(missing_ok=True)
    (folder / "exports" / "ballast").write_bytes(bytes(shutil.disk_usage(folder).free - free))
send(1000)
leave(1_500_000)
send(200_000, 200_000, 1_600_000, 1000)
send(3_000_000)
leave(300_000)
send(900_000)
os.system(f"mount --bind {folder}/photos {folder}/photos && mount -o remount,bind,ro {folder}/photos")
send(1000)
for kept in MODELS["photographs"].objects.all():
    print(browser.get(f"/piece/photograph/{kept.pk}/small/").status_code)
os.system(f"umount {folder}/photos")
print(*sorted(MODELS["photographs"].objects.values_list("sha256", flat=True)))
"""


def run(*command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, capture_output=True, text=True, env=ENVIRONMENT, timeout=120)


def footring(*arguments: str) -> subprocess.CompletedProcess[str]:
    return run(str(Path(sys.executable).parent / "footring"), *arguments)


@pytest.fixture
def small_disk(tmp_path):
    """A disk of seven megabytes."""
    disk = tmp_path / "disk"
    disk.mkdir()
    if run("mount", "-t", "tmpfs", "-o", "size=7m,mode=700", "tmpfs", str(disk)).returncode:
        pytest.skip("only root can make a small disk to fill")
    yield disk
    run("umount", str(disk))


@pytest.mark.slow
def test_a_full_disk_is_told_and_nothing_is_half_there(small_disk):
    told = run(sys.executable, "-c", FILL, str(small_disk))
    first, last = told.stdout.splitlines()[-2:]
    assert first.startswith("503 The collection could not be written or read: "), told.stdout + told.stderr
    assert "Nothing was changed." in first
    tried, kept, half = map(int, last.split())
    assert (kept, half) == (tried, 0)
    with sqlite3.connect(small_disk / "collection.sqlite3") as database:
        assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    database.close()


@pytest.mark.slow
def test_photographs_that_come_to_a_disk_that_is_full_or_read_only_are_told_and_nothing_is_half_there(small_disk):
    told = run(sys.executable, "-c", UPLOAD, str(small_disk))
    *lines, sums = told.stdout.splitlines()
    full = "The collection could not be written or read: No space left on device. Nothing was changed."
    assert lines == [
        "302",
        "400 1600000.jpg, and what was to come after it, could not be written: No space left on device; 2 kept",
        f"503 {full}",
        f"503 {full}",
        f"503 {full.replace('No space left on device', 'Read-only file system')}",
        *(["200"] * 3),
    ], told.stdout + told.stderr
    files = [path.name for path in small_disk.rglob("*") if path.is_file()]
    assert sorted(name for name in files if name.endswith(".jpg") and len(name) == 68) == [
        f"{sha256}.jpg" for sha256 in sums.split()
    ]
    assert not [name for name in files if name.endswith(".part") or "upload" in name]


def test_a_folder_that_is_a_file_is_told(tmp_path):
    file = tmp_path / "plates"
    file.write_text("no folder")
    told = footring("open", str(file), "--no-browser")
    assert (told.returncode, told.stdout) == (2, "")
    assert told.stderr.startswith(f"footring open: cannot keep a collection in {file}: ")
    assert told.stderr.count("\n") == 1


def test_a_read_only_disk_is_told(small_disk):
    assert run("mount", "-o", "remount,ro", str(small_disk)).returncode == 0
    told = footring("open", str(small_disk / "plates"), "--no-browser")
    assert told.returncode == 2
    assert "Read-only file system; name another folder" in told.stderr


def test_a_file_that_is_no_database_is_told_and_left(tmp_path):
    spoilt = tmp_path / "collection.sqlite3"
    spoilt.write_bytes(b"not a database" * 100)
    told = footring("open", str(tmp_path), "--no-browser")
    assert told.returncode == 2
    assert "the collection cannot be opened: file is not a database" in told.stderr
    assert spoilt.read_bytes() == b"not a database" * 100


def test_what_was_cut_off_while_it_came_in_is_taken_away_and_what_comes_in_just_now_is_not(tmp_path):
    names = ("tmpold.upload.jpg", "tmpnew.upload.jpg", "plates.jpg")
    for name in names:
        (tmp_path / name).touch()
    for name in names[::2]:
        os.utime(tmp_path / name, (0, 0))
    _cut_off(tmp_path)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["plates.jpg", "tmpnew.upload.jpg"]
