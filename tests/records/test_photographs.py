"""Photographs are known by what is in them, kept whole or not at all, and shown without what the camera wrote."""

import hashlib
import io
import os
import struct
import subprocess
import sys
import zlib
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.storage import storages
from django.db import transaction
from PIL import Image, ImageCms

from footring.records import photographs
from footring.records.acts import act, undo
from footring.records.models import MODELS, User
from footring.rows.collection import Piece
from footring.terms.errors import BadInput

pytestmark = pytest.mark.django_db
in_both = pytest.mark.parametrize("kept_in", ["folder", "store"], indirect=True)


@pytest.fixture
def keeper(kept_in):
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


@in_both
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


@in_both
def test_the_same_photograph_twice_is_told_and_kept_once(keeper):
    photographs.keep(picture(), keeper, piece="p")
    with pytest.raises(photographs.KeptAlready, match="kept already") as told:
        photographs.keep(picture(), keeper, piece="p")
    assert told.value.kept.piece_id == "p"
    assert len(list(photographs._files(storages["default"]))) == 1


@in_both
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


@in_both
def test_a_file_whose_row_failed_is_swept_away_and_no_other(keeper):
    kept = photographs.keep(picture(), keeper, piece="p")
    with pytest.raises(RuntimeError, match="later"), transaction.atomic():
        photographs.keep(picture(colour="red"), keeper, piece="p")
        raise RuntimeError("later")
    assert len(list(photographs._files(storages["default"]))) == 2
    assert photographs.sweep() == []  # it might be coming in just now
    assert len(photographs.sweep(timedelta(0))) == 1
    assert photographs.original(kept)[0] == picture()


def test_what_a_power_cut_left_half_written_is_swept_away(keeper):
    half = Path(settings.FOLDER) / "photos" / "ab" / ".1234.part"
    half.parent.mkdir(parents=True, exist_ok=True)
    half.write_bytes(picture()[:50])
    assert photographs.sweep(timedelta(0)) == ["ab/.1234.part"]
    assert not half.exists()


def test_photographs_of_other_records_are_not_swept_away(keeper, caplog):
    """A folder opened with an empty database, or with another's, keeps its photographs."""
    photographs.keep(picture(), keeper, piece="p")
    for colour in ("red", "blue"):
        photographs._store(f"ab/{hashlib.sha256(colour.encode()).hexdigest()}.jpg", picture(colour=colour))
    photographs._store("ab/.1234.part", b"cut off")
    assert photographs.sweep(timedelta(0)) == ["ab/.1234.part"]
    assert "2 photographs are named by no record" in caplog.text
    assert len(list(photographs._files(storages["default"]))) == 3


@in_both
def test_a_photograph_taken_away_keeps_its_file_since_that_can_be_undone(keeper):
    kept = photographs.keep(picture(), keeper, piece="p")
    with act("Take a photograph away", keeper) as doing:
        doing.remove("photographs", [kept.pk])
    assert photographs.sweep(timedelta(0)) == []
    undo(doing.act, keeper)
    assert photographs.original(MODELS["photographs"].objects.get())[0] == picture()


def test_a_file_cut_off_while_it_was_written_is_not_there(keeper, monkeypatch):
    def power_goes(self, target):
        raise OSError("no power")

    monkeypatch.setattr(Path, "replace", power_goes)
    with pytest.raises(OSError, match="no power"):
        photographs.keep(picture(), keeper, piece="p")
    assert list(photographs._files(storages["default"])) == []
    assert not MODELS["photographs"].objects.exists()
    assert list(Path(settings.FOLDER).rglob("*.part")) == []


def test_a_picture_with_a_page_behind_it_is_kept_and_shown_without_the_page(keeper):
    """A file may be two things at once: JPEG decoders stop at its end marker (ITU-T T.81, B.1.1.3, from memory)."""
    both = picture() + b"<script>alert(1)</script>"
    kept = photographs.keep(both, keeper, piece="p")
    assert photographs.original(kept) == (both, "JPEG")
    assert b"script" not in photographs.shown(kept, "page")


def test_several_pictures_in_one_jpeg_are_one_photograph(keeper):
    """Telephones write such files (CIPA DC-007, Multi-Picture Format, from memory)."""
    out = io.BytesIO()
    Image.new("RGB", (30, 20), "teal").save(out, "MPO", save_all=True, append_images=[Image.new("RGB", (30, 20))])
    kept = photographs.keep(out.getvalue(), keeper)
    assert photographs.original(kept)[1] == "JPEG"
    with Image.open(io.BytesIO(photographs.shown(kept, "page"))) as seen:
        assert seen.size == (30, 20)


def test_sixteen_bits_a_pixel_are_shown_as_grey_as_they_are(keeper):
    out = io.BytesIO()
    Image.new("I;16", (20, 20), 30_000).save(out, "PNG")
    kept = photographs.keep(out.getvalue(), keeper)
    with Image.open(io.BytesIO(photographs.shown(kept, "page"))) as seen:
        assert seen.getpixel((5, 5)) == pytest.approx((117, 117, 117), abs=1)  # 30000 / 256


@pytest.mark.parametrize("profile", [b"no profile", ImageCms.ImageCmsProfile(ImageCms.createProfile("LAB")).tobytes()])
def test_colours_that_cannot_be_understood_are_shown_as_they_are(profile, keeper):
    kept = photographs.keep(picture(icc_profile=profile), keeper)
    with Image.open(io.BytesIO(photographs.shown(kept, "page"))) as seen:
        assert "icc_profile" not in seen.info
        assert seen.getpixel((5, 5)) == pytest.approx((0, 128, 128), abs=3)


def test_the_colours_of_a_camera_become_those_of_a_screen(keeper):
    """A profile of linear light: 0.5 of it is 188 on a screen (IEC 61966-2-1: 1.055 * 0.5 ** (1 / 2.4) - 0.055)."""
    linear = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes())
    kept = photographs.keep(picture(colour=(128, 128, 128), icc_profile=_linear(linear)), keeper)
    with Image.open(io.BytesIO(photographs.shown(kept, "page"))) as seen:
        assert seen.getpixel((5, 5)) == pytest.approx((188, 188, 188), abs=2)


def _linear(profile):
    """An sRGB profile with its curves made straight: a parametric curve of type 0 and gamma 1 (ICC.1:2022, 10.18)."""
    at = profile.index(b"para")
    profile[at : at + 16] = b"para" + bytes(4) + struct.pack(">HHi", 0, 0, 1 << 16)
    return bytes(profile)


@pytest.mark.filterwarnings("ignore:Corrupt EXIF:UserWarning")  # Pillow says so in the log
def test_a_broken_note_of_the_camera_hinders_nothing(keeper):
    kept = photographs.keep(picture(exif=b"Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08\xff\xff\x01\x12"), keeper)
    with Image.open(io.BytesIO(photographs.shown(kept, "small"))) as seen:
        assert seen.size == (60, 40)


OPEN = """
import sys, time
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]))
from footring.records.worker import start_worker
start_worker()
for _ in range(600):
    if not Path(sys.argv[2]).exists():
        break
    time.sleep(0.1)
"""


def test_what_was_left_is_swept_when_a_collection_is_open(tmp_path):
    left, young, theirs = (
        tmp_path / "photos" / "ab" / name for name in (f".{'0' * 16}.part", f".{'1' * 16}.part", "my.jpg")
    )
    left.parent.mkdir(parents=True)
    for path in (left, young, theirs):
        path.write_bytes(picture())
    for path in (left, theirs):
        os.utime(path, (0, 0))
    of_its_own = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    subprocess.run([sys.executable, "-c", OPEN, str(tmp_path), str(left)], check=True, env=of_its_own, timeout=120)
    assert (left.exists(), young.exists(), theirs.exists()) == (False, True, True)
