"""What is typed is shown before it is taken; the address holds all of it."""

from urllib.parse import parse_qsl, urlsplit

import pytest

pytestmark = pytest.mark.django_db


@pytest.fixture
def browser(demo, keeper, client_of):
    return client_of(keeper)


def taken(answer):
    """The pairs of the address one is sent to."""
    assert answer.status_code == 302
    return parse_qsl(urlsplit(answer.headers["Location"]).query)


def test_what_was_typed_is_shown_and_not_yet_taken(browser):
    page = browser.get("/", {"t": "417 green printed, 184 mm"}).content.decode()
    assert "the figure 417, green printed" in page and "184 mm high" in page
    assert "Turn it over" in page


def test_the_first_meanings_are_taken_into_the_address(browser):
    answer = browser.get("/", {"r": "line=Ormsley", "t": "417 green printed; no date code", "take": "yes"})
    assert taken(answer) == [("r", "line=Ormsley"), ("r", "numeral=417"), ("r", "numeral_kind=green printed"),
                             ("r", "date_code=none")]  # fmt: skip


def test_another_meaning_is_taken_where_it_was_chosen_and_nothing_where_it_was_left_out(browser):
    answer = browser.get("/", {"t": "184 mm, heron", "c0": "1", "c1": "-", "take": "yes"})
    assert taken(answer) == [("r", "height=184 mm")]


def test_what_was_not_understood_stays_to_be_mended(browser):
    answer = browser.get("/", {"t": "417, 200 hands", "take": "yes"})
    assert taken(answer) == [("r", "number=417"), ("t", "200 hands")]
    assert "is not a unit of length" in browser.get(answer.headers["Location"]).content.decode()


def test_a_part_of_the_page_goes_with_its_new_address(browser):
    answer = browser.get("/", {"t": "417", "take": "yes"}, HTTP_HX_REQUEST="true")
    assert answer.headers["HX-Push-Url"] == "/?r=number%3D417"
    assert "autofocus" in answer.content.decode()


@pytest.mark.parametrize(
    ("before", "typed", "after"),
    [
        (["glaze=Sedge"], "glaze: clear", ["glaze=clear"]),
        (["mark=A B"], "mark C D", ["mark=A B", "mark.2=C D"]),
        (["mark=none"], "mark C D", ["mark=C D"]),
        (["mark=A B"], "no mark", ["mark=none"]),
        (["numeral=4", "numeral_kind=painted"], "impressed 36", ["numeral=4", "numeral_kind=painted", "numeral.2=36",
                                                               "numeral_kind.2=impressed"]),
        (["feature=wall: no ribs"], "three ribs under the rim", ["feature=wall: three ribs under the rim"]),
        (["glaze=Sedge"], "lid: clear", ["glaze=Sedge", "lid.glaze=clear"]),
        ([], 'mark "none"', ['mark="none"']),
    ],
)  # fmt: skip
def test_what_is_read_again_replaces_and_what_may_stand_twice_is_added(browser, before, typed, after):
    given = taken(browser.get("/", {"r": before, "t": typed, "take": "yes"}))
    assert [value for _, value in given] == after


def test_a_mark_given_twice_in_the_address_is_two_marks(browser):
    page = browser.get("/", {"r": ["mark=SCARSIDE", "mark=ORMSLEY"]}).content.decode()
    assert "mark “SCARSIDE”" in page and "mark “ORMSLEY”" in page
