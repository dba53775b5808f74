"""A piece as a catalogue entry: who sees what of it, in which order, and in how many queries."""

import html
import re

import pytest

from footring.records.acts import act
from footring.records.models import MODELS, Role, User
from footring.rows.collection import Condition, Finding, FindingAnswer, Part, Piece, Reading, Rejection

pytestmark = pytest.mark.django_db
PIECE = "/piece/ossel.piece-8/"
OWN = ("Shelf 2", "Fenwick Road", "18 GBP", "32.50", "Stallholder")
PEOPLE = ("Ines Marrable", "keeper")


@pytest.fixture
def person(client_of):
    return lambda role, name=None: client_of(User.objects.create(username=name or f"a {role}", role=role))


def text(answer):
    """What stands on a page, without its tags."""
    return html.unescape(re.sub(r"<[^>]+>", "", answer.content.decode().split("<main")[1]))


@pytest.fixture
def paid(demo, keeper, client_of):
    browser = client_of(keeper)
    came = {"how": "bought", "got": "May 2026", "from_whom": "Stallholder", "amount": "18", "currency": "gbp"}
    browser.post(PIECE + "came/", came)
    browser.post(PIECE + "price/", {"kind": "asked", "amount": "32,50", "currency": "GBP", "dated": "2026-05"})
    return browser


def test_the_entry_is_read_from_top_to_foot(paid):
    page = text(paid.get(PIECE))
    told = ["Round covered dish, Reed Heron", "Shelf 2", "Add photographs", "213.5 mm across", "Before anyone eats",
            "A laboratory", "What it is said to be", "Readings", "with Outside calliper", "looked for and not found",
            "From the making", "stilt marks", "Damage", "flea bite", "Parts", "Base, lid", "Findings", "Bought, May 2026",
            "Stallholder", "Met 14 September 2025", "Asked 32.50 GBP, May 2026", "An asked price is no sale",
            "qualified appraiser", "What was done to it"]  # fmt: skip
    at = 0
    for one in told:
        at = page.index(one, at)


@pytest.mark.parametrize("role", [Role.MEMBER, Role.GUEST])
def test_where_it_is_and_what_it_cost_is_seen_by_who_may_change_it(role, paid, person):
    answer = person(role).get(PIECE)
    assert "Reed Heron" in text(answer) and "flea bite" in text(answer)
    assert [word for word in OWN if word in text(answer)] == []
    assert "<form" not in answer.content.decode().split("<main")[1]


def test_names_of_people_are_for_members(paid, person):
    paid.post(PIECE + "reading/", {"name": "height", "value": "62 mm"})
    member, guest = text(person(Role.MEMBER).get(PIECE)), text(person(Role.GUEST).get(PIECE))
    assert [name for name in PEOPLE if name in member] == list(PEOPLE)
    assert [name for name in PEOPLE if name in guest] == []


def test_a_guest_reads_the_label_and_is_led_to_no_page_that_is_closed(demo, person):
    page = person(Role.GUEST).get(PIECE).content.decode().split("<main")[1]
    assert "round covered dish" in page and "?r=" not in page and "/sources/" not in page


def test_each_word_of_the_label_leads_to_examine_with_the_readings(demo, person):
    page = person(Role.MEMBER).get(PIECE).content.decode()
    [address] = re.findall(r'<a href="([^"]+)">Examine it again', page)
    assert address.startswith("/?r=") and "across%3D213.5+mm" in address and "lid.number%3Dnone" in address
    assert "of=ossel.piece-8" in address
    assert re.search(r'<a class="think" href="/\?r=[^"]+open=glaze', page)


def test_a_private_piece_is_not_there_for_others(demo, person):
    MODELS["pieces"].objects.filter(pk="ossel.piece-8").update(private=True)
    assert [person(role).get(PIECE).status_code for role in Role] == [200, 200, 404, 404]


def test_a_private_reading_is_its_owner_s_and_not_in_what_others_are_told(demo, keeper, client_of, person):
    with act("read", keeper) as doing:
        doing.add(Reading("secret", piece="ossel.piece-8", name="mark", value="ZANTHOXYLUM", private=True))
    told = [text(client.get(PIECE)) for client in (client_of(keeper), person(Role.MEMBER), person(Role.GUEST))]
    assert ["ZANTHOXYLUM" in page for page in told] == [True, False, False]


def test_a_member_sees_the_owner_s_side_of_their_own(demo, client_of):
    member = User.objects.create(username="member", role=Role.MEMBER)
    with act("put away", member) as doing:
        doing.add(Piece("own", name="Sugar box", place="ossel.shelf"))
    page = text(client_of(member).get("/piece/own/"))
    assert "Put away: Shelf 2" in page and "Nothing was read off it yet" in page and "Rename" in page


def test_faults_of_the_making_and_damage_stand_apart_by_their_place(demo, keeper, client_of):
    with act("note", keeper) as doing:
        doing.add(*[
            Condition("a", piece="ossel.piece-8", kind="damage", what="crazing", place="well"),
            Condition("b", piece="ossel.piece-8", kind="making", what="kiln kiss", place="rim"),
            Condition("c", piece="ossel.piece-8", kind="damage", what="utensil marks", place="well"),
        ])  # fmt: skip
    page = client_of(keeper).get(PIECE).content.decode()
    making, damage = page[page.index("From the making") :].split("Damage", 1)
    assert "kiln kiss" in making and "crazing" not in making
    assert re.search(r"<dt>well</dt><dd>crazing, utensil marks</dd>", damage)


def test_what_is_noted_of_its_condition_is_in_the_cautions(demo, keeper, client_of):
    """Restored ware is for display: care/tables/cautions.csv, REPAIR."""
    browser = client_of(keeper)
    assert "not for food and soften with heat" not in text(browser.get(PIECE))
    browser.post(PIECE + "condition/", {"kind": "damage", "what": "restored", "where": "rim"})
    assert "not for food and soften with heat" in text(browser.get(PIECE))


def test_what_is_read_on_a_box_says_nothing_of_the_piece(demo, keeper, client_of):
    browser = client_of(keeper)
    before = re.findall(
        r"<p>.*?</p>", browser.get(PIECE).content.decode().split('class="label"')[1].split("</section>")[0]
    )
    with act("box", keeper) as doing:
        doing.add(Part("box", piece="ossel.piece-8", name="box"),
                  Reading("on the box", piece="ossel.piece-8", part="box", name="line", value="Wherry"))  # fmt: skip
    page = browser.get(PIECE).content.decode()
    assert "The box" in page and "Wherry" in page.split('id="readings"')[1]
    assert re.findall(r"<p>.*?</p>", page.split('class="label"')[1].split("</section>")[0]) == before


def test_findings_over_time_say_why_they_changed(demo, keeper, client_of):
    browser = client_of(keeper)
    assert "None was kept yet" in text(browser.get(PIECE))
    browser.post(PIECE + "keep/")
    assert "the first" in text(browser.get(PIECE)) and "Keep what follows now" not in text(browser.get(PIECE))
    browser.post(PIECE + "reading/", {"name": "height", "value": "62 mm", "part": "base"})
    page = text(browser.get(PIECE))
    assert "height read since" in page and "Keep what follows now" not in page


def test_an_old_finding_under_another_reference_is_told_as_such(demo, keeper, client_of):
    with act("found", keeper) as doing:
        doing.add(Finding("old", piece="ossel.piece-8", reference_digest="another", version="0.0.1"),
                  FindingAnswer("old.1", finding="old", rank=1, probability=0.6, outcome="outside"))  # fmt: skip
    page = text(client_of(keeper).get(PIECE))
    assert "None that is in your reference (60 in 100)" in page
    assert "Since the last one: the reference changed, Footring changed" in page


@pytest.mark.parametrize("role", Role)
def test_how_many_queries_an_entry_takes(role, paid, person, django_assert_num_queries):
    """As many with three times the rows: none of them is looked up alone."""
    browser = person(role)
    browser.get(PIECE)
    with django_assert_num_queries(QUERIES[role]):
        browser.get(PIECE)
    for n in range(5):
        paid.post(PIECE + "reading/", {"name": "feature", "value": f"knob: {n} rings"})
        paid.post(PIECE + "condition/", {"kind": "damage", "what": f"chip {n}", "where": "rim"})
        paid.post(PIECE + "price/", {"kind": "sold", "amount": f"{n}", "currency": "GBP"})
    with act("not", User.objects.get(username="keeper")) as doing:
        doing.add(
            *[Rejection(f"r{n}", piece="ossel.piece-8", subject_table="glazes", subject="ossel.clear") for n in (1, 2)]
        )
    browser.get(PIECE)
    with django_assert_num_queries(QUERIES[role] + LOOKED_UP_ONCE[role]):
        browser.get(PIECE)


QUERIES = {Role.KEEPER: 22, Role.CURATOR: 22, Role.MEMBER: 14, Role.GUEST: 14}
LOOKED_UP_ONCE = {Role.KEEPER: 3, Role.CURATOR: 3, Role.MEMBER: 2, Role.GUEST: 2}
"""Answers of findings and names of what was rejected, once there are some."""
