"""What one person chooses is how every page shows it to them."""

from html import unescape

import pytest
from django.template import Context, Template

from footring.records.models import Role, User
from footring.terms.tables import read_table
from footring.web.context import PLACES

pytestmark = pytest.mark.django_db


def test_what_is_chosen_is_kept_and_shown(client_of, keeper):
    browser = client_of(keeper)
    assert 'data-paper="auto"' in browser.get("/settings/").content.decode()
    answer = browser.post("/settings/", {"inches": "yes", "says_shape": "yes", "whole_years": "", "paper": "dark"})
    assert answer.status_code == 302
    keeper.refresh_from_db()
    assert (keeper.inches, keeper.says_shape, keeper.whole_years, keeper.paper) == (True, True, False, "dark")
    page = browser.get("/settings/").content.decode()
    assert 'data-paper="dark"' in page and "Kept." in page


def test_a_role_cannot_be_chosen(client_of):
    guest = User.objects.create(username="guest", role=Role.GUEST)
    client_of(guest).post("/settings/", {"paper": "light", "role": "keeper", "is_superuser": "yes"})
    guest.refresh_from_db()
    assert (guest.role, guest.is_superuser, guest.paper) == (Role.GUEST, False, "light")


def test_paper_of_another_kind_is_refused(client_of, keeper):
    page = client_of(keeper).post("/settings/", {"paper": "wet"}).content.decode()
    assert "Select a valid choice" in page


@pytest.mark.parametrize(
    ("chosen", "shown"),
    [
        ({}, "184 mm form 1934-39"),
        ({"inches": True, "whole_years": True}, "7 1/4 in form 1934-1939"),
        ({"says_shape": True}, "184 mm shape 1934-39"),
    ],
)
def test_lengths_words_and_years_are_as_chosen(chosen, shown):
    told = Template("{% length 184.15 %} {% form_word %} {% years 1934 1939 %}")
    assert told.render(Context({"user": User(**chosen)})) == shown


def test_help_shows_the_cautions_and_every_word(client_of, keeper):
    browser = client_of(keeper)
    assert "A laboratory" in browser.get("/help/").content.decode()
    assert "looked for and not found" in browser.get("/help/words/").content.decode()


def test_help_tells_what_each_page_is_for_to_whom_may_see_it(client_of):
    for role in Role:
        shown = client_of(User.objects.create(username=role, role=role)).get("/help/").context["pages"]
        assert [name for name, _, what in shown if what] == [
            name for name, _, least in PLACES if role.rank >= least.rank
        ]


def test_only_the_keeper_of_a_society_is_told_of_its_people(client_of, keeper, settings):
    def told(user):
        return [name for name, *_ in client_of(user).get("/help/").context["pages"]]

    assert "people" not in told(keeper)
    settings.SOCIETY = True
    assert "people" in told(keeper)
    assert "people" not in told(User.objects.create(username="curator", role=Role.CURATOR))


def test_every_note_on_how_to_look_is_told(client_of, keeper):
    page = unescape(client_of(keeper).get("/help/how-to-look/").content.decode())
    notes = [
        row["how"] for name in ("how_to_look", "look_closer") for row in read_table("footring.reasoning", f"{name}.csv")
    ]
    assert len(notes) >= 30
    assert [note for note in notes if note not in page] == []
