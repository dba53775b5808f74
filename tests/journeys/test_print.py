"""What goes on paper: black on white also from a dark screen, nothing to press, nothing left folded away."""

from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image
from playwright.sync_api import expect

pytestmark = pytest.mark.slow

PAPER = {"width": 680, "height": 990}  # A4 less its margins, at the 96 px to an inch of CSS
PAGES = {
    "piece": "/piece/ossel.piece-8/",
    "at home": "/at-home/",
    "label": "/?t=417+green+printed&c0=1&take=yes&why=yes",
    "form": "/reference/forms/ossel.ormsley-dish",
    "line": "/reference/lines/ossel.ormsley",
    "concordance": "/reference/concordance/",
}
TO_PRESS = "button, form, input, select, textarea, nav, header, .button"
PALE = """() => {
    const luminance = colour => {  // relative luminance: WCAG 2.2
        const [r, g, b] = colour.match(/[\\d.]+/g).map(one => one / 255).map(
            one => one <= 0.04045 ? one / 12.92 : ((one + 0.055) / 1.055) ** 2.4);
        return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const dark_ground = one => one && (/rgb\\(/.test(getComputedStyle(one).backgroundColor)
        ? luminance(getComputedStyle(one).backgroundColor) < 0.6 : dark_ground(one.parentElement));
    const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT), found = [];
    while (texts.nextNode()) {
        const one = texts.currentNode.parentElement;
        if (!texts.currentNode.data.trim() || !one.checkVisibility() || one.closest(".hidden, script, svg")) continue;
        if (luminance(getComputedStyle(one).color) > 0.183 || dark_ground(one)) found.push(texts.currentNode.data);
    }
    return found;
}"""
"""Texts that would have less than 4.5 to 1 on white paper (1.05 / (0.183 + 0.05)), or stand on a dark ground."""


@pytest.fixture
def printed(open_page):
    def printed(path):
        page = open_page(path, size=PAPER, dark=True)
        page.emulate_media(media="print", color_scheme="dark")
        return page

    return printed


@pytest.mark.parametrize("name", PAGES)
def test_paper_is_black_on_white_and_has_nothing_to_press(name, printed):
    page = printed(PAGES[name])
    expect(page.get_by_role("heading").first).to_be_visible()
    expect(page.locator(TO_PRESS).filter(visible=True)).to_have_count(0)
    assert page.evaluate(PALE) == []
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    assert page.pdf(format="A4").startswith(b"%PDF-")


def test_the_screen_is_dark_and_has_something_to_press_where_paper_has_not(open_page):
    """So that the test above could fail."""
    page = open_page(PAGES["piece"], size=PAPER, dark=True)
    assert page.evaluate(PALE) != []
    expect(page.locator("form:visible").first).to_be_visible()


def test_an_inventory_has_every_piece_with_its_place(printed):
    page = printed(PAGES["at home"])
    expect(page.locator(".pieces li")).to_have_count(8)
    expect(page.locator(".pieces li").first).to_be_visible()
    expect(page.get_by_text("Shelf 2, front room").first).to_be_visible()


def test_what_is_folded_away_is_laid_open_on_paper(printed):
    page = printed(PAGES["piece"])
    expect(page.get_by_text("FDA Food Code").first).to_be_visible()
    expect(page.get_by_text("None was kept yet")).to_be_visible()
    page.emulate_media(media="screen")
    expect(page.get_by_text("FDA Food Code").first).not_to_be_visible()


def test_photographs_are_kept_whole(printed, demo):
    client, picture = Client(), BytesIO()
    client.force_login(demo)
    Image.new("RGB", (300, 2400), "tan").save(picture, "JPEG")
    file = SimpleUploadedFile("tall.jpg", picture.getvalue())
    assert client.post("/piece/ossel.piece-8/photograph/", {"photograph": file}).status_code == 302
    page = printed(PAGES["piece"])
    size = page.locator(".hung img").first.evaluate("one => [one.width, one.height]")
    assert size[1] < 990 and size[0] / size[1] == pytest.approx(300 / 2400, rel=0.05)
