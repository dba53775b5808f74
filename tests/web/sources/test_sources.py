"""Sources and claims: written down in a line, weighed as the reasoning weighs them, decided by hand, checked later."""

import re
from html import unescape

import pytest

from footring.reasoning.disagreements import disagreements
from footring.reasoning.source_records import source_records
from footring.reasoning.tell_sources import in_hundred, source_sentence
from footring.records.acts import act
from footring.records.known import known
from footring.records.models import MODELS, LaterCheck, Role, User
from footring.rows.reference_things import Source
from footring.rows.statements import Claim

pytestmark = pytest.mark.django_db
TALK = "/sources/one/ossel.talk-1991"
LINE = {"subject": "Ormsley · line", "property": "history", "value": "Begun for the railway", "page": "12",
        "firmness": "said_firmly", "stance": "for"}  # fmt: skip
DECIDE = "/sources/decide/numbers/ossel.no-417"


@pytest.fixture
def browser(demo, keeper, client_of):
    return client_of(keeper)


@pytest.fixture
def member(demo, client_of):
    return client_of(User.objects.create(username="member", role=Role.MEMBER))


def text(answer):
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", answer.content.decode())).split())


def test_each_source_tells_how_it_has_proved_in_the_words_of_the_reasoning(browser):
    page = text(browser.get("/sources/"))
    for record in source_records(known().reference).values():
        assert source_sentence(record).partition(": ")[2] in page


def test_what_disagrees_is_what_the_reasoning_finds(browser):
    page = text(browser.get("/sources/what-disagrees/"))
    found = disagreements(known().reference)
    assert page.count("Decide by hand") + page.count("Decide anew") == len(found) == 3
    for one in found:
        assert one.name in page
        for value in one.values:
            assert in_hundred(value.probability) in page
    assert "Looked for and not met Talk at Tarn Lane hall (said from memory, 240 handled" in page
    assert "counts with Talk at Tarn Lane hall" in page
    assert "1934 , decided by hand. The ledger was written in that year" in page


@pytest.mark.parametrize("htmx", [True, False])
def test_a_claim_is_written_in_a_line(htmx, browser):
    answer = browser.post(TALK, LINE, headers={"HX-Request": "true"} if htmx else {})
    assert answer.status_code == (200 if htmx else 302)
    claim = MODELS["claims"].objects.get(property="history")
    assert (claim.subject_table, claim.subject, claim.value) == ("lines", "ossel.ormsley", "Begun for the railway")
    assert (claim.source_id, claim.page, claim.firmness, claim.stance) == (
        "ossel.talk-1991",
        "12",
        "said_firmly",
        "for",
    )
    assert "Ormsley, history : Begun for the railway 12; said firmly" in text(browser.get(TALK))
    if htmx:
        page = answer.content.decode()
        assert "<html" not in page and 'name="subject" value=""' in page
        assert '<option value="said_firmly" selected>' in page  # how it is put stays for the next


def test_a_claim_of_a_column_is_written_as_the_column_is(browser):
    browser.post(TALK, LINE | {"subject": "417 on Ormsley · number", "property": "decoration", "value": "Buffet Wheel"})
    assert MODELS["claims"].objects.get(value="ossel.buffet").subject == "ossel.no-417"
    browser.post(TALK, LINE | {"subject": "Sluice Gate · decoration", "property": "Designed", "value": "late 1930s"})
    claim = MODELS["claims"].objects.get(subject="ossel.sluice", property="designed")
    assert claim.value.startswith("[193")


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"subject": "Ormsly · line"}, "Subject: no line is called “Ormsly”; did you mean “Ormsley”?"),
        ({"subject": "nothing of the kind"}, "Subject: nothing is called “nothing of the kind”"),
        ({"subject": "Bulrush"}, "Subject: 2 things are called “Bulrush”; write which: "),
        ({"subject": ""}, "Subject: nothing was given for subject, and a claim cannot stand without it"),
        ({"property": ""}, "Property: nothing was given for property"),
        ({"firmness": "sworn"}, "Firmness: unknown word: given 'sworn'; expected one of seen, printed"),
        ({"subject": "Sluice Gate · decoration", "property": "designed", "value": "5/12/38"}, "Value: "),
        ({"stance": ""}, "Stance: "),
    ],
)
def test_what_is_wrong_with_a_claim_is_told_and_what_was_typed_stays(given, told, browser):
    before = MODELS["claims"].objects.count()
    answer = browser.post(TALK, LINE | given)
    assert answer.status_code == 400 and told in text(answer)
    assert 'value="12"' in answer.content.decode()
    assert MODELS["claims"].objects.count() == before


def test_a_member_proposes_a_claim_beside_its_statement(member):
    where = "/sources/claim/decorations/ossel.reed-heron?property=designed"
    given = {"value": "1935", "source": "Ossel Ford and its potters", "firmness": "printed", "stance": "against"}
    page = member.post(where, given, headers={"HX-Request": "true"})
    assert "Written down." in text(page) and "1935 Ossel Ford and its potters, 1996; in print" in text(page)
    claim = MODELS["claims"].objects.get(value="1935")
    assert (claim.recorded_by, claim.stance, claim.property) == ("member", "against", "designed")
    assert MODELS["decorations"].objects.get(pk="ossel.reed-heron").designed == "[1934..1936]"


def test_not_met_tells_how_long_was_looked(member):
    where = "/sources/claim/productions/ossel.p9"
    given = {"property": "exists", "source": "Talk at Tarn Lane hall", "firmness": "said_firmly", "stance": "not_met",
             "hours": "3.5", "handled": "80", "searched": "Fenwick Road"}  # fmt: skip
    assert "80 handled, 3.5 hours, Fenwick Road" in text(member.post(where, given, follow=True))
    answer = member.post(where, given | {"handled": "many"})
    assert answer.status_code == 400 and "given “many”, expected a number, 0 or more" in text(answer)


def test_what_cannot_be_claimed_of_is_not_there(member):
    assert member.post("/sources/claim/pieces/ossel.piece-1", LINE).status_code == 404
    assert member.post("/sources/claim/sources/ossel.talk-1991", LINE).status_code == 404


def test_a_disagreement_is_decided_by_hand_and_decided_anew(browser):
    for value, reason in (("ossel.sluice", "the plate says so"), ("ossel.reed-heron", "the price list says so")):
        answer = browser.post(DECIDE, {"property": "decoration", "value": value, "reason": reason}, follow=True)
        assert f"decided by hand. {reason}" in text(answer)
    first, second = MODELS["resolutions"].objects.filter(subject="ossel.no-417").order_by("added_in_id")
    assert second.supersedes_id == first.pk


def test_a_decision_needs_a_reason(browser):
    answer = browser.post(DECIDE, {"property": "decoration", "value": "ossel.sluice", "reason": " "}, follow=True)
    assert "Nothing was given as the reason" in text(answer)
    assert not MODELS["resolutions"].objects.filter(subject="ossel.no-417").exists()


def test_a_member_is_not_shown_a_disagreement_that_rests_on_something_private(member, browser, keeper):
    with act("secret", keeper) as doing:
        doing.add(
            Source("x.s", name="Letter from a neighbour", kind="letter", private=True),
            Claim("x.k", subject_table="numbers", subject="ossel.no-417", property="decoration", value="ossel.buffet",
                  source="x.s", firmness="printed", stance="for"),
        )  # fmt: skip
    assert "Letter from a neighbour" in text(browser.get("/sources/what-disagrees/"))
    page = text(member.get("/sources/what-disagrees/"))
    assert "neighbour" not in page and "417 on Ormsley" not in page and "Rimmed plate" in page
    assert "neighbour" not in text(member.get("/sources/"))
    assert member.get("/sources/one/x.s").status_code == 404


def test_what_is_to_be_checked_later_waits_until_it_was(member):
    member.post("/sources/check-later/", {"what": "Is it 417 or 471?", "of": "417 on Ormsley · number"})
    page = text(member.get("/sources/check-later/"))
    assert "Is it 417 or 471? 417 on Ormsley · number" in page
    one = LaterCheck.objects.get()
    member.post(f"/sources/check-later/{one.pk}/")
    one.refresh_from_db()
    assert one.done_by.username == "member" and "Nothing waits." in text(member.get("/sources/check-later/"))
    member.post(f"/sources/check-later/{one.pk}/")
    one.refresh_from_db()
    assert one.done_at is None


def test_a_check_needs_words_and_a_thing_that_there_is(member):
    answer = member.post("/sources/check-later/", {"what": ""})
    assert answer.status_code == 400 and "nothing was given to check" in text(answer)
    answer = member.post("/sources/check-later/", {"what": "colour", "of": "Ormsly · line"})
    assert "no line is called “Ormsly”" in text(answer) and 'value="colour"' in answer.content.decode()
    assert not LaterCheck.objects.exists()


def test_another_member_s_check_is_not_ticked_off(member, keeper):
    one = LaterCheck.objects.create(what="colour", by=keeper)
    assert member.post(f"/sources/check-later/{one.pk}/").status_code == 404


@pytest.mark.parametrize(
    ("address", "most"),
    [("/sources/", 7), (TALK, 13), ("/sources/what-disagrees/", 6), ("/sources/check-later/", 6)],
)
def test_queries_are_few_and_as_many_for_more_rows(address, most, browser, keeper, django_assert_max_num_queries):
    browser.get(address)
    with django_assert_max_num_queries(most) as taken:
        browser.get(address)
        before = len(taken)
    with act("more", keeper) as doing:
        for n in range(15):
            doing.add(
                Source(f"x.s{n}", name=f"Book {n}", kind="book"),
                Claim(f"x.k{n}", subject_table="decorations", subject="ossel.reed-heron", property="designed",
                      value=f"19{20 + n}", source="ossel.talk-1991", firmness="printed", stance="for"),
            )  # fmt: skip
    browser.get(address)
    with django_assert_max_num_queries(before):
        browser.get(address)
