"""The label: what was read stands in it as fact, what follows as inference with its chance, the rest as blanks."""

import html
import re

import pytest

from footring.records.acts import act
from footring.records.models import Role, User
from footring.rows.collection import Attribution, Piece

pytestmark = pytest.mark.django_db
DISH = [("r", "line=Ormsley"), ("r", "form=covered dish"), ("r", "number=417"), ("r", "across=214 mm"),
        ("r", "mark=QUILLOW & T?RN / MADE IN ENGLAND"), ("r", "mark_kind=printed"), ("r", "date_code=none")]  # fmt: skip
HTMX = {"HTTP_HX_REQUEST": "true"}


def query(*pairs):
    return {name: [value for key, value in pairs if key == name] for name in dict(pairs)}


@pytest.fixture
def page(demo, keeper, client_of):
    browser = client_of(keeper)
    return lambda *pairs, **more: browser.get("/", query(*pairs), **more).content.decode()


def words(text, kind):
    """The words of one kind in the label, without their chances."""
    found = re.findall(rf'<a class="{kind}"[^>]*>(.*?)</a>', text, re.DOTALL)
    return [html.unescape(re.sub("<small>.*?</small>", "", word)) for word in found]


def test_the_first_label_is_all_blanks_and_says_what_to_do(page):
    text = page()
    assert "Turn it over. Type what stands there." in text
    assert (words(text, "seen"), words(text, "think")) == ([], [])
    assert len(words(text, "blank")) == 10
    assert "Put away" not in text


def test_a_form_is_called_as_each_reader_calls_it(page, keeper):
    assert "which form?" in words(page(), "blank")
    User.objects.filter(pk=keeper.pk).update(says_shape=True)
    assert "which shape?" in words(page(), "blank") and "which shape?" in page(("r", "glaze=Sedge"))


def test_what_was_read_stands_as_fact_and_what_follows_with_its_chance(page):
    text = page(*DISH)
    assert words(text, "seen") == [
        "round covered dish", "214 mm across", "Ormsley", "417",
        "mark “QUILLOW & T?RN / MADE IN ENGLAND”, printed", "a date code",
    ]  # fmt: skip
    assert {"Reed Heron", "Clear", "“QUILLOW & TARN / MADE IN ENGLAND”"} <= set(words(text, "think"))
    assert re.search(r">Clear<small>&nbsp;\d\d in 100</small>", text)
    assert "Looked for and not found: " in text and "Made between 1934 and" in text


def test_what_was_read_and_is_not_believed_is_told_beside_what_is_likelier(page):
    text = page(("r", "number=417"), ("r", "trim=green edge line"), ("r", "form=bottle vase"))
    assert "bottle vase" in words(text, "seen") and ", likelier " in text


def test_a_name_of_several_things_stands_as_it_was_read(page):
    text = page(("r", "line=Larder"), ("r", "form=jar"), ("r", "feature=wall: no ribs"))
    assert "jar" in words(text, "seen") and "ribbed jar" not in words(text, "seen")
    assert re.search(r", that is, <a [^>]*>Plain jar<", text)
    folded = page(("r", "line=Larder"), ("r", "form=jar"), ("r", "feature=wall: no ribs"), ("open", "form"))
    assert folded.count('id="fold"') == folded.count('id="w-form"') == 1


def test_a_piece_from_outside_is_said_to_be(page):
    text = page(("r", "mark=HASK MARLING / UPPER VOSS"), ("r", "maker=Hask Marling"), ("r", "form=bottle vase"))
    assert "Not in your reference," in text and "Nearest is " in text


def test_a_doubtful_reading_is_marked(page):
    assert re.search("Sedge<small>&nbsp;doubtful", page(("r", "glaze=Sedge ~0.6"), ("r", "line=Wherry")))


def test_cautions_stand_under_the_label_the_strong_ones_first(page):
    text = page(("r", "mark=LARDER / NOT OVENPROOF"))
    label, caution, why = (text.index(one) for one in ('class="label"', 'class="strong"', 'id="why"'))
    assert label < caution < why and "That holds for this piece" in text
    assert "Children and anyone expecting a child" in text


def test_years_are_drawn_and_told(page):
    text = page(*DISH)
    assert len(re.findall('<path class="curve"', text)) == 3
    assert re.search(r'role="img" aria-label="form designed in 1911, nine chances in ten; potted between', text)


def test_alternatives_fold_out_with_their_chances_and_can_be_taken(page):
    text = page(("r", "number=417"), ("open", "form"))
    fold = text[text.index('id="fold"') :]
    assert "Round covered dish" in fold and "in 100" in fold and "Can't tell" in fold
    assert 'href="?r=number%3D417&amp;r=form%3DRimmed+plate"' in fold
    assert 'aria-expanded="true"' in text
    assert "Take it back" in page(("r", "number=417"), ("open", "number"))


def test_where_twin_forms_differ_is_said_with_what_is_seen_on_each(page):
    text = page(("r", "form=jar"), ("r", "line=Larder"), ("open", "form"))
    assert "They differ at the <b>wall</b>" in text
    assert "feature%3Dwall%3A+three+ribs+under+the+rim" in text


def test_ruling_out_is_kept_in_the_address_and_changes_no_chance(page):
    known, out = (
        page(("r", "number=417"), ("open", "form")),
        page(("r", "number=417"), ("open", "form"), ("not", "forms/ossel.ormsley-plate")),
    )
    chance = r'Rimmed plate</a></span> <span class="chance">(.*?)<'
    assert re.search(chance, known)[1] == re.search(chance, out)[1]
    assert "you said: not this" in out and "the chances reckon only with what was seen" in out


def test_a_lid_has_a_label_of_its_own(page):
    text = page(("r", "form=covered dish"), ("r", "lid.glaze=Sedge"))
    assert "The lid, read apart" in text and "round dish lid" in text[text.index("The lid, read apart") :]


def test_a_word_that_cannot_be_used_is_told_beside_its_field_and_all_else_stands(page):
    text = page(("r", "number=417"), ("r", "across=200 hands"), ("r", "colour=blue"))
    assert "&#x27;hands&#x27; is not a unit of length" in text and 'value="across=200 hands" aria-invalid' in text
    assert "no reading is called &#x27;colour&#x27;: did you mean mark_colour?" in text
    assert words(text, "seen")[-1] == "417"


@pytest.mark.parametrize(
    "pairs",
    [
        [("r", "")], [("r", "x")], [("r", "=")], [("r", "mark=" + "Q" * 20000)], [("open", "nothing")], [("of", "x")],
        [("open", "r..mark.1")], [("r", "number=417"), ("open", "lid.form")], [("not", "x/y"), ("r", "line=Wherry")],
        [("r", "lid.made=when?")], [("r", "made=no year at all")], [("r", "glaze=#zz")],
        [("r", "feature=seat")], [("r", "numeral=1"), ("r", "numeral_kind=x")], [("t", "a" * 900)],
    ],
)  # fmt: skip
def test_odd_addresses_make_a_page(page, pairs):
    assert 'id="piece"' in page(*pairs)


def test_a_part_of_the_page_is_sent_to_who_asks_for_a_part(page):
    part = page(*DISH, **HTMX)
    assert "<html" not in part and 'id="said" hx-swap-oob' in part
    assert "<html" in page(*DISH, **HTMX, HTTP_HX_HISTORY_RESTORE_REQUEST="true")


def test_why_comes_later_or_when_it_is_asked_for(page, demo, keeper, client_of):
    assert "Number 417: speaks for it" not in page(*DISH)
    whole = page(*DISH, ("why", "yes"))
    later = client_of(keeper).get("/why/", query(*DISH)).content.decode()
    for text in (whole, later):
        assert "Number 417: speaks for it" in text and "Look next at <b>" in text and "price list, spring 1934" in text
        assert "The weights" in text


def test_what_is_unusual_is_said(page):
    text = page(("r", "line=Pennant"), ("r", "decoration=Bulrush"), ("why", "yes"))
    assert "Unusual" in text and "Not recorded before: no piece and no document names this treatment" in text


def test_a_lid_that_was_never_issued_with_its_base_fights(page):
    dish = [("r", "line=Ormsley"), ("r", "form=covered dish"), ("r", "decoration=Reed Heron")]
    text = page(*dish, ("r", "lid.decoration=Plain"), ("why", "yes"))
    assert "What fights" in text and "The lid and the base." in text and "replacement lid" in text


def test_pieces_like_it_are_named_with_a_way_to_them(page):
    text = page(*DISH)
    assert "At home: 2 like it. 2 of this form met in all." in text
    assert re.search(r'<a href="/piece/[^"]+/" hx-boost="false">Covered dish</a>: the same decoration', text)


def test_the_nearest_few_stand_first_those_of_its_decoration_and_glaze_before_others(page, keeper):
    with act("many", keeper) as doing:
        for n, (decoration, glaze) in enumerate(
            [("bulrush", "clear"), ("reed-heron", "brown"), ("reed-heron", "clear"), ("bulrush", "brown")] * 2
        ):
            doing.add(
                Piece(f"p{n}", name=f"Dish {n}"),
                Attribution(f"a{n}", piece=f"p{n}", line="ossel.ormsley", form="ossel.ormsley-dish", basis="confirmed",
                            decoration=f"ossel.{decoration}", glaze=f"ossel.{glaze}", weight=1.0),
            )  # fmt: skip
    text = page(*DISH)
    assert "10 of this form met in all." in text
    assert re.findall(r'<a href="/piece/[^"]+/" hx-boost="false">([^<]*)</a>:', text) == [
        "Dish 2", "Dish 6", "Covered dish", "a piece without a name", "Dish 1"]  # fmt: skip


def test_a_member_does_not_learn_where_others_keep_things(demo, client_of):
    member = client_of(User.objects.create(username="m", role=Role.MEMBER))
    text = member.get("/", query(*DISH, ("open", "away"))).content.decode()
    assert "Covered dish" in text and "None like it is at home" in text and "(Shelf 2" not in text


def test_an_empty_collection_dates_a_mark_and_puts_a_piece_away(keeper, client_of):
    """Country names in English on a mark: from 1891 (United States tariff act of 1890)."""
    browser = client_of(keeper)
    pairs = query(("r", "mark=QUILLOW / ENGLAND"), ("t", "417 impressed, 184 mm, plate"), ("open", "form"))
    text = browser.get("/", pairs).content.decode()
    assert "Your reference holds no lines yet" in text and "Made " in text and "the figure 417, impressed" in text
    assert browser.post("/put-away/", query(("r", "mark=QUILLOW / ENGLAND"))).status_code == 302
    assert "Put away: a piece without a name" in browser.get("/").content.decode()


def test_a_guest_is_refused(demo, client_of):
    guest = client_of(User.objects.create(username="g", role=Role.GUEST))
    assert [guest.get(path).status_code for path in ("/", "/why/")] == [403, 403]


def test_the_label_asks_the_database_little(demo, keeper, client_of, django_assert_num_queries):
    browser = client_of(keeper)
    browser.get("/", query(*DISH))
    with django_assert_num_queries(6):
        browser.get("/", query(*DISH), **HTMX)
