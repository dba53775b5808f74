"""What can be said of a piece, what happens when two say it at once, and how it is taken back."""

import html
import re

import pytest

from footring.records.acts import act
from footring.records.known import known
from footring.records.models import MODELS, Act, Role, User
from footring.rows.collection import Attribution, Piece

pytestmark = pytest.mark.django_db
PIECE = "/piece/ossel.piece-8/"
LID = {"line": "ossel.ormsley", "form": "ossel.ormsley-lid", "body": "ossel.buff", "glaze": "ossel.clear",
       "decoration": "ossel.plain", "trim": "ossel.no-trim"}  # fmt: skip
POSTS = "name place private part condition price came line reading correct this not-this keep photograph".split()


@pytest.fixture
def browser(demo, keeper, client_of):
    return client_of(keeper)


@pytest.fixture
def curator(demo, client_of):
    return client_of(User.objects.create(username="cara", role=Role.CURATOR))


def text(answer):
    return html.unescape(re.sub(r"<[^>]+>", "", answer.content.decode().split("<main")[1]))


def stored(table="pieces", **which):
    return MODELS[table].objects.get(**(which or {"pk": "ossel.piece-8"}))


def current(table, **which):
    return MODELS[table].objects.current().filter(piece="ossel.piece-8", **which)


@pytest.mark.parametrize("what", POSTS)
def test_nobody_but_its_own_changes_it(what, demo, client_of):
    before = Act.objects.count()
    statuses = [
        client_of(User.objects.create(username=f"a {role}", role=role)).post(f"{PIECE}{what}/").status_code
        for role in (Role.MEMBER, Role.GUEST)
    ]
    assert (statuses, Act.objects.count()) == ([403, 403], before)


# ---- readings


def test_a_line_is_understood_confirmed_and_kept(browser):
    asked = browser.get(PIECE, {"t": "417 green printed, no date code, glorp"})
    assert all(one in text(asked) for one in ("the figure 417, green printed", "looked for a date code", "glorp"))
    before = Act.objects.count()
    browser.post(PIECE + "line/", {"t": "417 green printed, no date code", "c0": "0", "c1": "0"})
    read = {(one.name, one.value, one.absent) for one in current("readings", part=None)}
    assert read == {("numeral", "417", False), ("numeral_kind", "green printed", False), ("date_code", None, True)}
    assert Act.objects.count() == before + 1
    assert current("findings", part=None).count() == 1


def test_a_second_mark_stands_beside_the_first(browser):
    for mark in ("QUILLOW", "ORMSLEY"):
        browser.post(PIECE + "line/", {"t": f"mark {mark}", "c0": "0"})
    assert sorted(one.name for one in current("readings", part=None)) == ["mark", "mark.2"]


def test_nothing_is_taken_that_was_left_out(browser):
    answer = browser.post(PIECE + "line/", {"t": "184 mm", "c0": "-"})
    assert answer.status_code == 400 and "nothing of that was taken" in text(answer)


def test_a_reading_is_added_by_its_name_with_how_it_was_read(browser):
    given = {"name": "height", "part": "base", "value": "62 mm", "sure": "0.7", "instrument": "ossel.calliper"}
    browser.post(PIECE + "reading/", given)
    added = stored("readings", name="height")
    assert (added.value, added.part.name, added.sure, added.instrument_id) == ("62 mm", "base", 0.7, "ossel.calliper")
    assert added.recorded_by == "keeper" and "70 in 100 sure, with Outside calliper" in text(browser.get(PIECE))


def test_what_was_looked_for_in_vain_is_kept_as_that(browser):
    browser.post(PIECE + "reading/", {"name": "label", "absent": "1"})
    assert (stored("readings", name="label").absent, stored("readings", name="label").value) == (True, None)


def test_a_reading_on_a_box_makes_the_box_a_part(browser):
    browser.post(PIECE + "part/", {"name": "Box"})
    browser.post(PIECE + "reading/", {"name": "label", "part": "box", "value": "A GIFT"})
    assert stored("readings", name="label").part.name == "box"
    assert "this piece has one already" in text(browser.post(PIECE + "part/", {"name": "box"}))


def test_to_correct_a_reading_one_begins_with_how_it_was_read(browser):
    form = browser.get(PIECE).content.decode().split('value="ossel.rd-2"')[1].split("</form>")[0]
    assert 'value="213.5 mm"' in form and '<option value="ossel.calliper" selected>' in form


def test_a_reading_is_corrected_and_what_was_read_before_is_kept(browser):
    browser.post(PIECE + "correct/", {"instead_of": "ossel.rd-1", "value": "418", "reason": "raking light"})
    now = stored("readings", supersedes="ossel.rd-1")
    assert (now.name, now.value, now.part_id) == ("number", "418", "ossel.piece-8-base")
    assert stored("readings", pk="ossel.rd-1").value == "417"
    correction = stored("corrections", reading="ossel.rd-1")
    assert (correction.value, correction.reason) == ("418", "raking light")
    assert "Corrected: raking light" in text(browser.get(PIECE))


def test_the_second_who_corrects_a_reading_is_shown_both(browser, curator):
    browser.post(PIECE + "correct/", {"instead_of": "ossel.rd-1", "value": "418"})
    answer = curator.post(PIECE + "correct/", {"instead_of": "ossel.rd-1", "value": "477", "reason": "mine"})
    assert answer.status_code == 409
    assert all(one in text(answer) for one in ("418", "477", "corrected meanwhile by keeper", "Nothing was written"))
    curator.post(PIECE + "correct/", again(answer))
    [number] = current("readings", name="number", part__name="base")
    assert (number.value, number.recorded_by, number.supersedes.value) == ("477", "cara", "418")


def test_a_reading_taken_back_meanwhile_is_told(browser):
    answer = browser.post(PIECE + "correct/", {"instead_of": "gone", "value": "418"})
    assert answer.status_code == 400 and "taken back meanwhile" in text(answer)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"name": "across", "value": "two hands"}, "two hands"),
        ({"name": "glorp", "value": "x"}, "no reading is called 'glorp'"),
        ({"name": "across", "value": ""}, "across: expected what was seen"),
    ],
)
def test_a_reading_that_cannot_be_read_is_told_and_stays_in_its_field(given, told, browser):
    before = Act.objects.count()
    answer = browser.post(PIECE + "reading/", given)
    assert answer.status_code == 400 and told in text(answer)
    assert f'value="{given["name"]}"' in answer.content.decode()
    assert Act.objects.count() == before


def test_what_is_known_is_of_the_act_that_added_a_reading(browser):
    browser.post(PIECE + "reading/", {"name": "height", "value": "62 mm"})
    tables = known().reference.tables
    assert tables["readings"].ids.find(stored("readings", name="height").pk) >= 0


# ---- what it is


def again(answer):
    """What the page of two versions sends when one insists."""
    fields = re.findall(
        r'<input type="hidden" name="([^"]+)" value="([^"]*)"', answer.content.decode().split("<main")[1]
    )
    return {name: value for name, value in fields if name != "csrfmiddlewaretoken"}


def said():
    return [one for one in current("attributions", part=None) if one.weight]


def test_not_this_is_remembered_with_its_reason_and_the_rest_stays(browser):
    browser.post(PIECE + "not-this/", {"column": "glaze", "reason": "it is matt", "instead_of": "ossel.a-8"})
    rejected = stored("rejections", piece="ossel.piece-8")
    assert (rejected.subject_table, rejected.subject, rejected.reason) == ("glazes", "ossel.clear", "it is matt")
    [left] = said()
    assert (left.glaze_id, left.form_id, left.basis) == (None, "ossel.ormsley-dish", "confirmed")
    assert "Not Clear: it is matt" in text(browser.get(PIECE))


def test_without_its_line_nothing_is_said_any_more(browser):
    browser.post(PIECE + "not-this/", {"column": "line", "reason": "another pottery"})
    assert said() == []
    assert "Nobody has said yet" in text(browser.get(PIECE))


def test_nothing_can_be_rejected_that_is_not_said(browser):
    answer = browser.post(PIECE + "not-this/", {"column": "customer"})
    assert answer.status_code == 400 and "nothing to reject" in text(answer)


def test_what_follows_from_the_readings_is_confirmed(browser):
    browser.post(PIECE + "not-this/", {"column": "line"})
    page = browser.get(PIECE)
    assert "It is this, on my word: Round covered dish of Ormsley" in text(page)
    form = page.content.decode().split('action="/piece/ossel.piece-8/this/"')[1].split("</form>")[0]
    browser.post(PIECE + "this/", dict(re.findall(r'name="([^"]+)" value="([^"]*)"', form)))
    [one] = said()
    assert (one.form_id, one.weight, one.basis) == ("ossel.ormsley-dish", 1.0, "confirmed")


def test_the_second_who_says_what_it_is_is_shown_both(browser, curator):
    browser.post(PIECE + "not-this/", {"column": "glaze", "instead_of": "ossel.a-8"})
    answer = curator.post(PIECE + "this/", {"line": "ossel.wherry", "instead_of": "ossel.a-8"})
    assert answer.status_code == 409 and "Round covered dish of Ormsley" in text(answer) and "Wherry" in text(answer)
    assert [one.line_id for one in said()] == ["ossel.ormsley"]
    curator.post(PIECE + "this/", again(answer))
    assert [one.line_id for one in said()] == ["ossel.wherry"]


def test_a_new_reading_proposes_anew_where_nobody_said(browser):
    browser.post(PIECE + "not-this/", {"column": "line"})
    browser.post(PIECE + "reading/", {"name": "form", "value": "Round covered dish", "part": "base"})
    [first] = said()
    assert (first.basis, first.form_id) == ("proposed", "ossel.ormsley-dish")
    browser.post(PIECE + "reading/", {"name": "glaze", "value": "Clear", "part": "base"})
    [second] = said()
    assert second.supersedes_id == first.pk and second.weight > first.weight


def test_a_new_reading_of_the_lid_proposes_anew_what_the_lid_is(browser, keeper):
    with act("confirm", keeper) as doing:
        doing.add(
            Piece("alone", name="A lid"), Attribution("a lid", piece="alone", **LID, weight=1.0, basis="confirmed")
        )
    last = None
    for name, value in (("line", "Ormsley"), ("glaze", "Clear")):
        browser.post(PIECE + "reading/", {"name": name, "value": value, "part": "lid"})
        [proposed] = current("attributions", part="ossel.piece-8-lid")
        assert (proposed.basis, proposed.form_id, proposed.supersedes) == ("proposed", LID["form"], last)
        assert last is None or proposed.weight > last.weight
        last = proposed
    assert [one.pk for one in said()] == ["ossel.a-8"], "what the piece itself is said to be stays"


# ---- the piece itself


def test_the_second_of_two_who_rename_it_chooses(browser, curator):
    seen = stored().written_in_id
    browser.post(PIECE + "name/", {"name": "The heron dish", "seen": seen})
    answer = curator.post(PIECE + "name/", {"name": "Lidless", "seen": seen})
    assert answer.status_code == 409
    assert all(one in text(answer) for one in ("The heron dish", "Lidless", "changed meanwhile by keeper"))
    assert stored().name == "The heron dish"
    browser.post(PIECE + "name/", {"name": "A third name"})
    third = curator.post(PIECE + "name/", again(answer))
    assert third.status_code == 409 and "A third name" in text(third)
    curator.post(PIECE + "name/", again(third))
    assert stored().name == "Lidless"


def test_two_versions_name_places_as_people_do(browser, curator):
    seen = stored().written_in_id
    browser.post(PIECE + "place/", {"place": "Back room", "seen": seen})
    answer = curator.post(PIECE + "place/", {"place": "fenwick road fair", "seen": seen})
    assert "Back room" in text(answer) and "Fenwick Road fair" in text(answer) and "ossel." not in text(answer)


def test_a_place_is_made_once_and_found_however_it_is_written(browser):
    before = MODELS["places"].objects.count()
    for name in ("Attic", "attic", "shelf 2, front room"):
        browser.post(PIECE + "place/", {"place": name})
    assert (stored().place_id, MODELS["places"].objects.count()) == ("ossel.shelf", before + 1)
    browser.post(PIECE + "place/", {"place": ""})
    assert "Where it stands is not noted" in text(browser.get(PIECE))


def test_it_is_kept_private_and_no_longer(browser, client_of):
    guest = client_of(User.objects.create(username="guest", role=Role.GUEST))
    browser.post(PIECE + "private/", {"private": "1", "seen": stored().written_in_id})
    assert guest.get(PIECE).status_code == 404
    browser.post(PIECE + "private/", {"seen": stored().written_in_id})
    assert guest.get(PIECE).status_code == 200


@pytest.mark.parametrize(
    ("what", "given", "told"),
    [
        ("condition", {"kind": "magic", "what": "chip"}, "magic"),
        ("condition", {"kind": "damage", "what": ""}, "what is seen: expected a word or two"),
        ("condition", {"kind": "damage", "what": "chip", "part": "of-another"}, "that part is gone"),
        ("price", {"kind": "sold", "amount": "a tenner", "currency": "GBP"}, "'a tenner': expected a number"),
        ("price", {"kind": "sold", "amount": "-3", "currency": "GBP"}, "'-3': expected a number"),
        ("price", {"kind": "sold", "amount": "nan", "currency": "GBP"}, "'nan': expected a number"),
        ("came", {"how": "stolen"}, "stolen"),
        ("came", {"how": "bought", "got": "5/12/38"}, "5/12/38"),
        ("came", {"how": "bought", "amount": "10"}, "currency: expected a word"),
        ("this", {"form": "ossel.ormsley-dish"}, "line: expected one of your reference's lines"),
    ],
)
def test_what_is_wrong_is_told_and_nothing_is_written(what, given, told, browser):
    before = Act.objects.count()
    answer = browser.post(f"{PIECE}{what}/", given)
    assert answer.status_code == 400 and told in text(answer)
    assert answer.content.decode().count('role="alert"') == 1
    assert Act.objects.count() == before


def test_whom_it_came_from_and_for_how_much_is_private(browser):
    browser.post(PIECE + "came/", {"how": "bought", "from_whom": "Stallholder", "amount": "18", "currency": "GBP"})
    came = stored("acquisitions", piece="ossel.piece-8")
    assert [came.private, came.price.private, came.from_whom.private] == [True, True, True]


# ---- history


def test_history_says_what_each_act_did_and_takes_it_back(browser):
    browser.post(PIECE + "name/", {"name": "The heron dish"})
    browser.post(PIECE + "condition/", {"kind": "damage", "what": "chip"})
    page = text(browser.get(PIECE + "history/"))
    assert "name: nothing before, “The heron dish” after" in page and "condition: chip" in page
    renamed = Act.objects.get(what="Rename").pk
    browser.post(f"{PIECE}undo/{renamed}/")
    assert stored().name is None and current("conditions", what="chip").exists()
    browser.get(PIECE)
    page = text(browser.get(PIECE + "history/"))
    assert page.count("Rename ") == 2 and page.count("Undone, ") == 1


def test_what_was_added_and_undone_is_still_told(browser):
    browser.post(PIECE + "condition/", {"kind": "damage", "what": "chip"})
    noted = Act.objects.get(what="Note its condition").pk
    browser.post(f"{PIECE}undo/{noted}/")
    browser.get(PIECE)
    page = text(browser.get(PIECE + "history/"))
    assert "taken away: condition: chip" in page and page.count("ote its condition ") == 2
    assert browser.post(f"{PIECE}undo/{noted}/").status_code == 404


def test_what_something_later_rests_on_cannot_be_undone_and_that_is_told(browser):
    browser.post(PIECE + "reading/", {"name": "height", "value": "62 mm"})
    browser.post(PIECE + "correct/", {"instead_of": stored("readings", name="height").pk, "value": "64 mm"})
    first = Act.objects.get(what="Add a reading").pk
    answer = browser.post(f"{PIECE}undo/{first}/")
    assert answer.status_code == 409 and "undo what was done later first" in text(answer)
    assert current("readings", name="height").get().value == "64 mm"
    browser.post(f"{PIECE}undo/{Act.objects.get(what='Correct a reading').pk}/")
    browser.post(f"{PIECE}undo/{first}/")
    assert not MODELS["readings"].objects.filter(name="height").exists()


def test_what_came_with_other_pieces_is_not_taken_back_from_the_page_of_one(browser):
    brought_in = stored().added_in_id
    assert "It came with 7 others" in text(browser.get(PIECE + "history/"))
    assert browser.post(f"{PIECE}undo/{brought_in}/").status_code == 404
    assert browser.post(f"{PIECE}undo/999999/").status_code == 404


def test_a_member_takes_back_only_what_they_did(browser, client_of, keeper):
    member = User.objects.create(username="member", role=Role.MEMBER)
    with act("put away", member) as doing:
        doing.add(Piece("own"))
    browser.post("/piece/own/name/", {"name": "Named by the keeper"})
    page = client_of(member)
    assert page.post(f"/piece/own/undo/{Act.objects.get(what='Rename').pk}/").status_code == 404
    assert stored(pk="own").name == "Named by the keeper"


def test_with_the_piece_itself_undone_there_is_no_page_to_go_back_to(browser, keeper):
    with act("put away", keeper) as doing:
        doing.add(Piece("own"))
    answer = browser.post(f"/piece/own/undo/{doing.act.pk}/")
    assert (answer.status_code, answer.headers["Location"]) == (302, "/")


def test_how_many_queries_the_history_takes(browser, django_assert_num_queries):
    for n in range(3):
        browser.post(PIECE + "condition/", {"kind": "damage", "what": f"chip {n}"})
        browser.post(PIECE + "name/", {"name": f"Name {n}"})
    with django_assert_num_queries(25):
        browser.get(PIECE + "history/")
