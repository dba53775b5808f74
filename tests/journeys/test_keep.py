"""A piece kept as the how-to page tells it: pictured, found, corrected, moved, undone, taken along."""

import csv

import pytest
from playwright.sync_api import expect

from footring.records.models import MODELS
from tests.records.test_photographs import picture

pytestmark = pytest.mark.slow
PIECE = "/piece/ossel.piece-8/"


def unfold(within, words):
    within.get_by_text(words, exact=True).first.click()


def test_a_piece_is_kept_as_the_page_tells_it(open_page, nothing_wrong, tmp_path):
    page = open_page(PIECE)
    unfold(page, "Add photographs")
    pictures = page.locator("#photographs")
    pictures.locator("input[type=file]").set_input_files(
        {"name": "foot.jpg", "mimeType": "image/jpeg", "buffer": picture()}
    )
    pictures.get_by_label("Side").last.fill("foot")
    pictures.get_by_role("button", name="Keep").last.click()
    expect(page.get_by_role("img", name="Foot of")).to_be_visible()
    unfold(page, "Move")
    page.get_by_label("Where it stands").fill("Attic chest")
    page.get_by_role("button", name="Move", exact=True).click()
    expect(page.locator("#place")).to_contain_text("Attic chest")
    page.get_by_role("link", name="At home").click()
    page.get_by_label("Words").fill("attic chets")
    page.get_by_role("button", name="Find").click()
    expect(page.locator("ol.pieces li")).to_have_count(1)
    with page.expect_download() as taken:
        page.get_by_role("link", name="As a table for a spreadsheet").click()
    taken.value.save_as(tmp_path / "table.csv")
    with (tmp_path / "table.csv").open(encoding="utf-8", newline="") as file:
        assert [(row["id"], row["place"], row["picture"]) for row in csv.DictReader(file)] == [
            ("ossel.piece-8", "Attic chest", "yes")
        ]
    page.goto(page.url.partition("/at-home/")[0] + PIECE)
    page.get_by_role("link", name="What was done to it, and undo").click()
    page.get_by_role("button", name="Undo").first.click()
    expect(page.locator("#place")).not_to_contain_text("Attic chest")
    nothing_wrong(page)


def test_a_reading_is_corrected_and_the_old_one_kept(open_page):
    page = open_page(PIECE)
    first = page.locator("#readings li").first
    before = first.locator(".value").inner_text()
    first.get_by_text("Correct").first.click()
    first.get_by_label("It reads").fill("3/431")
    first.get_by_label("because").fill("read again under a lamp")
    first.get_by_role("button", name="Correct").click()
    unfold(page, "What was read before")
    kept = page.locator("#readings details").filter(has_text="What was read before")
    expect(kept).to_contain_text(before)
    expect(kept).to_contain_text("read again under a lamp")
    assert MODELS["readings"].objects.filter(piece="ossel.piece-8", value="3/431").exists()
