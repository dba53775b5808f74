"""The other journeys by keyboard alone: nothing here is clicked."""

import pytest
from playwright.sync_api import expect

from footring.records.models import MODELS
from footring.records.worker import work_off
from tests.journeys.conftest import Keys
from tests.journeys.test_bring_in import SHEET

pytestmark = pytest.mark.slow


def button(page, name):
    return page.get_by_role("button", name=name)


def link(page, name):
    return page.get_by_role("link", name=name, exact=True)


def test_a_number_of_the_concordance_is_corrected_and_that_undone(open_page):
    page = open_page("/reference/concordance/")
    keys = Keys(page).type(page.get_by_label("A number or a decoration"), "heron").press("Enter")
    keys.enter(link(page, "417")).enter(link(page, "Correct it"))
    keys.type(page.get_by_label("Code"), "471").type(page.get_by_label("Source"), "Decorating shop ledger B")
    keys.enter(button(page, "Keep"))
    expect(page.get_by_role("status")).to_contain_text("Kept: 471 on Ormsley.")
    page.goto("/reference/concordance/?q=heron")
    keys.enter(link(page, "471")).enter(page.get_by_text("History", exact=True)).enter(button(page, "Undo it"))
    expect(page.get_by_role("status")).to_contain_text("Undone")
    page.goto("/reference/concordance/?q=heron")
    expect(link(page, "417")).to_be_visible()
    expect(link(page, "471")).to_have_count(0)
    assert MODELS["numbers"].objects.current().filter(pk="ossel.no-417").exists()


def test_a_sheet_with_faults_is_mended_brought_in_and_taken_back(open_page, tmp_path):
    sheet = tmp_path / "plates.csv"
    sheet.write_text(SHEET)
    page = open_page("/bring-in/")
    keys = Keys(page).to(page.locator("#file"))
    with page.expect_file_chooser() as asked:
        keys.press("Space")
    asked.value.set_files(sheet)
    keys.enter(button(page, "Look it over"))
    keys.type(page.get_by_label("Row 3, Diameter (mm)"), "9 in").enter(button(page, "Look again").first)
    keys.enter(button(page, "Bring in 2 pieces"))
    expect(page.get_by_role("status")).to_be_visible()
    work_off()
    expect(page.get_by_text("Brought in: 2 pieces, 6 readings")).to_be_visible()
    keys.enter(button(page, "Take it all back"))
    expect(page.get_by_role("status")).to_be_visible()
    work_off()
    expect(page.get_by_text("It was taken back.")).to_be_visible()
    assert not MODELS["pieces"].objects.filter(name="Jug").exists()


def test_a_list_is_kept_pieces_of_it_are_changed_together_and_that_undone(open_page, nothing_wrong):
    page = open_page("/at-home/")
    keys = Keys(page).type(page.get_by_label("Words"), "dish").press("Enter")
    keys.enter(page.get_by_text("Keep this list"))
    keys.type(page.get_by_label("Call it"), "Dishes").press("Enter")
    expect(page.get_by_role("status")).to_contain_text("Kept as “Dishes”.")
    page.goto("/at-home/")
    keys.enter(link(page, "Dishes"))
    expect(page.get_by_label("Words")).to_have_value("dish")
    for chosen in page.get_by_role("checkbox", name="Choose").all()[:2]:
        keys.to(chosen).press("Space")
    keys.enter(button(page, "Change the chosen together"))
    keys.to(page.get_by_label("Who sees it"))
    page.keyboard.type("pri")
    keys.enter(button(page, "See what changes"))
    expect(page.get_by_role("heading", level=2)).to_contain_text("would change")
    nothing_wrong(page)
    keys.enter(button(page, "Change them"))
    expect(page.get_by_role("status")).to_be_visible()
    assert MODELS["pieces"].objects.filter(private=True).count() == 2
    keys.enter(button(page, "Undo that"))
    expect(page.get_by_role("status")).to_contain_text("Undone")
    assert not MODELS["pieces"].objects.filter(private=True).exists()
    keys.enter(page.get_by_text("Keep this list, or forget one")).enter(button(page, "Forget “Dishes”"))
    expect(link(page, "Dishes")).to_have_count(0)


def test_a_piece_is_examined_put_away_renamed_and_that_undone(open_page):
    page = open_page("/")
    keys = Keys(page).type(page.get_by_label("Add what you see"), "covered dish, 213 mm").press("Enter")
    expect(button(page, "Yes, take it")).to_be_focused()
    keys.press("Enter")
    expect(page.get_by_label("The label")).to_contain_text("213 mm")
    keys.enter(page.locator("a, button").filter(has_text="Put away").first)
    keys.type(page.get_by_label("What it is called"), "The heron dish").enter(button(page, "Put away"))
    expect(page.get_by_role("heading", level=1)).to_have_text("The heron dish")
    keys.enter(page.get_by_text("Rename", exact=True).first)
    keys.type(page.get_by_label("What it is called"), "A slip").press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("A slip")
    keys.enter(link(page, "What was done to it, and undo")).enter(button(page, "Undo").first)
    expect(page.get_by_role("heading", level=1)).to_have_text("The heron dish")


def test_a_token_is_made_shown_once_and_revoked(open_page, nothing_wrong):
    page = open_page("/settings/")
    keys = Keys(page).type(page.get_by_label("What the program is called"), "My script").press("Enter")
    token = page.get_by_label("Token").input_value()
    assert token.startswith("footring_")
    nothing_wrong(page)
    keys.enter(link(page, "Back to the settings"))
    expect(page.get_by_text("never used")).to_be_visible()
    assert token not in page.content()
    keys.enter(button(page, "Revoke"))
    expect(page.get_by_role("status")).to_contain_text("revoked")
    expect(page.get_by_text("never used")).to_have_count(0)
