"""What is at home is found, drawn, moved and taken along as a table; nobody finds what is not theirs to see."""

import csv
import io

import pytest

from footring.records.acts import act
from footring.records.models import MODELS, Act, Role, User
from footring.rows.collection import Piece

pytestmark = pytest.mark.django_db


def text(answer):
    return answer.content.decode()


def shown(answer):
    return [row.piece_id for row in answer.context["shown"]]


@pytest.fixture
def browser(demo, keeper, client_of):
    return client_of(keeper)


def test_the_newest_stands_first_and_is_told_what_it_is(browser):
    answer = browser.get("/at-home/")
    assert shown(answer)[0] == "ossel.piece-8"
    assert "Ormsley, Round covered dish, Reed Heron, Clear, Green edge line" in text(answer)
    assert "not said yet" in text(answer)


@pytest.mark.parametrize(
    ("asked", "count"),
    [("words=heron", 2), ("words=herron", 2), ("line=ossel.wherry", 0), ("settled=1", 4), ("damaged=1", 1),
     ("photographed=1", 0), ("words=zzzz", 0), ("form=nowhere", 0), ("after=xx", 8), ("after=99999999999999999999", 8)],
)  # fmt: skip
def test_pieces_are_found_by_what_they_are(asked, count, browser):
    assert len(shown(browser.get(f"/at-home/?{asked}"))) == count


def test_what_was_mended_is_told(browser):
    assert "Shown for “heron”" in text(browser.get("/at-home/?words=herron"))


def test_pages_follow_one_another_and_none_is_missed(browser, keeper, django_assert_max_num_queries):
    with act("many", keeper) as doing:
        doing.add(*(Piece(f"many.{n}", name=f"Plate {n}") for n in range(120)))
    browser.get("/at-home/")
    found, address = [], "/at-home/?"
    while address:
        with django_assert_max_num_queries(22):
            answer = browser.get(address)
        found += shown(answer)
        address = "/at-home/?" + answer.context["next"] if answer.context["next"] else ""
    assert len(found) == len(set(found)) == MODELS["pieces"].objects.count()


def test_several_are_moved_in_one_act_that_is_undone(browser):
    place = MODELS["places"].objects.first()
    moved = ["ossel.piece-8", MODELS["pieces"].objects.exclude(place=place).first().pk]
    answer = browser.post("/at-home/move/", {"piece": moved, "put_in": place.pk, "words": "heron"})
    assert answer.headers["Location"] == "/at-home/?words=heron"
    assert set(MODELS["pieces"].objects.filter(pk__in=moved).values_list("place", flat=True)) == {place.pk}
    assert Act.objects.first().what == "Move 2 pieces"


def test_others_pieces_are_not_moved(demo, client_of):
    member = client_of(User.objects.create(username="m", role=Role.MEMBER))
    assert member.post("/at-home/move/", {"piece": ["ossel.piece-8"], "put_in": ""}).status_code == 403


def test_a_table_holds_no_formula_and_no_place_for_others(browser, keeper, client_of):
    with act("odd", keeper) as doing:
        doing.add(Piece("odd", name='=HYPERLINK("x")'))
    rows = list(csv.DictReader(io.StringIO(b"".join(browser.get("/at-home/export/")).decode())))
    assert {row["id"]: row["name"] for row in rows}["odd"] == '\'=HYPERLINK("x")'
    assert {row["id"]: row["place"] for row in rows}["ossel.piece-8"]
    member = client_of(User.objects.create(username="m", role=Role.MEMBER))
    assert "place" not in b"".join(member.get("/at-home/export/")).decode().splitlines()[0]


def test_private_pieces_are_not_found_by_others(browser, client_of):
    MODELS["pieces"].objects.filter(pk="ossel.piece-8").update(private=True)
    member = client_of(User.objects.create(username="m", role=Role.MEMBER))
    assert "ossel.piece-8" not in shown(member.get("/at-home/?words=heron"))
    assert "ossel.piece-8" in shown(browser.get("/at-home/?words=heron"))


def test_colours_are_those_of_the_screen_s_standard():
    """sRGB's own corners, as CIELAB has them (from memory: red, green and blue of D65 sRGB)."""
    from footring.web.glaze_colour import srgb

    assert srgb(87.73, -86.18, 83.18) == "#00ff00"
    assert srgb(32.30, 79.19, -107.86) == "#0000ff"
    assert srgb(50, 0, 0) == "#777777"
