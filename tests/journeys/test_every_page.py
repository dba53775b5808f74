"""Every page can be read by everyone: WCAG 2.2 AA as far as axe can tell, light and dark, wide and on a phone.

The pages are those of the list of addresses: one that is not looked at fails the first test.
"""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from footring.records.invitations import invite
from footring.records.models import Role, User
from footring.web.api.tokens import new_token
from footring.web.context import PLACES
from footring.web.guessing import MOST_TOGETHER, failed
from tests.journeys.conftest import settled, wrong_with
from tests.journeys.test_bring_in import SHEET
from tests.web.test_who_may import address, addresses

LOOKS = {
    "piece": {
        "examine": "/ /?r=form=covered+dish&r=number=417&r=across=213+mm /?r=form=teapot&r=decoration=willow"
        " /?r=form=covered+dish&open=form /?r=form=covered+dish&open=away /?r=form=covered+dish&r=across=two+hands"
        " /?t=417+green+printed,+bogus /?r=form=covered+dish&why",
        "at-home": "/at-home/ /at-home/?words=zzz /at-home/?words=dish&order=name",
        "at-home-ask": "/at-home/ask/",
        "piece": "/piece/ossel.piece-1/ /piece/ossel.piece-5/ /piece/ossel.piece-8/ /piece/ossel.piece-8/?t=417",
        "piece-history": "/piece/ossel.piece-1/history/",
        "bring-in": "/bring-in/",
        "bring-in-job": "{job}",
        "help": "/help/",
        "help-words": "/help/words/",
        "help-look": "/help/how-to-look/",
        "settings": "/settings/",
    },
    "reference": {
        "reference": "/reference/ /reference/?q=ormsley /reference/?q=zzz",
        "concordance": "/reference/concordance/ /reference/concordance/?q=417 /reference/concordance/?q=zzz",
        "reference-marks": "/reference/marks/",
        "reference-people": "/reference/customers-and-hands/",
        "reference-names": "/reference/names/",
        "reference-maker": "/reference/makers/ossel.quillow",
        "reference-line": "/reference/lines/ossel.ormsley /reference/lines/ossel.wherry",
        "reference-form": "/reference/forms/ossel.ormsley-dish",
        "reference-thing": "/reference/things/decorations/ossel.reed-heron /reference/things/glazes/ossel.clear",
        "reference-said": "/reference/said/numbers/ossel.no-417",
        "reference-met": "/reference/met/ossel.ormsley?form=ossel.ormsley-dish",
        "reference-add": "/reference/add/lines/ /reference/add/numbers/",
        "reference-change": "/reference/change/numbers/ossel.no-417 /reference/change/lines/ossel.ormsley",
        "sources": "/sources/",
        "source": "/sources/one/ossel.talk-1991",
        "sources-disagree": "/sources/what-disagrees/",
        "sources-later": "/sources/check-later/",
    },
    "society": {
        "people": "/people/",
        "password": "/password/",
        "invited": "/invited/{token}/ /invited/used/",
        "sign-in": "/sign-in/",
    },
}
"""Addresses of each page, by its name, looked at together."""
PART_OF_ONE = "enter examine-again examine-why reference-offer bring-in-progress photograph photograph-original".split()
"""These lead elsewhere, give a picture, or a part of a page that is looked at where it stands."""


def looked_at():
    return {name for looks in LOOKS.values() for name in looks}


@pytest.mark.django_db
def test_every_page_of_the_list_of_addresses_is_looked_at(client):
    client.force_login(User.objects.create(username="keeper", role=Role.KEEPER))
    known = looked_at() | set(PART_OF_ONE)
    others = {name for name in addresses() if not name.startswith("api:")} - known
    answers = {name: client.get(address(name, {}), HTTP_HOST="127.0.0.1") for name in others}
    assert {name for name, answer in answers.items() if is_page(answer)} == set()
    assert known - set(addresses()) == set()


def is_page(answer):
    """Whether something is shown, or might be: not an address of forms alone, nor one that leads elsewhere or gives a file."""
    return answer.status_code not in (302, 405) and answer.headers["Content-Type"].startswith("text/html")


def sent(client, who):
    """Address of a sheet with faults, looked over; a piece has a photograph and a view is kept besides."""
    client.force_login(who)
    picture = BytesIO()
    Image.new("RGB", (900, 600), "tan").save(picture, "JPEG")
    for where, given in (
        ("/piece/ossel.piece-1/photograph/", {"photograph": SimpleUploadedFile("foot.jpg", picture.getvalue())}),
        ("/at-home/view/", {"name": "Dishes", "words": "dish"}),
        ("/bring-in/", {"file": SimpleUploadedFile("plates.csv", SHEET.encode())}),
    ):
        answer = client.post(where, given, HTTP_HOST="127.0.0.1")
    return answer.headers["Location"]


@pytest.mark.slow
@pytest.mark.parametrize("part", LOOKS)
def test_nothing_is_wrong_with_a_page(part, open_page, demo, settings, client):
    new_token(demo, "My script")
    filled = {"job": sent(client, demo), "token": invite(Role.MEMBER, demo)}
    page = open_page("/help/")
    settings.SOCIETY = part == "society"
    wrong = {}
    for looks in LOOKS[part].values():
        for one in looks.format(**filled).split():
            page.goto(one)
            settled(page)
            wrong[one] = wrong_with(page)
    assert {one: found for one, found in wrong.items() if found} == {}


@pytest.mark.slow
def test_nothing_is_wrong_with_what_says_that_something_is(open_page, demo, settings, monkeypatch):
    def falls(*_):
        raise RuntimeError("as if there were a fault")

    monkeypatch.setattr("footring.web.pages.help.views.read_table", falls)
    settings.SOCIETY = True
    for _ in range(MOST_TOGETHER):
        failed("ann", "127.0.0.1")
    page = open_page("/help/", who=User.objects.create(username="guest", role=Role.GUEST))
    told = {}
    for one, status in (("/nothing/", 404), ("/at-home/", 403), ("/settings/token/", 405), ("/help/words/", 500)):
        assert page.goto(one).status == status
        told[status] = wrong_with(page)
    open_page.complaints.clear()
    page.goto("/sign-in/")
    page.get_by_label("Name").fill("ann")
    page.get_by_label("Password").fill("a guess")
    with page.expect_response(lambda answer: answer.status == 429):
        page.get_by_role("button", name="Sign in").click()
    told[429] = wrong_with(page)
    assert told == {404: [], 403: [], 405: [], 500: [], 429: []}


def test_the_pages_are_reached_by_keyboard_alone(open_page):
    page = open_page("/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    reached = []
    for _ in range(2 + len(PLACES)):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.textContent").strip())
    assert [title for _, title, _ in PLACES if title not in reached] == []
