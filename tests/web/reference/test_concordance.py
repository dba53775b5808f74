"""The concordance: a decoration and its number on each line, a number and what it means on each; a number corrected."""

import re
from html import unescape

import pytest
from django.urls import reverse

from footring.records.acts import act
from footring.records.models import MODELS
from footring.rows.reference_things import Line
from footring.rows.statements import Number

pytestmark = pytest.mark.django_db
NUMBER = "/reference/change/numbers/ossel.no-417"


@pytest.fixture
def browser(demo, keeper, client_of):
    return client_of(keeper)


def entry(browser, words):
    """What stands under each line for the one decoration that is called so."""
    page = browser.get("/reference/concordance/", {"q": words}).content.decode()
    assert page.count('class="entry"') == 1
    places = page.partition('class="by-line')[2].partition('<div class="fold"')[0]
    found = re.findall(r'class="of"[^>]*>([^<]*)</a>(.*?)</div>', places)
    return {line: re.findall(r'class="code"[^>]*>([^<]*)<', rest) for line, rest in found}


def meanings(browser, words):
    page = browser.get("/reference/concordance/", {"q": words}).content.decode()
    found = page.partition('class="numbers-of"')[2].partition("</dl>")[0]
    return [" ".join(unescape(re.sub(r"<[^>]*>", " ", one)).split()) for one in found.split("<dt>")[1:]]


def form(**given):
    """The form of number 417 as it is shown, with what is typed over it."""
    row = MODELS["numbers"].objects.get(pk="ossel.no-417")
    shown = {"line": "Ormsley", "code": "417", "decoration": "Reed Heron", "trim": "Green edge line",
             "source": "Quillow & Tarn price list, spring 1934", "shown_in": row.written_in_id}  # fmt: skip
    return shown | given


@pytest.mark.parametrize("words", ["reed heron", "Stork", "  HERON "])
def test_a_decoration_has_its_number_on_each_line_by_any_of_its_names(words, browser):
    assert entry(browser, words) == {
        "Larder": [],
        "Ormsley": ["417"],
        "Pennant": [],
        "Scarside": [],
        "Wherry": ["3/431"],
    }


def test_one_number_means_something_else_on_another_line(browser):
    found = meanings(browser, "417")
    assert [one.partition(" Quillow")[0] for one in found[:1]] == ["417 on Ormsley Reed Heron, Green edge line"]
    assert found[1].startswith("3/417 on Wherry Plain, Mottled blue Decorating shop ledger B")
    assert found[2].startswith("417 M on Pennant Nursery Train")
    assert "2 pieces met" in found[0] and "no piece met" in found[1]


def test_the_very_number_comes_before_those_that_hold_it(browser, keeper):
    with act("another", keeper) as doing:
        doing.add(Number("x.n", line="ossel.larder", code="3/417", decoration="ossel.plain"))
    assert [one.split()[0] for one in meanings(browser, "3/417")] == ["3/417", "3/417"]
    assert meanings(browser, "417")[0].startswith("417 ")


def test_what_a_claim_says_otherwise_stands_beside_the_number(browser):
    page = unescape(browser.get("/reference/concordance/?q=heron").content.decode())
    assert "417 on Ormsley, also said: Sluice Gate (Talk at Tarn Lane hall, November 1991, said firmly)" in page
    assert "said not to be: Sluice Gate (Covered dish met at Fenwick Road, seen)" in page


def test_what_is_nowhere_is_said_so(browser):
    page = unescape(browser.get("/reference/concordance/?q=999999").content.decode())
    assert "Neither a number nor a decoration of your reference is called “999999”." in page


def test_with_many_lines_those_without_a_number_are_counted(browser, keeper):
    with act("lines", keeper) as doing:
        doing.add(*(Line(f"x.l{n}", maker="ossel.quillow", name=f"Line {n}") for n in range(20)))
    assert entry(browser, "reed heron") == {"Ormsley": ["417"], "Wherry": ["3/431"]}
    page = browser.get("/reference/concordance/?q=heron").content.decode()
    assert "No number, and no piece met, on 23 more lines." in page


# ---- a number corrected


def test_a_number_is_corrected_and_the_old_one_stays_in_its_history(browser):
    answer = browser.post(NUMBER, form(code="471", source="Decorating shop ledger B"), follow=True)
    assert "What stood there before is in its history." in unescape(answer.content.decode())
    new = MODELS["numbers"].objects.current().get(line="ossel.ormsley", code="471")
    assert (new.supersedes_id, new.source_id, new.decoration_id) == (
        "ossel.no-417",
        "ossel.ledger-b",
        "ossel.reed-heron",
    )
    assert new.recorded_by == "keeper"
    assert entry(browser, "reed heron")["Ormsley"] == ["471"]
    assert not any(one.startswith("417 on") for one in meanings(browser, "417"))
    history = browser.get(reverse("reference-said", args=["numbers", new.pk])).content.decode()
    assert history.index("code: 471") < history.index("code: 417") and "Bring in pack" in history


def test_a_correction_needs_a_source(browser):
    answer = browser.post(NUMBER, form(code="471", source=""))
    assert answer.status_code == 400
    assert "nothing was given for source; say who says so, so that it can be weighed" in answer.content.decode()
    assert MODELS["numbers"].objects.current().filter(code="417").exists()


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"code": ""}, "nothing was given for code"),
        ({"decoration": "Reed Hern"}, "no decoration is called “Reed Hern”; did you mean “Reed Heron”?"),
        ({"line": "Ormsly"}, "no line is called “Ormsly”; did you mean “Ormsley”?"),
        ({"source": "Nobody at all"}, "no source is called “Nobody at all”; add the source first"),
        ({"era": "5/12/38"}, "5/12/38"),
        ({"code": "402"}, "duplicate key: given ossel.ormsley, 402; expected what no other row says"),
    ],
)
def test_every_fault_stands_beside_its_field_and_nothing_is_lost(given, told, browser):
    answer = browser.post(NUMBER, form(**given))
    page = unescape(answer.content.decode())
    assert answer.status_code == 400 and told in page
    assert all(f'value="{value}"' in page for value in given.values() if value)
    assert not MODELS["numbers"].objects.filter(supersedes="ossel.no-417").exists()


def test_two_who_correct_at_once_are_shown_both_versions(browser):
    first, second = form(code="471", source="Decorating shop ledger B"), form(code="474")
    browser.post(NUMBER, first)
    answer = browser.post(NUMBER, second)
    page = unescape(answer.content.decode())
    assert answer.status_code == 409 and "was replaced meanwhile by keeper" in page
    assert "471" in page and "<b>474</b>" in page
    new = MODELS["numbers"].objects.current().get(code="471")
    assert f"/reference/change/numbers/{new.pk}" in page
    given = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', page))
    browser.post(f"/reference/change/numbers/{new.pk}", given)
    assert MODELS["numbers"].objects.current().get(line="ossel.ormsley", code="474").supersedes_id == new.pk


def test_a_correction_is_undone_from_its_history(browser):
    browser.post(NUMBER, form(code="471"))
    new = MODELS["numbers"].objects.get(code="471")
    where = reverse("reference-undo", args=[new.added_in_id])
    assert where in browser.get(reverse("reference-said", args=["numbers", new.pk])).content.decode()
    browser.post(where)
    assert entry(browser, "reed heron")["Ormsley"] == ["417"]


def test_only_an_act_of_the_reference_is_undone_here(browser, demo):
    assert browser.post(reverse("reference-undo", args=[demo.pk])).status_code == 404
