"""The pages of the reference: what they tell, to whom, and in how many queries. The demo pottery is the oracle."""

import re
from html import unescape

import pytest

from footring.records.acts import act
from footring.records.models import MODELS, Role, User
from footring.rows.reference_things import Customer, Decoration, Form, Line, Name, Size, Source
from footring.rows.statements import Claim, MarkUse, Number, Production

pytestmark = pytest.mark.django_db
PAGES = {
    "/reference/": 7,
    "/reference/?q=ormsley": 22,
    "/reference/concordance/": 11,
    "/reference/concordance/?q=417": 9,
    "/reference/marks/": 6,
    "/reference/customers-and-hands/": 6,
    "/reference/names/": 7,
    "/reference/makers/ossel.quillow": 11,
    "/reference/lines/ossel.ormsley": 17,
    "/reference/forms/ossel.ormsley-dish": 17,
    "/reference/things/decorations/ossel.reed-heron": 10,
    "/reference/said/decorations/ossel.reed-heron?property=designed": 11,
    "/reference/met/ossel.ormsley?form=ossel.ormsley-dish": 10,
}
"""Addresses, and the most queries that each may take; session and account are two of them."""


@pytest.fixture
def browser(demo, keeper, client_of):
    return client_of(keeper)


@pytest.fixture
def guest(demo, client_of):
    return client_of(User.objects.create(username="guest", role=Role.GUEST))


def text(browser, address, status=200):
    answer = browser.get(address)
    assert answer.status_code == status, answer.content.decode()[-500:]
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", answer.content.decode())).split())


@pytest.mark.parametrize("address", PAGES)
def test_queries_are_few_and_as_many_for_more_rows(address, browser, keeper, django_assert_max_num_queries):
    browser.get(address)
    with django_assert_max_num_queries(PAGES[address]) as taken:
        browser.get(address)
        before = len(taken)
    with act("more of everything", keeper) as doing:
        for n in range(12):
            doing.add(
                Decoration(f"x.d{n}", maker="ossel.quillow", name=f"Heron {n}", technique="transfer"),
                Form(f"x.f{n}", line="ossel.ormsley", name=f"Dish {n}", mould="ossel.mould-12"),
                Size(f"x.s{n}", form=f"x.f{n}", across_mm=100.0 + n, high_mm=40.0),
                Size(f"x.t{n}", form="ossel.ormsley-dish", across_mm=200.0 + n, high_mm=40.0),
                Line(f"x.l{n}", maker="ossel.quillow", name=f"Line {n}"),
                Customer(f"x.c{n}", name=f"Hotel {n}"),
                Name(f"x.n{n}", thing_table="decorations", thing=f"x.d{n}", name=f"the bird {n}", kind="shop"),
                Number(f"x.o{n}", line="ossel.ormsley", code=f"417/{n}", decoration=f"x.d{n}"),
                Production(
                    f"x.p{n}", line="ossel.ormsley", form="ossel.ormsley-dish", decoration="ossel.reed-heron",
                    customer=f"x.c{n}", made=f"19{20 + n}",
                ),
                MarkUse(f"x.u{n}", mark="ossel.m-england", line="ossel.ormsley", used=f"19{30 + n}"),
                Claim(
                    f"x.k{n}", subject_table="decorations", subject="ossel.reed-heron", property="designed",
                    value=f"19{20 + n}", source="ossel.ledger-b", firmness="printed", stance="for",
                ),
            )  # fmt: skip
    browser.get(address)
    with django_assert_max_num_queries(before):
        browser.get(address)


def test_a_line_tells_what_the_pack_holds(browser):
    page = text(browser, "/reference/lines/ossel.ormsley")
    assert "A line of Quillow & Tarn Works . 3 forms in your reference; 4 pieces met." in page
    assert "Met in 3 treatments, on 2 of 3 forms. All in Hotel body." in page
    assert "Plain, Green edge line: 1911-38 Ossel Ford and its potters, 1996" in page
    assert "Not measured: Round dish lid" in page


def test_lengths_and_words_are_as_the_reader_wants_them(browser, keeper):
    User.objects.filter(pk=keeper.pk).update(inches=True, says_shape=True, whole_years=True)
    page = text(browser, "/reference/lines/ossel.ormsley")
    assert "3 shapes in your reference" in page and "1911-1938" in page
    assert "10 in, 9 15/16 in" in page  # 252.5 mm to the sixteenth


def test_forms_are_drawn_to_one_scale(browser):
    page = browser.get("/reference/lines/ossel.ormsley").content.decode()
    drawn = re.findall(r'<svg width="(\d+)" height="(\d+)" viewBox="\S+ \S+ (\d+) (\d+)" role="img"', page)
    scales = [int(width) / int(box) for width, _, box, _ in drawn]
    assert len(drawn) == 3 and max(scales) - min(scales) < 0.01


def test_what_was_not_met_is_dashed_and_said(browser):
    assert 'class="absent"' in browser.get("/reference/lines/ossel.scarside").content.decode()
    assert 'class="absent"' not in browser.get("/reference/lines/ossel.ormsley").content.decode()


def test_a_form_tells_its_twins_its_lid_its_mould_and_its_sizes(browser):
    page = text(browser, "/reference/forms/ossel.ormsley-dish")
    assert "From the Covered dish (Wherry)" in page
    assert "Look at the knob of the lid: here round, with a ring cut below it ; there flattened, no ring ." in page
    assert "Round dish lid (Ormsley)" in page and "not a marriage" in page
    assert "No. 12 round dish ; from it too: Covered dish (Wherry)" in page
    assert "beside the recorded sizes: 1 piece, 214 mm." in page
    twin = text(browser, "/reference/forms/ossel.wherry-dish")
    assert "here flattened, no ring ; there round, with a ring cut below it ." in twin


def test_each_replaced_form_names_the_other(browser):
    assert "Replaced by the Plain jar (Larder)." in text(browser, "/reference/forms/ossel.larder-jar")
    assert "It replaced the Ribbed jar (Larder)." in text(browser, "/reference/forms/ossel.larder-jar-2")


def test_nursery_ware_always_shows_the_caution_for_children(browser):
    assert "Nursery ware: children take up more lead than adults" in text(browser, "/reference/lines/ossel.pennant")


@pytest.mark.parametrize(
    ("value", "caution"),
    [
        ("Ovenproof, from larder to table", "it covers neither the line nor a base's lid"),
        ("bakes to perfection in your oven", "it covers neither the line nor a base's lid"),
        ("graces the table", "This is not an assessment"),
    ],
)
def test_a_selling_claim_is_quoted_with_its_caution_beside_it(value, caution, browser, keeper):
    with act("claim", keeper) as doing:
        doing.add(Claim("x.k", subject_table="lines", subject="ossel.larder", property="advertised as", value=value,
                        source="ossel.ad-1952", firmness="printed", stance="for"))  # fmt: skip
    page = browser.get("/reference/lines/ossel.larder").content.decode()
    assert f"<q>{value}</q>" in page
    assert caution in text(browser, "/reference/lines/ossel.larder")


def test_history_is_told_without_a_caution(browser, keeper):
    with act("claim", keeper) as doing:
        doing.add(Claim("x.k", subject_table="lines", subject="ossel.ormsley", property="history", page="p. 4",
                        value="Begun for the railway.", source="ossel.book-1996", firmness="printed", stance="for"))  # fmt: skip
    page = text(browser, "/reference/lines/ossel.ormsley")
    assert "History Begun for the railway. Ossel Ford and its potters, 1996, p. 4; in print" in page
    assert "This is not an assessment" not in page


def test_marks_stand_in_order_of_time_set_in_type(browser):
    page = text(browser, "/reference/marks/")
    order = [page.index(one) for one in ("OSSEL FORD", "SCARSIDE", "heron in a ring", "PENNANT")]
    assert order == sorted(order)


def test_names_say_who_gave_them(browser):
    page = text(browser, "/reference/names/")
    assert "the Stork a misnomer for Reed Heron · decoration Talk at Tarn Lane hall, November 1991" in page
    assert "muffin dish (shop) Round covered dish (Ormsley) · form" in page


def test_a_statement_opens_to_its_claims_weighed_and_its_history(browser):
    page = text(browser, "/reference/said/decorations/ossel.reed-heron?property=designed")
    assert "1936 Talk at Tarn Lane hall, November 1991; said from memory" in page
    assert "Decided by hand: The ledger was written in that year" in page
    assert "1934, 89 in 100; 1936, 6 in 100" in page
    assert "Bring in pack" in page


def test_a_statement_of_a_number_names_what_claims_say(browser):
    page = text(browser, "/reference/said/numbers/ossel.no-417")
    assert "Decoration: Sluice Gate Talk at Tarn Lane hall, November 1991; said firmly" in page


def test_a_part_of_a_page_comes_alone_for_htmx(browser):
    answer = browser.get("/reference/said/numbers/ossel.no-417", headers={"HX-Request": "true"})
    assert "<html" not in answer.content.decode() and "Sluice Gate" in answer.content.decode()


@pytest.mark.parametrize("address", ["said/pieces/ossel.piece-1", "said/people/ossel.ines", "lines/nowhere",
                                     "things/claims/ossel.c9", "said/no-table/x"])  # fmt: skip
def test_what_is_no_part_of_the_reference_is_not_told_here(address, browser):
    assert browser.get(f"/reference/{address}").status_code == 404


# ---- guests


def test_a_guest_reads_every_page_and_changes_nothing(guest):
    for address in PAGES:
        page = guest.get(address).content.decode()
        assert "Add a" not in page and "/reference/change/" not in page, address


@pytest.fixture
def secret(demo, keeper):
    """Private things of every kind that a page of the reference could tell."""
    with act("secret", keeper) as doing:
        doing.add(
            Customer("x.c", name="Zanthoxylum Hotel", private=True),
            Decoration("x.d", maker="ossel.quillow", name="Zanthoxylum", technique="transfer", private=True),
            Source("x.s", name="Letter from Zanthoxylum", kind="letter", private=True),
            Source("x.t", name="Talk with Perpetua Zanthoxylum", kind="interview"),
            Name("x.n", thing_table="lines", thing="ossel.ormsley", name="Zanthoxylum ware", kind="shop", private=True),
            Number("x.o", line="ossel.ormsley", code="417 Z", decoration="x.d"),
            Production("x.p", line="ossel.ormsley", customer="x.c", made="1930", source="x.t"),
            Production("x.q", line="ossel.ormsley", decoration="ossel.buffet", made="1931", source="x.s"),
            Production("x.r", line="ossel.ormsley", decoration="ossel.buffet", made="1932", source="x.t"),
            Claim("x.k", subject_table="lines", subject="ossel.ormsley", property="history", value="Zanthoxylum did it",
                  source="ossel.book-1996", firmness="printed", stance="for", private=True),
            Claim("x.l", subject_table="decorations", subject="ossel.reed-heron", property="designed", value="1899",
                  source="x.s", firmness="printed", stance="for"),
        )  # fmt: skip


def test_a_guest_is_told_nothing_private_and_no_name_of_a_living_person(guest, secret):
    for address in (*PAGES, "/reference/?q=zan", "/reference/concordance/?q=zan", "/reference/offer/things/?x=zan",
                    "/reference/offer/customers/?x=zan", "/reference/said/lines/ossel.ormsley",
                    "/reference/said/productions/x.q", "/reference/said/productions/x.r"):  # fmt: skip
        page = guest.get(address).content.decode()
        assert "anthoxylum" not in page and "1899" not in page, address
    assert "a source that is not published" in text(guest, "/reference/said/productions/x.q")
    assert "an interview" in text(guest, "/reference/said/productions/x.r")
    for address in ("things/customers/x.c", "things/decorations/x.d", "said/claims/x.k", "said/names/x.n"):
        assert guest.get(f"/reference/{address}").status_code == 404, address


def test_the_keeper_is_told_all_of_it(browser, secret):
    page = text(browser, "/reference/lines/ossel.ormsley")
    assert page.count("Zanthoxylum") >= 5


def test_a_guest_is_told_how_many_pieces_and_not_which(guest, browser):
    address = "/reference/met/ossel.ormsley?form=ossel.ormsley-dish"
    assert "2 pieces met" in text(guest, address) and "/piece/" not in guest.get(address).content.decode()
    assert "/piece/ossel.piece-8/" in browser.get(address).content.decode()


def test_a_private_piece_is_not_counted_for_others(guest, browser, keeper):
    with act("hide", keeper) as doing:
        doing.change("pieces", "ossel.piece-8", private=True)
    address = "/reference/met/ossel.ormsley?form=ossel.ormsley-dish"
    assert "1 piece met" in text(guest, address) and "2 pieces met" in text(browser, address)


def test_a_reference_with_nothing_in_it_says_how_to_begin(client_of, keeper):
    browser = client_of(keeper)
    assert "Your reference is empty" in text(browser, "/reference/")
    for address in ("concordance/", "marks/", "customers-and-hands/", "names/"):
        assert browser.get(f"/reference/{address}").status_code == 200
    assert not MODELS["makers"].objects.exists()
