"""Photographs: kept as they came, named by their SHA-256; shown without what the camera wrote into them."""

from __future__ import annotations

import hashlib
import logging
import os
import re
import secrets
from collections.abc import Iterator
from contextlib import suppress
from datetime import timedelta
from pathlib import Path

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage, Storage, storages
from django.utils import timezone

from footring.records.acts import act
from footring.records.ids import new_id
from footring.records.models import MODELS, Change, Stored, User
from footring.records.pictures import KINDS, bare, opened
from footring.rows.collection import Photograph
from footring.terms.errors import BadInput

LARGEST_BYTES = 40_000_000
FRESH = timedelta(hours=1)
"""How young a file is that may be of a photograph coming in just now."""
SIZES = {"small": 320, "page": 1600}
"""Longest sides of what is shown, in pixels."""
HALF = ".part"
"""How the name of a file ends until it is whole."""
OURS = re.compile(r"[0-9a-f]{2}/([0-9a-f]{64}\.(" + "|".join(KINDS.values()) + r")|\.[0-9a-f]+\.part)")
"""Names that files are kept by, and are written by until they are whole."""


class KeptAlready(BadInput):
    """The very same file is here; `kept` is its row."""

    def __init__(self, kept: Stored) -> None:
        super().__init__("this very photograph is kept already: it was not stored a second time")
        self.kept = kept


def keep(data: bytes, by: User, **said: str | None) -> Stored:
    """Keep a photograph: first the file, whole, then the row that names it.

    Parameters
    ----------
    data : bytes
        The file as it came.
    **said
        Columns of the row: piece, part, side, taken, credit, permission.

    Raises
    ------
    BadInput
        It is no picture that is taken, too large or damaged.
    KeptAlready
        It is here.
    """
    kind = kind_of(data)
    sha256 = hashlib.sha256(data).hexdigest()
    if (here := MODELS["photographs"].objects.filter(sha256=sha256).first()) is not None:
        raise KeptAlready(here)
    _store(file_name(sha256, kind), data)
    row = Photograph(new_id(), sha256=sha256, **said)
    with act("Add a photograph", by) as doing:
        doing.add(row)
    return MODELS["photographs"].objects.get(pk=row.id)


def kind_of(data: bytes) -> str:
    """What sort of picture a file is, by its content alone: one of `KINDS`.

    Raises
    ------
    BadInput
        It is none of them, has too many bytes or pixels, or cannot be decoded to its end.
    """
    if len(data) > LARGEST_BYTES:
        raise BadInput(f"this file has {len(data) / 1e6:.0f} MB: at most {LARGEST_BYTES / 1e6:.0f} are kept")
    with opened(data) as (picture, kind):
        picture.load()
    return kind


def file_name(sha256: str, kind: str) -> str:
    """Where the file of a photograph stands in the store."""
    return f"{sha256[:2]}/{sha256}.{KINDS[kind]}"


def original(photograph: Stored) -> tuple[bytes, str]:
    """A photograph as it came, and its kind.

    Raises
    ------
    BadInput
        Its file is gone.
    """
    store = storages["default"]
    for kind in KINDS:
        with suppress(FileNotFoundError), store.open(file_name(photograph.sha256, kind)) as file:
            return file.read(), kind
    raise BadInput("the file of this photograph is gone: restore it from a backup")


def shown(photograph: Stored, size: str) -> bytes:
    """A photograph to be shown: a JPEG the right way up, no larger than its size says, with nothing else in it."""
    cached = _shown_file(photograph.sha256, size)
    if cached.is_file():
        return cached.read_bytes()
    data, _ = original(photograph)
    out = bare(data, SIZES[size])
    with suppress(OSError):  # a disk that is full hinders nobody from looking
        _whole(cached, out)
    return out


def _shown_file(sha256: str, size: str) -> Path:
    return Path(settings.FOLDER) / ".shown" / f"{sha256}-{size}.jpg"


def _store(name: str, data: bytes) -> None:
    """Keep a file; one that is there already is written anew, so that it is a fresh one and no sweep takes it away."""
    store = storages["default"]
    if isinstance(store, FileSystemStorage):
        _whole(Path(store.path(name)), data)
    else:
        store.save(name, ContentFile(data))


def _whole(path: Path, data: bytes) -> None:
    """Write a file that is either not there or whole, whenever the power goes."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{secrets.token_hex(8)}{HALF}")
    try:
        with beside.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def sweep(older_than: timedelta = FRESH) -> list[str]:
    """Take away files that nothing names: of acts that failed, of writing that was cut off.

    Those of photographs that were taken away stay, since that can be undone. Where more whole files are not named than
    the records name, these are not the records of these photographs, and all whole files stay.

    Parameters
    ----------
    older_than : timedelta
        Younger files may be of a photograph that is coming in just now, and stay.

    Returns
    -------
    list of str
        Names of what was taken away.
    """
    store, named, before = storages["default"], _named(), timezone.now() - older_than
    gone = [name for name in _files(store) if Path(name).stem not in named and store.get_modified_time(name) < before]
    if len(whole := [name for name in gone if not name.endswith(HALF)]) > len(named):
        told = "%s photographs are named by no record, more than by one; they stay: are these the folder's own records?"
        logging.getLogger(__name__).warning(told, len(whole))
        gone = [name for name in gone if name.endswith(HALF)]
    for name in gone:
        store.delete(name)
        for size in SIZES:
            _shown_file(Path(name).stem, size).unlink(missing_ok=True)
    return gone


def _named() -> set[str]:
    """Sums of all photographs there are, and of those that were taken away."""
    taken = Change.objects.filter(table="photographs", after__isnull=True).values_list("before", flat=True)
    return {*MODELS["photographs"].objects.values_list("sha256", flat=True), *(row["sha256"] for row in taken)}


def everything() -> Iterator[tuple[str, bytes]]:
    """Names and contents of all files that are kept, those of photographs that were taken away too."""
    store = storages["default"]
    for name in _files(store):
        with store.open(name) as file:
            yield name, file.read()


def _files(store: Storage) -> Iterator[str]:
    """Names of what was kept here, whole or not; what else somebody put there is none of ours."""
    for folder in store.listdir("")[0]:
        yield from (f"{folder}/{name}" for name in store.listdir(folder)[1] if OURS.fullmatch(f"{folder}/{name}"))
