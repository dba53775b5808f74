"""A collection is its owner's alone: what others on the machine could have planted is refused, what is made they cannot read."""

import os
import stat
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from footring.cli import main
from footring.cli.open import _folder
from footring.records.backup import back_up, restore
from footring.records.owner import only_ours
from footring.records.secret import secret_of
from footring.terms.errors import BadInput

pytestmark = pytest.mark.skipif(not hasattr(os, "geteuid"), reason="files have no owner and mode on this system")
NOBODY = 65534
OPEN = """
import os, sys
from pathlib import Path
os.umask(0)
from footring.records.folder import opened
opened(Path(sys.argv[1]))
from footring.records.models import User
(Path(sys.argv[1]) / "photos" / "new").mkdir()
"""


def modes(folder):
    return {str(path.relative_to(folder)): stat.S_IMODE(path.stat().st_mode) for path in (folder, *folder.rglob("*"))}


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("made") / "plates"
    environment = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")}
    subprocess.run([sys.executable, "-c", OPEN, str(folder)], check=True, env=environment, timeout=120)
    return folder


def test_nobody_else_can_look_into_what_is_made(made, tmp_path, monkeypatch):
    monkeypatch.delenv("DATABASE_URL", raising=False)
    assert {".", ".secret", "collection.sqlite3", "photos", "photos/new"} <= set(modes(made))
    assert {name: mode for name, mode in modes(made).items() if mode & 0o077} == {}
    back_up(made, tmp_path / "bag")
    (tmp_path / "bag/data").chmod(0o777)
    (tmp_path / "bag/data/collection.sqlite3").chmod(0o666)
    restore(tmp_path / "bag", tmp_path / "again")
    again = modes(tmp_path / "again")
    assert (modes(tmp_path / "bag")["."], again["."], again["collection.sqlite3"]) == (0o700, 0o700, 0o600)


@pytest.mark.parametrize("name", [".", ".secret", "collection.sqlite3"])
def test_what_anybody_may_write_to_is_refused(name, tmp_path, capsys):
    (tmp_path / ".secret").write_text("guessed")
    (tmp_path / "collection.sqlite3").touch()
    path = (tmp_path / name).resolve()
    path.chmod(path.stat().st_mode | stat.S_IWOTH)
    with pytest.raises(BadInput, match=f"{path} can be written to by anybody on this machine: say chmod o-w"):
        only_ours(*(tmp_path / each for each in (".", ".secret", "collection.sqlite3")))
    if name == ".":
        assert main(["open", str(tmp_path), "--no-browser"]) == 2
        assert capsys.readouterr().err.count("\n") == 1


def test_what_belongs_to_somebody_else_is_refused(tmp_path):
    planted = tmp_path / ".secret"
    planted.write_text("guessed")
    try:
        os.chown(planted, NOBODY, NOBODY)
    except PermissionError:
        pytest.skip("only root can give a file away")
    with pytest.raises(BadInput, match="belongs to somebody else: name another folder"):
        secret_of(tmp_path)


def test_a_secret_that_was_cut_off_is_made_anew(tmp_path):
    (tmp_path / ".secret").touch()
    made = secret_of(tmp_path)
    assert len(made) > 40 and secret_of(tmp_path) == made


@pytest.mark.parametrize(
    ("system", "named", "place"),
    [
        ("linux", {}, "~/.local/share/footring/demo"),
        ("linux", {"XDG_DATA_HOME": "/data/of/mine"}, "/data/of/mine/footring/demo"),
        ("linux", {"XDG_DATA_HOME": "not/absolute"}, "~/.local/share/footring/demo"),
        ("darwin", {}, "~/Library/Application Support/footring/demo"),
        ("win32", {"LOCALAPPDATA": "/C/Local"}, "/C/Local/footring/demo"),
        ("win32", {}, "~/AppData/Local/footring/demo"),
    ],
)
def test_the_demo_is_kept_where_only_its_owner_writes(system, named, place, monkeypatch, tmp_path):
    """Where: XDG Base Directory Specification 0.8, Apple's File System Programming Guide, Windows' known folders; from memory."""
    monkeypatch.setattr(sys, "platform", system)
    monkeypatch.setenv("HOME", str(tmp_path))
    for name in ("XDG_DATA_HOME", "LOCALAPPDATA"):
        monkeypatch.delenv(name, raising=False)
    for name, value in named.items():
        monkeypatch.setenv(name, value)
    asked = type("Asked", (), {"folder": None, "demo": True})
    assert _folder(asked) == Path(place.replace("~", str(tmp_path)))


def test_who_start_at_once_in_a_new_folder_have_one_secret(tmp_path):
    for k in range(100):
        folder = tmp_path / str(k)
        folder.mkdir()
        with ThreadPoolExecutor(4) as at_once:
            assert len(set(at_once.map(secret_of, [folder] * 4))) == 1
        assert [file.name for file in folder.iterdir()] == [".secret"]


def test_a_disk_without_hard_links_keeps_a_secret_too(tmp_path, monkeypatch):
    def no_links(*_):
        raise OSError("not here")

    monkeypatch.setattr(Path, "hardlink_to", no_links)
    made = secret_of(tmp_path)
    assert made == secret_of(tmp_path) and (tmp_path / ".secret").stat().st_mode & 0o777 == 0o600
