"""Photographs: kept as they came, named by their SHA-256; shown without what the camera wrote into them."""

from __future__ import annotations

import hashlib
import io
import os
import secrets
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage, storages
from PIL import Image, ImageOps

from footring.records.acts import act
from footring.records.ids import new_id
from footring.records.models import MODELS, Stored, User
from footring.rows.collection import Photograph
from footring.terms.errors import BadInput

KINDS = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp"}
"""Pictures that are taken, known by what is in them, and how their files end."""
LARGEST_BYTES = 40_000_000
MOST_PIXELS = 80_000_000
SIZES = {"small": 320, "page": 1600}
"""Longest sides of what is shown, in pixels."""


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
        It is no picture that is taken, too large, damaged, or here already.
    """
    kind = kind_of(data)
    sha256 = hashlib.sha256(data).hexdigest()
    if MODELS["photographs"].objects.filter(sha256=sha256).exists():
        raise BadInput("this very photograph is kept already: it was not stored a second time")
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
    expected = "a photograph as JPEG, PNG or WebP was expected"
    if len(data) > LARGEST_BYTES:
        raise BadInput(f"this file has {len(data) / 1e6:.0f} MB: at most {LARGEST_BYTES / 1e6:.0f} are kept")
    try:
        with Image.open(io.BytesIO(data), formats=list(KINDS)) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                many = f"{picture.width} x {picture.height}"
                raise BadInput(f"this picture has {many} pixels: at most {MOST_PIXELS // 10**6} million are taken")
            picture.load()
            return str(picture.format)
    except BadInput:
        raise
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        raise BadInput(f"this file cannot be read as a picture: {expected}") from error


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
        name = file_name(photograph.sha256, kind)
        if store.exists(name):
            with store.open(name) as file:
                return file.read(), kind
    raise BadInput("the file of this photograph is gone: restore it from a backup")


def shown(photograph: Stored, size: str) -> bytes:
    """A photograph to be shown: a JPEG the right way up, no larger than its size says, with nothing else in it."""
    cached = Path(settings.FOLDER) / "exports" / "shown" / f"{photograph.sha256}-{size}.jpg"
    if cached.is_file():
        return cached.read_bytes()
    data, _ = original(photograph)
    with Image.open(io.BytesIO(data), formats=list(KINDS)) as picture:
        upright = ImageOps.exif_transpose(picture)
        upright.thumbnail((SIZES[size], SIZES[size]))
        bare = Image.new("RGB", upright.size, "white")
        bare.paste(upright, mask=upright.convert("RGBA").getchannel("A") if _sees_through(upright) else None)
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=85)
    _whole(cached, out.getvalue())
    return out.getvalue()


def _sees_through(picture: Image.Image) -> bool:
    return picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info


def _store(name: str, data: bytes) -> None:
    store = storages["default"]
    if store.exists(name):
        return
    if isinstance(store, FileSystemStorage):
        _whole(Path(store.path(name)), data)
    else:
        store.save(name, ContentFile(data))


def _whole(path: Path, data: bytes) -> None:
    """Write a file that is either not there or whole, whenever the power goes."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{secrets.token_hex(8)}.part")
    try:
        with beside.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    finally:
        beside.unlink(missing_ok=True)


def sweep() -> list[str]:
    """Take away files that no row names: of acts that failed, or were undone. Not while photographs come in.

    Returns
    -------
    list of str
        Names of what was taken away.
    """
    store = storages["default"]
    known = set(MODELS["photographs"].objects.values_list("sha256", flat=True))
    gone = [name for name in _files(store) if Path(name).stem not in known]
    for name in gone:
        store.delete(name)
    return gone


def _files(store: FileSystemStorage) -> Iterator[str]:
    for folder in store.listdir("")[0]:
        for name in store.listdir(folder)[1]:
            yield f"{folder}/{name}"
