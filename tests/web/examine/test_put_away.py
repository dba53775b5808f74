"""Putting away writes the piece, its readings, what was made of them, and no more than the person says."""

import re
from collections import Counter

import pytest

from footring import __version__
from footring.records.acts import act, undo
from footring.records.known import known
from footring.records.models import MODELS, Act, Role, User
from footring.rows.collection import Part, Reading

pytestmark = pytest.mark.django_db
READ = ["line=Ormsley", "form=covered dish", "number=417 ~0.8", "mark=A / B", "mark.2=C", "date_code=none"]


@pytest.fixture
def browser(demo, keeper, client_of):
    return client_of(keeper)


def rows():
    return Counter({name: model.objects.count() for name, model in MODELS.items()})


def put(browser, **given):
    """What was added, by table, and the answer."""
    before = rows()
    answer = browser.post("/put-away/", {"r": READ, **given})
    return rows() - before, answer


def last(table, **where):
    return list(MODELS[table].objects.filter(added_in=Act.objects.latest("pk"), **where).order_by("pk"))


def test_left_open_it_is_proposed(browser):
    added, answer = put(browser, name="Dish", place="shelf 2, FRONT room", is_this="no")
    answers = added.pop("finding_answers")
    assert added == {"pieces": 1, "readings": 6, "findings": 1, "attributions": 1}
    assert 3 <= answers <= 12
    (piece,), (said,), (finding,) = last("pieces"), last("attributions"), last("findings")
    assert answer.headers["Location"] == f"/piece/{piece.pk}/"
    assert (piece.name, piece.place_id) == ("Dish", "ossel.shelf")
    assert (said.basis, said.line_id, said.form_id) == ("proposed", "ossel.ormsley", "ossel.ormsley-dish")
    assert said.finding_id == finding.pk and 0.05 <= said.weight < 1.0
    assert finding.version == __version__ and finding.parameter_digest == known().examiner.model.parameters.digest


def test_readings_are_kept_as_they_were_read(browser):
    put(browser)
    kept = {row.name: (row.value, row.absent, row.sure) for row in last("readings")}
    assert kept == {
        "line": ("Ormsley", False, None), "form": ("covered dish", False, None), "number": ("417", False, 0.8),
        "mark": ("A / B", False, None), "mark.2": ("C", False, None), "date_code": (None, True, None),
    }  # fmt: skip


def test_answers_are_ranked_and_come_to_no_more_than_one(browser):
    put(browser)
    answers = MODELS["finding_answers"].objects.filter(added_in=Act.objects.latest("pk")).order_by("rank")
    p = [row.probability for row in answers]
    assert p == sorted(p, reverse=True) and sum(p) <= 1.0 + 1e-9
    assert {row.outcome for row in answers} == {"recorded", "unrecorded", "outside"}


def test_what_may_be_confirmed_is_said_as_on_the_page_of_a_piece(browser):
    page = browser.get("/", {"r": READ, "open": "away"}).content.decode()
    assert "It is this, on my word: Round covered dish of Ormsley, " in page
    put(browser, is_this="no")
    (piece,) = last("pieces")
    [offered] = re.findall(r"on my word: ([^<]*)\.</span>", page)
    assert f"It is this, on my word: {offered}<" in browser.get(f"/piece/{piece.pk}/").content.decode()


def test_of_what_was_not_read_nothing_is_offered_or_kept(browser):
    assert "on my word" not in browser.get("/", {"r": ["lid.glaze=Sedge"], "open": "away"}).content.decode()
    added, _ = put(browser, r=["lid.glaze=Sedge"])
    (part,), (finding,) = last("parts"), last("findings")
    assert finding.part_id == part.pk and added["readings"] == 1


def test_on_a_person_s_word_it_is_confirmed_and_counts(browser):
    before = known().reference.counts.confirmed.sum()
    put(browser, is_this="yes")
    (said,) = last("attributions")
    assert (said.basis, said.weight, said.recorded_by) == ("confirmed", 1.0, "keeper")
    assert known().reference.counts.confirmed.sum() == before + 1.0


def test_a_new_place_is_made_and_what_it_is_not_is_set_down(browser):
    added, _ = put(browser, place="Attic, box 3", **{"not": ["forms/ossel.ormsley-plate"]})
    assert (added["places"], added["rejections"]) == (1, 1)
    (out,) = last("rejections")
    assert (out.subject_table, out.subject) == ("forms", "ossel.ormsley-plate")


def test_a_lid_is_a_part_with_a_finding_of_its_own(browser):
    added, _ = put(browser, r=[*READ, "lid.glaze=Sedge"])
    assert (added["parts"], added["findings"], added["readings"]) == (1, 2, 7)
    (part,) = last("parts")
    assert part.name == "lid" and [row.name for row in last("readings", part=part)] == ["glaze"]
    assert len(last("findings", part=part)) == 1


def test_it_is_one_act_that_can_be_undone(browser, keeper):
    before = rows()
    put(browser, place="Attic", is_this="yes")
    undo(Act.objects.latest("pk"), keeper)
    assert rows() == before


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"r": []}, "nothing was read of this piece"),
        ({"r": ["maker=Hask Marling", "mark=HASK MARLING"], "not": ["forms/nowhere"]}, "nothing in this collection"),
        ({"not": ["nowhere/x"]}, "nowhere/x is nothing in this collection"),
        ({"r": ["maker=Hask Marling", "mark=HASK MARLING"], "is_this": "yes"}, "this cannot be confirmed"),
        ({"r": ["lid.glaze=Sedge"], "is_this": "yes"}, "this cannot be confirmed"),
    ],
)
def test_what_is_refused_is_said_and_nothing_is_written(browser, given, says):
    added, answer = put(browser, name="Kept name", **given)
    assert answer.status_code == 400 and added == {}
    assert says in answer.content.decode()


def test_what_cannot_be_used_stays_out(browser):
    added, _ = put(browser, r=[*READ, "across=200 hands"])
    assert added["readings"] == 6


def test_not_this_of_a_piece_put_away_is_set_down_by_who_may_change_it(browser, client_of):
    where = "/not-this/ossel.piece-1/"
    said = {"table": "forms", "subject": "ossel.wherry-dish", "back": "//elsewhere.example/?r=line%3DWherry"}
    assert browser.post(where, said).headers["Location"] == "/?r=line%3DWherry"
    assert MODELS["rejections"].objects.get(piece="ossel.piece-1").subject == "ossel.wherry-dish"
    member = client_of(User.objects.create(username="m", role=Role.MEMBER))
    assert member.post(where, said).status_code == 403


def test_a_piece_put_away_comes_back_with_its_readings(browser):
    put(browser, **{"not": ["forms/ossel.ormsley-plate"]})
    (piece,) = last("pieces")
    page = browser.get(f"/again/{piece.pk}/", follow=True)
    assert dict(page.redirect_chain)[page.redirect_chain[-1][0]] == 302
    state = page.context["state"]
    assert (len(state.readings), state.of, state.ruled_out) == (6, piece.pk, ("forms/ossel.ormsley-plate",))
    assert "Put away already" in page.content.decode() and "hx-boost" in page.content.decode()


def test_a_piece_comes_back_without_what_was_read_on_its_box(browser, keeper):
    """A box was made for another piece as often as not: common practice, no source."""
    put(browser, r=[*READ, "lid.glaze=Sedge"])
    (piece,) = last("pieces")
    with act("box", keeper) as doing:
        doing.add(Part("box", piece=piece.pk, name="box"),
                  Reading("on the box", piece=piece.pk, part="box", name="line", value="Wherry"))  # fmt: skip
    state = browser.get(f"/again/{piece.pk}/", follow=True).context["state"]
    read = Counter((reading.part, reading.name) for reading in state.readings)
    assert read == {(None, "line"): 1, (None, "form"): 1, (None, "number"): 1, (None, "mark"): 2,
                    (None, "date_code"): 1, ("lid", "glaze"): 1}  # fmt: skip
    assert "Wherry" not in {reading.value for reading in state.readings}


def test_a_private_piece_of_another_does_not_come_back(browser, client_of):
    MODELS["pieces"].objects.filter(pk="ossel.piece-1").update(private=True)
    member = client_of(User.objects.create(username="m", role=Role.MEMBER))
    assert member.get("/again/ossel.piece-1/").status_code == 404
