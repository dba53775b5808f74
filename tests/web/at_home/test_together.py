"""Several pieces are changed in one act, after it was shown what changes; each changes what is theirs alone."""

import pytest

from footring.records.acts import act, revision
from footring.records.models import MODELS, Act, Role, User
from footring.records.shelf import shelve
from footring.rows.collection import Person, Piece, Place

pytestmark = pytest.mark.django_db
CHANGE = "/at-home/change/"


def text(answer):
    return answer.content.decode()


def of(ids, *columns):
    return list(MODELS["pieces"].objects.filter(pk__in=ids).order_by("pk").values_list(*columns))


@pytest.fixture
def browser(demo, keeper, client_of):
    with act("box", keeper) as doing:
        doing.add(Place("box", name="Box 9"), Person("ida", name="Ida"), Piece("new", name="Dish"))
    return client_of(keeper)


@pytest.fixture
def member(demo, client_of):
    own = User.objects.create(username="m", role=Role.MEMBER)
    with act("mine", own) as doing:
        doing.add(Piece("mine", name="Mine"))
    return client_of(own)


BOTH = ["new", "ossel.piece-8"]


def test_nothing_changes_before_it_was_shown(browser):
    before = revision()
    asked = {"piece": BOTH, "put_in": "box", "owner": "ida", "hide": "yes"}
    answer = browser.post(CHANGE, asked)
    assert revision() == before and "2 pieces would change" in text(answer)
    for told in ("Shelf 2, front room", "Box 9", "none noted", "Ida", "not private"):
        assert f"<td>{told}</td>" in text(answer)


def test_they_are_changed_in_one_act_that_is_undone(browser):
    before = of(BOTH, "place", "owner", "private")
    sure = {
        "piece": BOTH,
        "put_in": "box",
        "owner": "ida",
        "hide": "yes",
        "words": "dish",
        "sure": "1",
        "seen": revision(),
    }
    answer = browser.post(CHANGE, sure)
    done = Act.objects.first()
    assert done.what == "Change 2 pieces together: place Box 9, owner Ida, private"
    assert answer.headers["Location"] == f"/at-home/?words=dish&done={done.pk}"
    assert of(BOTH, "place", "owner", "private") == [("box", "ida", True)] * 2
    assert f'action="/at-home/undo/{done.pk}/"' in text(browser.get(answer.headers["Location"]))
    answer = browser.post(f"/at-home/undo/{done.pk}/", {"words": "dish"})
    assert answer.headers["Location"] == "/at-home/?words=dish"
    assert of(BOTH, "place", "owner", "private") == before
    assert "undo" not in text(browser.get(f"/at-home/?done={done.pk}"))


def test_what_is_so_already_is_left_alone(browser):
    answer = browser.post(CHANGE, {"piece": BOTH, "put_in": "ossel.shelf"})
    assert "1 piece would change" in text(answer) and "1 is so already" in text(answer)
    browser.post(CHANGE, {"piece": BOTH, "put_in": "-", "sure": "1", "seen": revision()})
    assert "Nothing would change" in text(browser.post(CHANGE, {"piece": BOTH, "put_in": "-"}))
    answer = browser.post(CHANGE, {"piece": BOTH, "put_in": "-", "sure": "1", "seen": revision()})
    assert answer.status_code == 400 and "Nothing would change: choose pieces" in text(answer)


def test_what_was_changed_meanwhile_is_shown_first(browser, keeper):
    seen = revision()
    with act("meanwhile", keeper) as doing:
        doing.change("pieces", "new", name="Bowl")
    answer = browser.post(CHANGE, {"piece": BOTH, "put_in": "box", "sure": "1", "seen": seen})
    assert answer.status_code == 400 and "was changed meanwhile" in text(answer)
    assert of(BOTH, "place") == [(None,), ("ossel.shelf",)]
    assert browser.post(CHANGE, {"piece": BOTH, "put_in": "box", "sure": "1", "seen": "x"}).status_code == 400


def test_all_that_a_list_finds_on_every_page(browser, keeper):
    with act("many", keeper) as doing:
        doing.add(*(Piece(f"many.{n}", name="Saltbox") for n in range(60)))
    asked = {"all": "1", "words": "saltbox", "put_in": "box"}
    assert "60 pieces would change" in text(browser.post(CHANGE, asked))
    browser.post(CHANGE, asked | {"sure": "1", "seen": revision()})
    assert MODELS["pieces"].objects.filter(place="box").count() == 60


def test_more_than_are_changed_at_once_are_refused(browser, keeper, monkeypatch):
    monkeypatch.setattr("footring.web.pages.at_home.together.MOST", 1)
    answer = browser.post(CHANGE, {"piece": BOTH, "put_in": "box"})
    assert answer.status_code == 400 and "More than 1 pieces: expected at most so many at once" in text(answer)


@pytest.mark.parametrize(("field", "given"), [("put_in", "nowhere"), ("owner", "ossel.shelf")])
def test_only_what_is_offered_can_be_chosen(field, given, browser):
    answer = browser.post(CHANGE, {"piece": BOTH, field: given})
    assert answer.status_code == 400 and "expected one of those offered" in text(answer)


def test_nothing_chosen_is_told(browser):
    assert "No pieces were chosen" in text(browser.post(CHANGE, {}))


def test_others_pieces_are_neither_changed_nor_shown_to_exist(member, browser, keeper):
    assert member.post(CHANGE, {"piece": ["ossel.piece-8"], "put_in": "-"}).status_code == 403
    with act("hide", keeper) as doing:
        doing.change("pieces", "new", private=True)
    assert "No pieces were chosen" in text(member.post(CHANGE, {"piece": ["new"]}))
    everything = member.post(CHANGE, {"all": "1", "hide": "yes"})
    assert [piece.pk for piece, _ in everything.context["changes"]] == ["mine"]
    assert member.post(CHANGE, {"piece": ["mine"], "put_in": "box"}).status_code == 400


def test_others_changes_are_not_undone_by_a_member_nor_anything_else_here(member, browser, keeper):
    browser.post(CHANGE, {"piece": BOTH, "put_in": "box", "sure": "1", "seen": revision()})
    assert member.post(f"/at-home/undo/{Act.objects.first().pk}/").status_code == 404
    brought_in = Act.objects.order_by("pk").first()
    assert browser.post(f"/at-home/undo/{brought_in.pk}/").status_code == 404


def test_a_changed_piece_is_found_where_it_is_now(browser):
    browser.post(CHANGE, {"piece": ["new"], "put_in": "box", "sure": "1", "seen": revision()})
    found = browser.get("/at-home/?words=box+9").context["shown"]
    assert [one.piece.pk for one in found] == ["new"]
    shelve(["new"])
    assert [one.piece.pk for one in browser.get("/at-home/?place=box").context["shown"]] == ["new"]
