"""A keeper with full hands, without script: photographs, faults, paper, notes and provenance of one piece, put right and undone."""

import re
from io import BytesIO

import pytest
from PIL import Image
from playwright.sync_api import expect

from footring.records.models import MODELS

pytestmark = pytest.mark.slow
PIECE = "/piece/ossel.piece-8/"


def picture(name, colour):
    out = BytesIO()
    Image.new("RGB", (90, 60), colour).save(out, "JPEG")
    return {"name": name, "mimeType": "image/jpeg", "buffer": out.getvalue()}


@pytest.fixture
def page(open_page):
    return open_page(PIECE, script=False)


def within(page, part, summary):
    """What is folded away under some words, unfolded."""
    fold = page.locator(f"#{part} details", has=page.locator("summary", has_text=summary)).last
    fold.locator("summary").first.click()
    return fold


def undo(page):
    page.get_by_role("link", name="What was done to it, and undo").click()
    page.get_by_role("button", name="Undo").first.click()
    expect(page.get_by_role("status")).to_contain_text("Undone")


def test_several_sides_come_at_once_and_are_put_into_an_order(page):
    fold = within(page, "photographs", "Add photographs")
    files = [picture("foot.jpg", "red"), picture("whole.jpg", "tan"), picture("mark.jpg", "blue")]
    fold.get_by_label("Files").set_input_files(files)
    fold.get_by_role("button", name="Keep").click()
    expect(page.locator(".hung figcaption")).to_contain_text(["Whole", "Foot", "Mark"])
    mark = page.locator(".hung figure", has_text="Mark")
    mark.locator("summary").click()
    mark.get_by_role("button", name="Show first").click()
    expect(page.locator(".hung figcaption")).to_contain_text(["Mark", "Whole", "Foot"])
    undo(page)
    expect(page.locator(".hung figcaption")).to_contain_text(["Whole", "Foot", "Mark"])


def test_a_note_is_written_corrected_taken_away_and_that_undone(page):
    fold = within(page, "notes", "Write a note")
    fold.get_by_label("What is to be remembered").fill("Ask Ines about the lit")
    fold.get_by_role("button", name="Note").click()
    fold = within(page, "notes", "Correct")
    fold.get_by_label("What is to be remembered").fill("Ask Ines about the lid")
    fold.get_by_role("button", name="Correct").click()
    expect(page.locator("#notes > .note")).to_contain_text("about the lid")
    within(page, "notes", "Correct").get_by_role("button", name="Take away").click()
    expect(page.locator("#notes > .note")).to_have_count(0)
    undo(page)
    expect(page.locator("#notes > .note")).to_contain_text("about the lid")


def test_damage_paper_and_provenance_are_put_right_and_taken_away(page):
    fold = within(page, "condition", "Correct, or take away")
    fold.get_by_label("Where").first.fill("rim, at 4 o’clock")
    fold.get_by_role("button", name="Correct").first.click()
    expect(page.locator("#condition .spots").last).to_contain_text("rim, at 4 o’clock")
    fold = within(page, "parts", "Name a part")
    fold.get_by_label("What it is").fill("receipt")
    fold.get_by_role("button", name="Note").click()
    within(page, "parts", "Call one otherwise").get_by_role("button", name=re.compile("Take away.*receipt")).click()
    expect(page.locator("#parts > p")).to_have_text("Base, lid.")
    undo(page)
    expect(page.locator("#parts > p")).to_contain_text("receipt")
    fold = within(page, "came", "Say how it came")
    fold.get_by_label("From whom").fill("Ines Marrable")
    fold.get_by_role("button", name="Note").click()
    fold = within(page, "came", "Correct, or take away, how")
    fold.get_by_label("It was").select_option("given")
    fold.get_by_role("button", name="Correct").click()
    expect(page.locator("#came")).to_contain_text("Given, from Ines Marrable.")
    assert MODELS["acquisitions"].objects.current().filter(piece="ossel.piece-8").count() == 1
