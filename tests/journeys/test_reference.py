"""The reference read and corrected in a browser: statements open in place, and a number of the concordance is put right."""

import pytest
from playwright.sync_api import expect

from footring.records.models import MODELS
from tests.journeys.conftest import PHONE

pytestmark = pytest.mark.slow


def test_a_number_of_the_concordance_is_corrected(open_page, nothing_wrong):
    page = open_page("/reference/concordance/", size=PHONE)
    page.get_by_label("A number or a decoration").fill("heron")
    page.get_by_role("button", name="Find").click()
    page.get_by_role("link", name="417", exact=True).click()
    expect(page.locator(".fold")).to_contain_text("Sluice Gate Talk at Tarn Lane hall")
    nothing_wrong(page)
    page.get_by_role("link", name="Correct it").click()
    page.get_by_label("Code").fill("471")
    page.get_by_label("Source").fill("Decorating shop ledger B")
    page.get_by_role("button", name="Keep").click()
    expect(page.get_by_role("status")).to_contain_text("Kept: 471 on Ormsley.")
    number = MODELS["numbers"].objects.current().get(code="471")
    assert (number.supersedes_id, number.source_id) == ("ossel.no-417", "ossel.ledger-b")
    page.goto("/reference/concordance/?q=heron")
    expect(page.get_by_role("link", name="471", exact=True)).to_be_visible()


def test_a_statement_opens_by_keyboard_and_takes_a_claim_in_place(open_page, nothing_wrong):
    page = open_page("/reference/things/decorations/ossel.reed-heron")
    page.locator("summary", has_text="Designed").focus()
    page.keyboard.press("Enter")
    fold = page.locator(".fold", has_text="What stands")
    expect(fold).to_contain_text("1936 Talk at Tarn Lane hall")
    fold.get_by_text("Add a claim, for or against").click()
    fold.get_by_label("It says").fill("1935")
    fold.get_by_label("Source").fill("Talk at Tarn Lane hall")
    fold.get_by_label("Speaks").select_option("against")
    nothing_wrong(page)
    fold.get_by_role("button", name="Write it down").click()
    expect(fold).to_contain_text("Written down.")
    expect(fold.locator(".against")).to_contain_text("1935")


def test_names_are_offered_while_a_claim_is_typed(open_page):
    page = open_page("/sources/one/ossel.talk-1991")
    page.get_by_label("Of what").press_sequentially("wherr")
    expect(page.locator("#things option").first).to_have_attribute("value", "Wherry · line")


def test_everything_works_without_script(open_page):
    page = open_page("/reference/concordance/?q=heron", script=False)
    page.get_by_role("link", name="417", exact=True).click()
    page.get_by_role("link", name="Correct it").click()
    page.get_by_label("Code").fill("471")
    page.get_by_role("button", name="Keep").click()
    expect(page.get_by_role("status")).to_contain_text("Kept: 471 on Ormsley.")
