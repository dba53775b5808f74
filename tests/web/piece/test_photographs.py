"""Who takes photographs in, what is taken, who sees them, and what goes out of what the camera wrote."""

import html
import io
import re
import struct
import zlib

import pytest
from django.core.files.storage import storages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import override_settings
from PIL import Image

from footring.records import photographs
from footring.records.acts import act
from footring.records.models import MODELS, Act, Role, User
from footring.records.store import store_of
from footring.rows.collection import Letter, Photograph, Piece

pytestmark = pytest.mark.django_db
in_both = pytest.mark.parametrize("kept_in", ["folder", "store"], indirect=True)
PIECE = "/piece/ossel.piece-8/"
PAGE = b"<!doctype html><script>alert(1)</script>"


@pytest.fixture(autouse=True)
def _no_files(kept_in):
    yield
    for name in list(photographs._files(storages["default"])):
        storages["default"].delete(name)


@pytest.fixture
def browser(demo, keeper, client_of):
    return client_of(keeper)


@pytest.fixture
def person(client_of):
    return lambda role: client_of(User.objects.create(username=f"a {role}", role=role))


def picture(colour="navy", kind="JPEG", **how):
    out = io.BytesIO()
    Image.new("RGB", (50, 30), colour).save(out, kind, **how)
    return out.getvalue()


def upload(data=None, name="foot.jpg", of_type="image/jpeg"):
    return SimpleUploadedFile(name, picture() if data is None else data, content_type=of_type)


def add(browser, data=None, **said):
    """A photograph of the piece, added."""
    sent = picture() if data is None else data
    assert browser.post(PIECE + "photograph/", {"photograph": upload(sent), **said}).status_code == 302
    return MODELS["photographs"].objects.order_by("added_in_id").last()


def at(photograph, what="small"):
    return f"/piece/photograph/{photograph.pk}/{what}/"


def text(answer):
    return html.unescape(re.sub(r"<[^>]+>", "", answer.content.decode().split("<main")[1]))


def bomb():
    """A few bytes that say they are a picture of ten thousand million pixels."""
    header = struct.pack(">IIBBBBB", 100_000, 100_000, 8, 2, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(b"\0" * 1000)), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data)) for kind, data in chunks
    )


@in_both
def test_a_photograph_is_added_and_shown(browser):
    kept = add(browser, side="foot", credit="Ines")
    page = browser.get(PIECE)
    assert f'src="{at(kept)}" alt="Foot of Round covered dish, Reed Heron"' in page.content.decode()
    assert "not to be published" in text(page)
    answer = browser.get(at(kept, "page"))
    assert (answer.headers["Content-Type"], answer.headers["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")
    assert answer.headers["Content-Disposition"].startswith("inline;")
    assert browser.get(at(kept, "huge")).status_code == 404
    whole = browser.get(at(kept, "original"))
    assert whole.content == picture() and whole.headers["Content-Disposition"].startswith("attachment;")


def test_photographs_hang_by_the_side_they_show(browser):
    for side, colour in (("mark", "red"), ("at the fair", "blue"), ("foot", "green"), ("Whole", "white")):
        add(browser, picture(colour), side=side)
    assert re.findall(r'alt="(.+?) of ', browser.get(PIECE).content.decode()) == [
        "Whole",
        "Foot",
        "Mark",
        "At the fair",
    ]


def test_several_come_at_once_and_one_that_cannot_be_kept_hinders_no_other(browser):
    files = [upload(picture("red")), upload(PAGE, "second.jpg"), upload(picture("blue"))]
    answer = browser.post(PIECE + "photograph/", {"photograph": files})
    assert answer.status_code == 400 and "second.jpg: this file cannot be read as a picture" in text(answer)
    assert "2 kept" in text(answer) and MODELS["photographs"].objects.count() == 2


@pytest.mark.parametrize(
    ("store", "why"),
    [
        ("s3://plates?endpoint=http://127.0.0.1:9", "the store of photographs cannot be reached"),
        ("", "Not a directory"),
    ],
)
def test_a_store_or_disk_that_fails_is_told_and_nothing_is_kept(store, why, browser, settings, tmp_path, monkeypatch):
    for name in ("AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"):
        monkeypatch.setenv(name, "of-a-test")
    (tmp_path / "file").touch()
    where = store_of(store, tmp_path / "file")
    with override_settings(STORAGES={**settings.STORAGES, "default": where}):
        answer = browser.post(PIECE + "photograph/", {"photograph": [upload(), upload(picture("red"), "b.jpg")]})
    assert answer.status_code == 503 and f"could not be written or read: {why}. Nothing was changed." in text(answer)
    assert not MODELS["photographs"].objects.exists()


@pytest.mark.parametrize(
    ("data", "name", "told"),
    [
        (PAGE, "foot.jpg", "cannot be read as a picture"),
        (b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>', "foot.svg", "cannot be read as a picture"),
        (picture(kind="GIF"), "foot.jpg", "cannot be read as a picture"),
        (picture()[:-40], "foot.jpg", "cannot be read as a picture"),
        (bomb(), "foot.png", "million are taken"),
        (b"\xff\xd8\xff" + PAGE, "foot.jpg", "cannot be read as a picture"),
    ],
    ids=["page", "drawing", "another kind", "cut short", "bomb", "begins like one"],
)
def test_a_name_does_not_make_a_picture(data, name, told, browser):
    answer = browser.post(PIECE + "photograph/", {"photograph": upload(data, name)})
    assert answer.status_code == 400 and told in text(answer)
    assert not MODELS["photographs"].objects.exists() and list(photographs._files(storages["default"])) == []


def test_none_chosen_and_too_large_are_told(browser, monkeypatch):
    assert "none came" in text(browser.post(PIECE + "photograph/"))
    monkeypatch.setattr(photographs, "LARGEST_BYTES", 100)
    assert "MB are kept" in text(browser.post(PIECE + "photograph/", {"photograph": upload()}))


def test_what_it_is_comes_from_its_content_and_never_from_what_was_said_of_it(browser):
    sent = upload(picture(kind="PNG") + PAGE, "foot.html", "text/html")
    browser.post(PIECE + "photograph/", {"photograph": sent})
    kept = MODELS["photographs"].objects.get()
    shown, whole = browser.get(at(kept)), browser.get(at(kept, "original"))
    assert (shown.headers["Content-Type"], whole.headers["Content-Type"]) == ("image/jpeg", "image/png")
    assert b"script" not in shown.content and whole.content.endswith(PAGE)
    assert whole.headers["Content-Disposition"] == f'attachment; filename="{kept.sha256[:12]}.png"'
    assert whole.headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize("role", Role)
def test_where_it_was_taken_is_shown_to_nobody(role, browser, person):
    """GPS and other notes are TIFF tags in an Exif segment (CIPA DC-008, 4.6, from memory)."""
    exif = Image.Exif()
    exif[0x010E] = "Loft behind the chimney"
    exif.get_ifd(0x8825).update({1: "N", 2: (53.0, 0.0, 1.0), 3: "W", 4: (2.0, 10.0, 0.0)})
    kept = add(browser, picture(exif=exif), permission="Ines, 2026")
    for size in photographs.SIZES:
        shown = person(role) if size == "small" else browser
        data = shown.get(at(kept, size)).content
        with Image.open(io.BytesIO(data)) as seen:
            assert not seen.getexif() and b"chimney" not in data and b"Exif" not in data


def test_the_very_same_file_is_told_and_where_it_is(browser, keeper, client_of, person):
    add(browser)
    again = browser.post(PIECE + "photograph/", {"photograph": upload()})
    assert again.status_code == 400 and "kept already" in text(again) and "it is of this piece" in text(again)
    with act("another", keeper) as doing:
        doing.add(Piece("other", name="Sugar box"))
    other = browser.post("/piece/other/photograph/", {"photograph": upload()})
    assert "it is of another piece (/piece/ossel.piece-8/)" in text(other)
    assert MODELS["photographs"].objects.count() == 1


@in_both
def test_guests_see_what_may_be_published_and_nobody_else_the_file_as_it_came(browser, person):
    bare, granted = add(browser), add(browser, picture("red"), permission="Ines, 2026")
    guest, member = person(Role.GUEST), person(Role.MEMBER)
    assert [guest.get(at(one)).status_code for one in (bare, granted)] == [404, 200]
    assert [at(one) in guest.get(PIECE).content.decode() for one in (bare, granted)] == [False, True]
    assert member.get(at(bare)).status_code == 200
    assert [who.get(at(granted, "original")).status_code for who in (guest, member)] == [403, 404]
    assert person(Role.CURATOR).get(at(granted, "original")).status_code == 200
    MODELS["photographs"].objects.filter(pk=granted.pk).update(private=True)
    assert [who.get(at(granted)).status_code for who in (guest, member, browser)] == [404, 404, 200]


@in_both
def test_a_photograph_of_a_private_piece_is_as_private(browser, person):
    kept = add(browser, permission="Ines, 2026")
    MODELS["pieces"].objects.filter(pk="ossel.piece-8").update(private=True)
    assert [person(role).get(at(kept)).status_code for role in (Role.MEMBER, Role.GUEST)] == [404, 404]
    assert browser.get(at(kept)).status_code == 200


def test_a_photograph_out_of_a_stranger_s_letter_is_for_those_who_answer_it(browser, keeper, person):
    kept = photographs.keep(picture("pink"), keeper, permission="the sender")
    assert [person(role).get(at(kept)).status_code for role in Role] == [200, 200, 404, 404]


def test_a_member_has_the_file_of_their_own_as_it_came(demo, client_of):
    member = User.objects.create(username="member", role=Role.MEMBER)
    with act("put away", member) as doing:
        doing.add(Piece("own"))
    own = client_of(member)
    own.post("/piece/own/photograph/", {"photograph": upload()})
    assert own.get(at(MODELS["photographs"].objects.get(), "original")).content == picture()


def test_from_whose_letter_it_is_is_the_owner_s_to_know(browser, keeper, person):
    kept = add(browser, permission="Ines, 2026")
    with act("letter", keeper) as doing:
        doing.add(Letter("letter", sender="ossel.ines", written="2026-05"))
        doing.change("photographs", kept.pk, letter="letter")
    assert "from a letter of Ines Marrable, May 2026" in text(browser.get(PIECE))
    assert "from a letter" not in text(person(Role.MEMBER).get(PIECE))


def test_it_is_described_and_the_second_who_does_chooses(browser, person):
    kept = add(browser)
    seen, curator = kept.written_in_id, person(Role.CURATOR)
    browser.post(at(kept, "change"), {"seen": seen, "side": "foot", "permission": "Ines"})
    answer = curator.post(at(kept, "change"), {"seen": seen, "side": "mark"})
    assert answer.status_code == 409 and "foot" in text(answer) and "mark" in text(answer)
    now = MODELS["photographs"].objects.get()
    assert (now.side, now.permission) == ("foot", "Ines")
    curator.post(at(kept, "change"), {"seen": now.written_in_id, "side": "mark", "private": "1"})
    assert (MODELS["photographs"].objects.get().side, MODELS["photographs"].objects.get().private) == ("mark", True)


def test_it_is_taken_away_and_put_back(browser):
    kept = add(browser)
    browser.post(at(kept, "take-away"))
    assert browser.get(at(kept)).status_code == 404
    browser.post(f"{PIECE}undo/{Act.objects.get(what='Take a photograph away').pk}/")
    assert browser.get(at(kept)).status_code == 200


@pytest.mark.parametrize("what", ["change", "take-away"])
def test_nobody_but_its_own_changes_it(what, browser, person):
    kept = add(browser, permission="Ines")
    assert [person(role).post(at(kept, what)).status_code for role in (Role.MEMBER, Role.GUEST)] == [403, 403]
    assert MODELS["photographs"].objects.get().side == kept.side


@in_both
def test_a_row_whose_file_is_gone_is_told_and_the_page_stands(browser, keeper):
    with act("row", keeper) as doing:
        doing.add(Photograph("lost", sha256="0" * 64, piece="ossel.piece-8"))
    answer = browser.get("/piece/photograph/lost/small/")
    assert answer.status_code == 400 and "restore it from a backup" in text(answer)
    assert browser.get(PIECE).status_code == 200
