"""A piece as a catalogue entry: who sees what of it, what can be said of it, and what happens when two say it at once."""

import pytest

from footring.records.models import MODELS, Change, Role, User

pytestmark = pytest.mark.django_db
PIECE = "/piece/ossel.piece-8/"
PRIVATE = ("Fenwick Road", "Shelf 2", "Ines Marrable", "Put away in")


@pytest.fixture
def person(client_of):
    return lambda role, name=None: client_of(User.objects.create(username=name or role, role=role))


def text(answer):
    return answer.content.decode()


def test_the_entry_is_read_from_top_to_foot(demo, keeper, client_of):
    page = text(client_of(keeper).get(PIECE))
    told = ["Reed Heron", "A laboratory", "What it was said to be", "base: number", "looked for and not found",
            "From the making", "stilt marks", "Damage", "flea bite", "Fenwick Road", "What was done to it"]  # fmt: skip
    places = [page.index(one) for one in told]
    assert places == sorted(places)


@pytest.mark.parametrize("role", [Role.MEMBER, Role.GUEST])
def test_where_it_is_and_what_it_cost_is_seen_by_who_may_change_it(role, demo, person):
    page = text(person(role).get(PIECE))
    assert "Reed Heron" in page
    assert [word for word in PRIVATE if word in page and word != "Ines Marrable"] == []
    assert "<form" not in page.split("<main")[1]


def test_a_private_piece_is_not_there_for_others(demo, person):
    MODELS["pieces"].objects.filter(pk="ossel.piece-8").update(private=True)
    assert [person(role, f"a {role}").get(PIECE).status_code for role in Role] == [200, 200, 404, 404]


def test_nobody_but_its_own_changes_it(demo, person):
    for role in (Role.MEMBER, Role.GUEST):
        assert person(role, f"other {role}").post(PIECE + "name/", {"name": "Mine"}).status_code == 403
    assert MODELS["pieces"].objects.get(pk="ossel.piece-8").name is None


def test_a_reading_is_added_and_corrected_and_none_is_lost(demo, keeper, client_of):
    browser = client_of(keeper)
    browser.post(PIECE + "reading/", {"name": "base.height", "value": "62 mm"})
    added = MODELS["readings"].objects.get(name="height")
    assert (added.value, added.part.name, added.recorded_by) == ("62 mm", "base", "keeper")
    browser.post(PIECE + "reading/", {"name": "base.height", "value": "64 mm ~0.8", "instead_of": added.pk})
    now = MODELS["readings"].objects.current().get(name="height")
    assert (now.value, now.sure, now.supersedes_id) == ("64 mm", 0.8, added.pk)
    assert MODELS["corrections"].objects.get().reading_id == added.pk
    assert "What was read before" in text(browser.get(PIECE))


def test_a_reading_that_cannot_be_read_is_told_and_kept_in_its_field(demo, keeper, client_of):
    answer = client_of(keeper).post(PIECE + "reading/", {"name": "across", "value": "two hands"})
    assert answer.status_code == 400
    assert "two hands" in text(answer) and 'role="alert"' in text(answer)
    assert not MODELS["readings"].objects.filter(value="two hands").exists()


def test_not_this_is_remembered_with_its_reason(demo, keeper, client_of):
    browser = client_of(keeper)
    browser.post(PIECE + "attribution/", {"not_this": "1", "reason": "the rim is scalloped"})
    rejected = MODELS["rejections"].objects.get()
    assert (rejected.subject_table, rejected.reason) == ("forms", "the rim is scalloped")
    assert [one.weight for one in MODELS["attributions"].objects.current().filter(piece="ossel.piece-8")] == [0.0]
    assert "Rejected by keeper" in text(browser.get(PIECE))


def test_the_second_of_two_who_rename_it_chooses(demo, keeper, client_of):
    seen = MODELS["pieces"].objects.get(pk="ossel.piece-8").written_in_id
    client_of(keeper).post(PIECE + "name/", {"name": "The heron dish", "seen": seen})
    curator = client_of(User.objects.create(username="cara", role=Role.CURATOR))
    answer = curator.post(PIECE + "name/", {"name": "Lidless", "seen": seen})
    assert answer.status_code == 409
    assert all(name in text(answer) for name in ("The heron dish", "Lidless", "changed meanwhile by keeper"))
    assert MODELS["pieces"].objects.get(pk="ossel.piece-8").name == "The heron dish"
    curator.post(PIECE + "name/", {"name": "Lidless"})
    assert MODELS["pieces"].objects.get(pk="ossel.piece-8").name == "Lidless"


def test_what_was_done_is_undone_from_the_history(demo, keeper, client_of):
    browser = client_of(keeper)
    browser.post(PIECE + "name/", {"name": "The heron dish"})
    act = Change.objects.get().act_id
    assert "Rename" in text(browser.get(PIECE + "history/"))
    browser.post(f"{PIECE}undo/{act}/")
    assert MODELS["pieces"].objects.get(pk="ossel.piece-8").name is None
    assert browser.post(f"{PIECE}undo/999999/").status_code == 404


def test_a_fault_of_a_kind_there_is_none_of_is_told(demo, keeper, client_of):
    answer = client_of(keeper).post(PIECE + "condition/", {"kind": "magic", "what": "chip"})
    assert answer.status_code == 400 and "magic" in text(answer)


def test_a_price_is_private_and_needs_a_number(demo, keeper, client_of, person):
    browser = client_of(keeper)
    assert "expected a number" in text(browser.post(PIECE + "price/", {"kind": "sold", "amount": "a tenner"}))
    browser.post(PIECE + "price/", {"kind": "asked", "amount": "12.5", "currency": "GBP", "dated": "2026-05"})
    assert "12.5 GBP" in text(browser.get(PIECE)) and "An asked price is no sale" in text(browser.get(PIECE))
    assert "12.5" not in text(person(Role.GUEST).get(PIECE))


def test_the_entry_takes_as_many_queries_whatever_it_holds(demo, keeper, client_of, django_assert_max_num_queries):
    browser = client_of(keeper)
    browser.get(PIECE)
    with django_assert_max_num_queries(24):
        browser.get(PIECE)
