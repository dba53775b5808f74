"""Who takes photographs in, and who sees them."""

import io

import pytest
from django.core.files.storage import storages
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from footring.records import photographs
from footring.records.models import MODELS, Role, User

pytestmark = pytest.mark.django_db
PIECE = "/piece/ossel.piece-8/"


@pytest.fixture(autouse=True)
def _no_files():
    yield
    for name in list(photographs._files(storages["default"])):
        storages["default"].delete(name)


def upload(name="foot.jpg", kind="JPEG", colour="navy"):
    out = io.BytesIO()
    Image.new("RGB", (50, 30), colour).save(out, kind)
    return SimpleUploadedFile(name, out.getvalue(), content_type="image/jpeg")


def test_a_photograph_is_added_and_shown(demo, keeper, client_of):
    browser = client_of(keeper)
    browser.post(PIECE + "photograph/", {"photograph": upload(), "side": "foot", "credit": "Ines"})
    kept = MODELS["photographs"].objects.get(side="foot")
    page = browser.get(PIECE).content.decode()
    assert f"/piece/photograph/{kept.pk}/small/" in page and "no permission to publish on record" in page
    answer = browser.get(f"/piece/photograph/{kept.pk}/page/")
    assert (answer.headers["Content-Type"], answer.headers["X-Content-Type-Options"]) == ("image/jpeg", "nosniff")
    assert browser.get(f"/piece/photograph/{kept.pk}/huge/").status_code == 404
    whole = browser.get(f"/piece/photograph/{kept.pk}/original/")
    assert whole.headers["Content-Disposition"].startswith("attachment")


def test_a_name_does_not_make_a_picture(demo, keeper, client_of):
    page = SimpleUploadedFile("foot.jpg", b"<script>alert(1)</script>", content_type="image/jpeg")
    answer = client_of(keeper).post(PIECE + "photograph/", {"photograph": page})
    assert answer.status_code == 400 and "cannot be read as a picture" in answer.content.decode()


def test_guests_see_what_may_be_published_and_nobody_else_the_file_as_it_came(demo, keeper, client_of):
    client_of(keeper).post(PIECE + "photograph/", {"photograph": upload()})
    client_of(keeper).post(PIECE + "photograph/", {"photograph": upload(colour="red"), "permission": "Ines, 2026"})
    bare, granted = (
        MODELS["photographs"].objects.filter(piece="ossel.piece-8", permission=None).last(),
        MODELS["photographs"].objects.get(permission="Ines, 2026"),
    )
    guest = client_of(User.objects.create(username="guest", role=Role.GUEST))
    member = client_of(User.objects.create(username="member", role=Role.MEMBER))
    assert [guest.get(f"/piece/photograph/{one.pk}/small/").status_code for one in (bare, granted)] == [404, 200]
    assert member.get(f"/piece/photograph/{bare.pk}/small/").status_code == 200
    assert [who.get(f"/piece/photograph/{granted.pk}/original/").status_code for who in (guest, member)] == [403, 404]
    MODELS["photographs"].objects.filter(pk=granted.pk).update(private=True)
    assert guest.get(f"/piece/photograph/{granted.pk}/small/").status_code == 404
