"""Things of the reference added and changed in place, and who may."""

import re
from html import unescape

import pytest

from footring.records.models import MODELS, Role, User

pytestmark = pytest.mark.django_db
FORM = "/reference/change/forms/ossel.wherry-dish"


@pytest.fixture
def browser(demo, keeper, client_of):
    return client_of(keeper)


def shown(browser, address):
    """What stands in a form as it is shown."""
    page = browser.get(address).content.decode()
    typed = dict(re.findall(r'<input (?:type="hidden" )?name="(\w+)" value="([^"]*)"', page))
    chosen = dict(re.findall(r'<select name="(\w+)".*?<option value="([^"]*)" selected', page, re.DOTALL))
    return {name: unescape(value) for name, value in (typed | chosen).items()}


def test_what_is_shown_and_sent_back_changes_nothing(browser):
    before = MODELS["forms"].objects.get(pk="ossel.wherry-dish").values()
    given = shown(browser, FORM)
    assert (given["line"], given["mould"], given["designed"]) == ("Wherry", "No. 12 round dish", "1932")
    assert browser.post(FORM, given).status_code == 302
    assert MODELS["forms"].objects.get(pk="ossel.wherry-dish").values() == before


@pytest.mark.parametrize("table", ["sizes", "decorations", "glazes", "marks", "names", "hands", "sources", "labels",
                                   "trims", "makers", "productions", "telltales", "goes_with", "mark_uses"])  # fmt: skip
def test_every_row_of_a_table_can_be_shown_and_sent_back(table, browser):
    for row in MODELS[table].objects.all():
        address = f"/reference/change/{table}/{row.pk}"
        answer = browser.post(address, shown(browser, address))
        assert answer.status_code == 302, unescape(answer.content.decode())
        now = MODELS[table].objects.current().filter(supersedes=row.pk).get() if row.SPEC.kind == "statement" else row
        now.refresh_from_db()
        ignored = ("id", "supersedes", "recorded_at", "recorded_by")
        assert {n: v for n, v in now.values().items() if n not in ignored} == {
            n: v for n, v in row.values().items() if n not in ignored
        }


def test_a_date_and_a_length_are_written_as_one_says_them(browser):
    given = shown(browser, FORM) | {"designed": "between 1931 and 1933"}
    browser.post(FORM, given)
    assert MODELS["forms"].objects.get(pk="ossel.wherry-dish").designed == "[1931..1933]"
    browser.post("/reference/add/sizes/", {"form": "Covered dish (Wherry)", "across_mm": "7 1/4 in", "high_mm": "9 cm"})
    size = MODELS["sizes"].objects.get(form="ossel.wherry-dish")
    assert (size.across_mm, size.high_mm) == (184.15, 90.0)  # 1 in is 25.4 mm: international yard and pound, 1959


def test_a_length_without_its_unit_is_refused_beside_the_field(browser):
    answer = browser.post("/reference/add/sizes/", {"form": "Covered dish (Wherry)", "across_mm": "184"})
    wrong = re.findall(r'class="wrong" id="w-(\w+)">([^<]*)<', answer.content.decode())
    assert answer.status_code == 400 and [name for name, _ in wrong] == ["across_mm"] and "184" in wrong[0][1]


def test_a_name_that_two_forms_have_is_asked_again(browser):
    given = {"form": "Plate", "other_form": "Covered dish", "look_at": "foot", "seen": "a", "seen_on_other": "b"}
    browser.post("/reference/add/forms/", {"line": "Larder", "name": "Covered dish"})
    page = unescape(browser.post("/reference/add/telltales/", given).content.decode())
    assert "2 rows of forms are called “Covered dish”: " in page
    assert "Covered dish (Larder)" in page and "Covered dish (Wherry)" in page


def test_a_form_that_would_replace_itself_is_refused(browser):
    answer = browser.post(FORM, shown(browser, FORM) | {"replaced_by": "Covered dish (Wherry)"})
    assert answer.status_code == 400 and "circle" in answer.content.decode()


def test_two_who_change_a_form_at_once_are_shown_both_versions(browser):
    first, second = shown(browser, FORM) | {"kind": "tureen"}, shown(browser, FORM) | {"kind": "muffin dish"}
    browser.post(FORM, first)
    answer = browser.post(FORM, second)
    page = unescape(answer.content.decode())
    assert answer.status_code == 409 and "was changed meanwhile by keeper" in page
    assert "tureen" in page and "<b>muffin dish</b>" in page
    assert MODELS["forms"].objects.get(pk="ossel.wherry-dish").kind == "tureen"
    kept = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', page))
    assert browser.post(FORM, kept).status_code == 302
    assert MODELS["forms"].objects.get(pk="ossel.wherry-dish").kind == "muffin dish"
    history = browser.get("/reference/said/forms/ossel.wherry-dish").content.decode()
    assert "kind: tureen → muffin dish" in history and "kind: covered dish → tureen" in history


def test_what_is_in_the_address_stands_in_a_new_form(browser):
    assert shown(browser, "/reference/add/numbers/?line=Larder")["line"] == "Larder"


def test_a_new_name_is_of_what_it_is_typed_for(browser):
    given = {"thing": "Sedge · glaze", "name": "the green", "kind": "collectors"}
    assert browser.post("/reference/add/names/", given).status_code == 302
    name = MODELS["names"].objects.get(name="the green")
    assert (name.thing_table, name.thing) == ("glazes", "ossel.sedge")


@pytest.mark.parametrize("table", ["pieces", "attributions", "claims", "prices", "nothing"])
def test_other_tables_are_not_changed_here(table, browser):
    assert browser.get(f"/reference/add/{table}/").status_code == 404
    assert browser.get(f"/reference/change/{table}/ossel.piece-1").status_code == 404


@pytest.mark.parametrize(("role", "status"), [(Role.GUEST, 403), (Role.MEMBER, 403), (Role.CURATOR, 200)])
def test_curators_change_the_reference_and_members_do_not(role, status, demo, client_of):
    browser = client_of(User.objects.create(username="somebody", role=role))
    assert browser.get(FORM).status_code == status
    page = browser.get("/reference/said/forms/ossel.wherry-dish").content.decode()
    assert ("/reference/change/" in page) == (status == 200)
    assert ("Add a claim" in page) == (role != Role.GUEST)
    assert ("History" in page) == (role != Role.GUEST)


def test_names_are_offered_while_one_types(browser):
    def offered(table, text):
        return re.findall(r'value="([^"]*)"', browser.get(f"/reference/offer/{table}/", {"x": text}).content.decode())

    assert offered("forms", "covered") == ["Covered dish (Wherry)", "Round covered dish (Ormsley)"]
    assert offered("things", "stork") == ["Reed Heron · decoration"]
    assert "417 on Ormsley · number" in offered("things", "417")
    assert offered("things", "") == [] and offered("people", "ines") == [] and offered("pieces", "dish") == []
