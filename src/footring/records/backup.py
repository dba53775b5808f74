"""A collection as a bag with checksums, and back: seen to be whole before anything is touched."""

from __future__ import annotations

import hashlib
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, date, datetime
from pathlib import Path

import footring
from footring.records.folder import DATABASE, made_known
from footring.records.owner import ONLY_OWNER
from footring.standards.bagit import Bag, verify_bag, write_bag
from footring.terms.errors import BadInput

PARTS = ("parameters.json", "photos")
"""What is copied beside the database. What waits in `incoming` and what was exported can be made again."""


def back_up(folder: Path, bag: Path) -> Bag:
    """Copy a collection into a new bag; it may be open meanwhile.

    The database is copied first: photographs that come later are no harm, and none is taken away.

    Raises
    ------
    BadInput
        There is no collection in the folder, the bag's name is taken, or it cannot be written; the records or the
        photographs are elsewhere, and cannot be read.
    """
    elsewhere = bool(os.environ.get("DATABASE_URL"))
    if not (folder.is_dir() if elsewhere else (folder / DATABASE).is_file()):
        raise BadInput(f"{folder} holds no collection: expected {DATABASE} in it")
    with _made(bag) as making:
        (making / "data").mkdir()
        copy = _copy_records if elsewhere else _copy_database
        copy(folder, making / "data" / DATABASE)
        for part in PARTS:
            _copy(folder / part, making / "data" / part)
        if os.environ.get("FOOTRING_STORE"):
            _copy_photographs(folder, making / "data" / "photos")
        write_bag(making, _told(datetime.now(UTC).date()))
        made = verify_bag(making)
        _settle(making, bag)
    return Bag(bag, made.info, made.payload, made.algorithm)


@contextmanager
def _made(final: Path) -> Iterator[Path]:
    """A folder for its owner's eyes to make something in; whatever goes wrong, nothing is left of it.

    Raises
    ------
    BadInput
        There is something of that name already, or a disk or store does not do what it should.
    """
    if final.exists() and (not final.is_dir() or any(final.iterdir())):
        raise BadInput(f"{final} is there already: name one that is not, so that nothing is written over")
    making = final.with_name(f"{final.name}.making")
    shutil.rmtree(making, ignore_errors=True)
    try:
        making.mkdir(ONLY_OWNER, parents=True)
        yield making
    except OSError as error:
        raise BadInput(f"{final} could not be made: {_why(error)}. Nothing is left of it") from error
    finally:
        shutil.rmtree(making, ignore_errors=True)


def _why(error: OSError) -> str:
    """What went wrong; where several files could not be copied, with the first of them."""
    return error.strerror or str(error.args[0][0][-1] if isinstance(error, shutil.Error) else error)


def _told(day: date) -> dict[str, str]:
    return {
        "Bag-Software-Agent": f"Footring {footring.__version__}",
        "Bagging-Date": day.isoformat(),
        "External-Description": "A Footring collection: its records, photographs and what was learned from them",
    }


def _copy_records(folder: Path, target: Path) -> None:
    """Those in the database that DATABASE_URL names."""
    made_known(folder)
    from footring.records.elsewhere import copy_records

    copy_records(target)


def _copy_database(folder: Path, target: Path) -> None:
    """As SQLite itself copies it: as of one moment, whoever writes to it meanwhile."""
    source = folder / DATABASE
    with closing(sqlite3.connect(f"file:{source}?mode=ro", uri=True)) as old, closing(sqlite3.connect(target)) as new:
        old.backup(new)
        new.execute("PRAGMA journal_mode=DELETE")


def _copy(source: Path, target: Path) -> None:
    if source.is_dir():
        shutil.copytree(source, target, symlinks=True)
    elif source.is_file():
        shutil.copy2(source, target)


def _copy_photographs(folder: Path, into: Path) -> None:
    """Those in the store that FOOTRING_STORE names, each seen to be what its name says."""
    made_known(folder)
    from footring.records.photographs import everything

    for name, data in everything():
        if hashlib.sha256(data).hexdigest() != Path(name).stem:
            raise BadInput(f"{name}: what the store has by this name is not what was put there; nothing was backed up")
        (into / name).parent.mkdir(parents=True, exist_ok=True)
        (into / name).write_bytes(data)


def _settle(making: Path, final: Path) -> None:
    """Give what was made its name, once it is on the disk."""
    if final.is_dir():
        final.rmdir()
    making.rename(final)


def restore(path: Path, folder: Path) -> Bag:
    """Make a collection of a bag, in a folder that is not there yet.

    Raises
    ------
    BagFaults
        The bag is damaged; it says which files are. Nothing is then made.
    BadInput
        It is no bag, or one of something else, or the folder holds something.
    """
    bag = verify_bag(path)
    if f"data/{DATABASE}" not in bag.payload:
        raise BadInput(f"{path} is a bag of something else: expected data/{DATABASE} in it")
    if others := [name for name in bag.payload if name.split("/")[1] not in (DATABASE, *PARTS)]:
        raise BadInput(f"{path} is a bag of something else too: {others[0]} is no part of a collection")
    with _made(folder) as making:
        shutil.copytree(path / "data", making / "data")
        _given_to_the_owner(making / "data")
        _sound(making / "data" / DATABASE)
        _same(bag, making)
        _settle(making / "data", folder)
    return bag


def _same(bag: Bag, copied: Path) -> None:
    """The copy too is what the bag lists."""
    for name in ("bagit.txt", *(file.name for file in bag.path.glob("manifest-*.txt"))):
        shutil.copy2(bag.path / name, copied / name)
    verify_bag(copied)
    for file in copied.glob("*.txt"):
        file.unlink()


def _given_to_the_owner(copied: Path) -> None:
    """To write to, and nobody else to read, whatever the medium let anybody do with it."""
    for one in (copied, *copied.rglob("*")):
        one.chmod(ONLY_OWNER if one.is_dir() else 0o600)


def _sound(database: Path) -> None:
    try:
        with closing(sqlite3.connect(f"file:{database}?mode=ro", uri=True)) as opened:
            said = opened.execute("PRAGMA integrity_check").fetchone()[0]
    except sqlite3.DatabaseError as error:
        said = str(error)
    if said != "ok":
        raise BadInput(f"data/{DATABASE}: its sum is right, but SQLite finds it broken ({said}); use an older bag")
