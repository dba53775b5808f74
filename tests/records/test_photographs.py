"""Photographs are known by what is in them, kept whole or not at all, and shown without what the camera wrote."""

import hashlib
import io
import struct
import zlib
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.storage import storages
from django.db import transaction
from PIL import Image

from footring.records import photographs
from footring.records.acts import act
from footring.records.models import MODELS, User
from footring.rows.collection import Piece
from footring.terms.errors import BadInput

pytestmark = pytest.mark.django_db


@pytest.fixture
def keeper():
    user = User.objects.create(username="keeper")
    with act("piece", user) as doing:
        doing.add(Piece("p"))
    yield user
    for name in list(photographs._files(storages["default"])):
        storages["default"].delete(name)


def picture(kind="JPEG", size=(60, 40), colour="teal", **how):
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, kind, **how)
    return out.getvalue()


def with_place():
    """A picture into which a camera wrote where it was taken, and that it lies on its side."""
    exif = Image.Exif()
    exif[0x0112] = 6
    exif[0x010E] = "Loft behind the chimney"
    exif.get_ifd(0x8825).update({1: "N", 2: (53.0, 0.0, 1.0), 3: "W", 4: (2.0, 10.0, 0.0)})
    return picture(exif=exif)


def bomb():
    """A few bytes that say they are a picture of ten thousand million pixels."""
    header = struct.pack(">IIBBBBB", 100_000, 100_000, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(b"\0" * 1000)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data)) for kind, data in chunks
    )


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photograph_is_kept_as_it_came_under_its_own_sum(kind, keeper):
    data = picture(kind)
    kept = photographs.keep(data, keeper, piece="p", side="foot")
    assert kept.sha256 == hashlib.sha256(data).hexdigest()
    assert photographs.original(kept) == (data, kind)
    assert (kept.side, kept.piece_id) == ("foot", "p")


@pytest.mark.parametrize(
    ("what", "data", "told"),
    [
        ("a page", b"<html><script>alert(1)</script></html>", "JPEG, PNG or WebP"),
        ("a drawing", b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>', "JPEG, PNG or WebP"),
        ("another kind", picture("GIF"), "JPEG, PNG or WebP"),
        ("cut short", picture(size=(300, 300))[:-400], "cannot be read as a picture"),
        ("nothing", b"", "JPEG, PNG or WebP"),
        ("a bomb", bomb(), "pixels|cannot be read"),
        ("no picture inside", b"\xff\xd8\xff\xe0" + b"x" * 100, "cannot be read as a picture"),
    ],
)
def test_what_is_no_photograph_is_refused_and_leaves_nothing(what, data, told, keeper):
    with pytest.raises(BadInput, match=told):
        photographs.keep(data, keeper, piece="p")
    assert list(photographs._files(storages["default"])) == []
    assert not MODELS["photographs"].objects.exists()


def test_too_many_bytes_are_refused(keeper, monkeypatch):
    monkeypatch.setattr(photographs, "LARGEST_BYTES", 100)
    with pytest.raises(BadInput, match="at most 0 are kept"):
        photographs.keep(picture(), keeper)


def test_the_same_photograph_twice_is_told_and_kept_once(keeper):
    photographs.keep(picture(), keeper, piece="p")
    with pytest.raises(BadInput, match="kept already"):
        photographs.keep(picture(), keeper, piece="p")
    assert len(list(photographs._files(storages["default"]))) == 1


def test_what_is_shown_is_upright_and_holds_no_place(keeper):
    kept = photographs.keep(with_place(), keeper, piece="p")
    shown = photographs.shown(kept, "small")
    with Image.open(io.BytesIO(shown)) as seen:
        assert (seen.format, seen.size) == ("JPEG", (40, 60))
        assert not seen.getexif() and "exif" not in seen.info
    assert b"chimney" not in shown and b"chimney" in photographs.original(kept)[0]
    assert photographs.shown(kept, "small") == shown


def test_what_can_be_seen_through_is_shown_on_white(keeper):
    out = io.BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(out, "PNG")
    kept = photographs.keep(out.getvalue(), keeper)
    with Image.open(io.BytesIO(photographs.shown(kept, "page"))) as seen:
        assert seen.getpixel((5, 5)) == (255, 255, 255)


def test_a_file_whose_row_failed_is_swept_away_and_no_other(keeper, monkeypatch):
    kept = photographs.keep(picture(), keeper, piece="p")
    with pytest.raises(RuntimeError, match="later"), transaction.atomic():
        photographs.keep(picture(colour="red"), keeper, piece="p")
        raise RuntimeError("later")
    assert len(list(photographs._files(storages["default"]))) == 2
    assert len(photographs.sweep()) == 1
    assert photographs.original(kept)[0] == picture()


def test_a_file_cut_off_while_it_was_written_is_not_there(keeper, monkeypatch):
    def power_goes(self, target):
        raise OSError("no power")

    monkeypatch.setattr(Path, "replace", power_goes)
    with pytest.raises(OSError, match="no power"):
        photographs.keep(picture(), keeper, piece="p")
    assert list(photographs._files(storages["default"])) == []
    assert not MODELS["photographs"].objects.exists()
    assert list(Path(settings.FOLDER).rglob("*.part")) == []
