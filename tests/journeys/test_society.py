"""A society's people in real browsers: invited, each seeing what it may, two at one piece. All of it by keyboard alone."""

import pytest
from playwright.sync_api import expect

from footring.records.models import MODELS, Role, User
from tests.journeys.conftest import Keys

pytestmark = pytest.mark.slow
WORD = "seven blue saucers"
EVERYWHERE = "Examine, At home, Reference, Sources, Bring in, Help, Settings"
SEES = {
    Role.GUEST: ("Reference, Help, Settings", ("/at-home/", "/sources/", "/reference/add/lines/", "/people/")),
    Role.MEMBER: (EVERYWHERE, ("/reference/add/lines/", "/people/")),
    Role.CURATOR: (EVERYWHERE, ("/people/",)),
    Role.KEEPER: (EVERYWHERE, ()),
}
"""What the invited find in the header, and what is refused to them."""
MAY_CHANGE = {Role.CURATOR, Role.KEEPER}


@pytest.fixture
def society(settings):
    settings.SOCIETY = True


def button(page, name):
    return page.get_by_role("button", name=name)


def invitation(page, role):
    """The address that a keeper sends."""
    keys = Keys(page).to(page.get_by_label("As a"))
    page.keyboard.type(role[:3])
    keys.enter(button(page, "Make an invitation"))
    return page.get_by_label("Address of the invitation").input_value()


def come_in(page, name):
    keys = Keys(page).type(page.get_by_label("Name, as others will see it"), name)
    keys.type(page.get_by_label("Password, twelve letters or more"), WORD)
    keys.type(page.get_by_label("The same again"), WORD).press("Enter")


def sign_in(page, name):
    Keys(page).type(page.get_by_label("Name"), name).type(page.get_by_label("Password"), WORD).press("Enter")
    expect(button(page, "Sign in")).to_have_count(0)


def sign_out(page):
    page.goto("/settings/")
    Keys(page).enter(button(page, "Sign out"))
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")


@pytest.mark.parametrize("role", SEES)
def test_the_invited_come_in_see_what_they_may_and_go_out(role, open_page, society, nothing_wrong):
    there = open_page("/people/")
    page = open_page(invitation(there, role), who=None)
    nothing_wrong(there)
    come_in(page, "Tam")
    places, refused = SEES[role]
    expect(page.get_by_role("navigation", name="Pages", exact=True).get_by_role("link")).to_have_text(
        places.split(", ")
    )
    assert User.objects.get(username="Tam").role == role
    page.goto("/reference/lines/ossel.ormsley")
    expect(page.get_by_role("link", name="Change", exact=True)).to_have_count(1 if role in MAY_CHANGE else 0)
    for one in refused:
        assert page.goto(one).status == 403
        expect(page.get_by_role("alert")).to_contain_text("not for your role")
    sign_out(page)
    page.goto("/at-home/")
    sign_in(page, "Tam")
    if role == Role.GUEST:
        expect(page.get_by_role("alert")).to_contain_text("not for your role")
    else:
        expect(page.get_by_role("heading", level=1)).to_have_text("At home")
    sign_out(page)
    page.goto(there.get_by_label("Address of the invitation").input_value())
    expect(page.get_by_role("alert")).to_contain_text("invit")


def renamed(page, name):
    keys = Keys(page).enter(page.get_by_text("Rename", exact=True).first)
    keys.type(page.get_by_label("What it is called"), name).press("Enter")


def test_the_second_of_two_who_change_a_piece_is_shown_both_versions(open_page, society, nothing_wrong):
    bea = User.objects.create_user("bea", password=WORD, role=Role.CURATOR)
    first, second = open_page("/piece/ossel.piece-2/"), open_page("/piece/ossel.piece-2/", who=bea)
    renamed(first, "Mug with a hare")
    expect(first.get_by_role("heading", level=1)).to_have_text("Mug with a hare")
    renamed(second, "Hare mug")
    expect(second.get_by_role("heading", level=1)).to_have_text("Two versions")
    expect(second.get_by_role("row").last).to_contain_text("Mug with a hare")
    expect(second.get_by_role("row").last).to_contain_text("Hare mug")
    expect(second.get_by_role("alert")).to_contain_text("keeper")
    assert MODELS["pieces"].objects.get(pk="ossel.piece-2").name == "Mug with a hare"
    nothing_wrong(second)
    Keys(second).enter(button(second, "Write it as I had it"))
    expect(second.get_by_role("heading", level=1)).to_have_text("Hare mug")
    renamed(first, "A third name")
    Keys(first).enter(first.get_by_role("link", name="Leave it as it stands now"))
    expect(first.get_by_role("heading", level=1)).to_have_text("Hare mug")
