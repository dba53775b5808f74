"""Notes on a piece, the order of its photographs, and how what was noted is put right or taken away."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from footring.records.acts import act
from footring.records.models import MODELS, Act, Role, User
from footring.rows.collection import Acquisition, Condition, Note, Part, Photograph, Price
from footring.web.pages.piece.entry import entry_of
from tests.web.piece.test_changes import PIECE, current, text

pytestmark = pytest.mark.django_db
WHICH = "ossel.piece-8"


@pytest.fixture
def browser(demo, keeper, client_of):
    return client_of(keeper)


def add(keeper, *rows):
    with act("noted", keeper) as doing:
        doing.add(*rows)


def post(browser, to, **given):
    return browser.post(f"{PIECE}{to}/", given, follow=True)


def undo_last(browser):
    return browser.post(f"{PIECE}undo/{Act.objects.latest('pk').pk}/", follow=True)


def seen_by(role, client_of):
    return text(client_of(User.objects.create(username=f"a {role}", role=role)).get(PIECE))


# ---- notes


def test_a_note_is_seen_by_its_owner_s_side_alone(browser, client_of):
    assert "Only you and the curators see it" in text(post(browser, "note", text="Ask Ines about <the> lid"))
    assert "Ask Ines about <the> lid" in text(browser.get(PIECE))
    for role in (Role.MEMBER, Role.GUEST):
        assert "Ask Ines" not in seen_by(role, client_of)
    assert "Ask Ines" in seen_by(Role.CURATOR, client_of)


def test_a_note_that_is_shown_is_seen_by_guests_without_who_wrote_it(browser, client_of):
    post(browser, "note", text="From the railway buffet", shown="1")
    guest = seen_by(Role.GUEST, client_of)
    assert "From the railway buffet" in guest and "keeper" not in guest
    assert "keeper" in text(browser.get(PIECE)).split("From the railway buffet")[1].split("Correct")[0]


def test_a_note_is_corrected_and_what_stood_there_before_is_kept(browser, client_of):
    post(browser, "note", text="Bought in Ossel Fort", shown="1")
    first = current("notes").get()
    post(browser, "note", text="Bought in Ossel Ford", instead_of=first.pk)
    assert [(one.text, one.private, one.supersedes_id) for one in current("notes")] == [
        ("Bought in Ossel Ford", True, first.pk)
    ]
    assert "Ossel Fort" in text(browser.get(PIECE)).split("What was written before")[1]
    assert "Ossel F" not in seen_by(Role.GUEST, client_of)  # neither: the later one is private, the earlier is past
    undo_last(browser)
    assert [one.pk for one in current("notes")] == [first.pk]


def test_a_note_needs_words_and_what_was_typed_stays(browser):
    answer = post(browser, "note", text="  ", shown="1")
    assert answer.status_code == 400 and "the note: expected a word or two" in text(answer).lower()
    assert not MODELS["notes"].objects.exists()


def test_two_who_correct_one_note_are_both_shown(browser):
    post(browser, "note", text="one")
    first = current("notes").get()
    post(browser, "note", text="two", instead_of=first.pk)
    answer = post(browser, "note", text="three", instead_of=first.pk)
    assert answer.status_code == 409 and "two" in text(answer) and "three" in text(answer)
    post(browser, "note", text="three", instead_of=current("notes").get().pk)
    assert [one.text for one in current("notes")] == ["three"]


def test_a_note_is_taken_away_with_what_it_stood_in_the_place_of_and_that_undone(browser):
    post(browser, "note", text="one")
    post(browser, "note", text="two", instead_of=current("notes").get().pk)
    post(browser, "take-away", table="notes", row=current("notes").get().pk)
    assert not MODELS["notes"].objects.exists()
    assert "two" in text(browser.get(f"{PIECE}history/"))
    undo_last(browser)
    assert [one.text for one in current("notes")] == ["two"] and MODELS["notes"].objects.count() == 2


# ---- what was noted is put right, taken away, and that undone


def rows_of_each(keeper):
    add(
        keeper,
        Note("n", piece=WHICH, text="a note"),
        Condition("c", piece=WHICH, kind="damage", what="chip", place="rim"),
        Price("p", piece=WHICH, kind="asked", amount=12.5, currency="GBP", private=True),
        Acquisition("a", piece=WHICH, how="bought", got="2025", private=True),
        Part("box", piece=WHICH, name="box"),
    )
    met = MODELS["encounters"].objects.filter(piece=WHICH).first().pk
    return {"notes": "n", "conditions": "c", "prices": "p", "acquisitions": "a", "parts": "box", "encounters": met}


def test_each_is_taken_away_by_a_button_and_that_undone(browser, keeper):
    for table, row in rows_of_each(keeper).items():
        page = browser.get(PIECE).content.decode()
        assert f'name="table" value="{table}"><input type="hidden" name="row" value="{row}"' in page
        post(browser, "take-away", table=table, row=row)
        assert not MODELS[table].objects.filter(pk=row).exists(), table
        undo_last(browser)
        assert MODELS[table].objects.filter(pk=row).exists(), table


def test_what_is_no_longer_there_or_named_by_others_or_no_such_thing_is_told(browser, keeper):
    add(
        keeper,
        Part("box", piece=WHICH, name="box"),
        Condition("c", piece=WHICH, part="box", kind="damage", what="torn"),
    )
    assert "name what is to be taken away" in text(post(browser, "take-away", table="parts", row="box"))
    assert "nothing that is taken away here" in text(post(browser, "take-away", table="pieces", row=WHICH))
    assert "was taken away meanwhile" in text(post(browser, "take-away", table="notes", row="x"))
    assert "was taken away meanwhile" in text(post(browser, "condition", kind="damage", what="a", instead_of="x"))
    assert "was taken away meanwhile" in text(post(browser, "part", name="b", row="x"))
    assert MODELS["parts"].objects.filter(pk="box").exists()


def test_each_is_corrected(browser, keeper):
    rows_of_each(keeper)
    post(browser, "condition", instead_of="c", kind="damage", what="flea bite", where="rim, at 4 o’clock")
    post(browser, "price", instead_of="p", kind="asked", amount="15", currency="gbp")
    post(browser, "came", instead_of="a", how="given", got="May 2025")
    seen = MODELS["parts"].objects.get(pk="box").written_in_id
    post(browser, "part", row="box", seen=seen, name="Card box")
    assert current("conditions", supersedes="c").get().what == "flea bite"
    assert [(one.amount, one.supersedes_id) for one in current("prices")] == [(15.0, "p")]
    assert [(one.how, one.got, one.supersedes_id) for one in current("acquisitions")] == [("given", "2025-05", "a")]
    assert MODELS["parts"].objects.get(pk="box").name == "card box"
    undo_last(browser)
    assert MODELS["parts"].objects.get(pk="box").name == "box"


def test_what_a_form_does_not_ask_for_stays_as_it_was(browser, keeper):
    lid = MODELS["parts"].objects.filter(piece=WHICH, name="lid").get().pk
    add(
        keeper,
        Note("n", piece=WHICH, text="a note", part=lid),
        Price("p", piece=WHICH, kind="asked", amount=12.5, currency="GBP", place="ossel.shelf", private=True),
        Acquisition("a", piece=WHICH, how="bought", place="ossel.shelf", private=True),
    )
    post(browser, "note", instead_of="n", text="another")
    post(browser, "price", instead_of="p", kind="asked", amount="13", currency="GBP")
    post(browser, "came", instead_of="a", how="given")
    kept = [current("notes").get().part_id, current("prices").get().place_id, current("acquisitions").get().place_id]
    assert kept == [lid, "ossel.shelf", "ossel.shelf"]


def test_what_was_typed_to_correct_one_stays_a_correction_where_it_is_wrong(browser, keeper):
    rows_of_each(keeper)
    for where, row, given in (
        ("price", "p", {"kind": "asked", "amount": "a lot", "currency": "GBP"}),
        ("condition", "c", {"kind": "damage", "what": "", "where": "rim, at 4 o’clock"}),
        ("came", "a", {"how": "given", "got": "some day or other"}),
        ("note", "n", {"text": " "}),
    ):
        answer = post(browser, where, instead_of=row, **given)
        form = answer.content.decode().split('role="alert"')[1].split("</form>")[0]
        assert answer.status_code == 400 and f'name="instead_of" value="{row}"' in form
        assert all(value.strip() in form for value in given.values())


def test_what_was_paid_stays_where_only_how_it_came_is_corrected(browser):
    post(browser, "came", how="bought", amount="8", currency="GBP")
    first = current("acquisitions").get()
    post(browser, "came", how="exchanged", instead_of=first.pk)
    assert current("acquisitions").get().price_id == first.price_id is not None


# ---- photographs


@pytest.fixture
def pictures(keeper, demo):
    sides = ("foot", "whole", "mark", "inside")
    add(keeper, *(Photograph(f"f{n}", sha256=f"{n}", piece=WHICH, side=side) for n, side in enumerate(sides)))


def order(keeper):
    piece = MODELS["pieces"].objects.select_related("added_in").get(pk=WHICH)
    return [one.pk for one in entry_of(piece, keeper).photographs]


def move(browser, which, to, seen=None):
    seen = MODELS["photographs"].objects.get(pk=which).written_in_id if seen is None else seen
    return browser.post(f"/piece/photograph/{which}/move/", {"to": to, "seen": seen}, follow=True)


def test_photographs_are_put_into_an_order_and_back(browser, keeper, pictures):
    by_side = ["f1", "f3", "f0", "f2"]
    assert order(keeper) == by_side
    assert "Shown as 1 of 4." in text(move(browser, "f2", "first"))
    assert order(keeper) == ["f2", "f1", "f3", "f0"]
    move(browser, "f0", "earlier")
    assert order(keeper) == ["f2", "f1", "f0", "f3"]
    move(browser, "f2", "later")
    assert order(keeper) == ["f1", "f2", "f0", "f3"]
    undo_last(browser)
    assert order(keeper) == ["f2", "f1", "f0", "f3"]


def test_the_order_before_anybody_moved_one_comes_back(browser, keeper, pictures):
    move(browser, "f2", "first")
    undo_last(browser)
    assert order(keeper) == ["f1", "f3", "f0", "f2"]
    assert set(MODELS["photographs"].objects.values_list("position", flat=True)) == {None}


@pytest.mark.parametrize(("which", "to"), [("f1", "earlier"), ("f1", "first"), ("f2", "later"), ("f0", "sideways")])
def test_a_photograph_stays_where_it_cannot_go_further(which, to, browser, keeper, pictures):
    move(browser, which, to)
    assert order(keeper) == ["f1", "f3", "f0", "f2"]


def test_one_that_was_moved_meanwhile_is_not_moved_unseen(browser, keeper, pictures):
    seen = MODELS["photographs"].objects.get(pk="f2").written_in_id
    move(browser, "f2", "first")
    assert move(browser, "f2", "later", seen=seen).status_code == 409
    assert order(keeper)[0] == "f2"


def test_nobody_but_its_own_moves_it(keeper, pictures, client_of):
    for role, status in ((Role.MEMBER, 403), (Role.GUEST, 403)):
        who = client_of(User.objects.create(username=f"a {role}", role=role))
        assert who.post("/piece/photograph/f2/move/", {"to": "first"}).status_code == status


def test_several_sides_at_once_are_told_by_the_names_of_their_files(browser, keeper):
    files = []
    for name, colour in (("foot.jpg", "red"), ("Mark-2.JPG", "blue"), ("IMG_0031.jpg", "tan")):
        out = io.BytesIO()
        Image.new("RGB", (40, 30), colour).save(out, "JPEG")
        files.append(SimpleUploadedFile(name, out.getvalue(), content_type="image/jpeg"))
    browser.post(f"{PIECE}photograph/", {"photograph": files})
    assert sorted(str(one.side) for one in MODELS["photographs"].objects.filter(piece=WHICH)) == [
        "None",
        "foot",
        "mark",
    ]
