"""The first five minutes: turn it over, type what stands there, look again, put it away, find the slip, undo it."""

import re
from contextlib import suppress

import pytest
from playwright.sync_api import Error, expect

from footring.records.models import MODELS
from tests.journeys.conftest import PHONE, settled

pytestmark = pytest.mark.slow


def typed(page, text):
    """Type a line, see how it was understood, take it."""
    page.get_by_label("Add what you see").fill(text)
    page.get_by_role("button", name="Read it").click()
    page.get_by_role("button", name="Yes, take it").click()
    expect(page.get_by_role("button", name="Yes, take it")).to_have_count(0)
    settled(page)


def test_examine_and_put_away(open_page, nothing_wrong):
    page = open_page("/")
    label = page.get_by_label("The label")
    expect(label).to_contain_text("Turn it over. Type what stands there.")
    typed(page, "417 green printed, covered dish")
    typed(page, "213 mm, no date code")
    expect(label).to_contain_text("Reed Heron")
    expect(label).to_contain_text("213 mm")
    expect(label).to_contain_text("Look next at")
    expect(page.get_by_label("Cautions")).to_contain_text("A laboratory")
    nothing_wrong(page)
    address = page.url
    page.reload()
    assert page.url == address
    expect(label).to_contain_text("Reed Heron")
    page.get_by_text("Put away").first.click()
    page.get_by_label("What it is called").fill("The heron dish")
    page.get_by_role("button", name="Put away").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("The heron dish")
    nothing_wrong(page)
    piece = MODELS["pieces"].objects.get(name="The heron dish")
    kept = MODELS["readings"].objects.filter(piece=piece)
    read = {(one.name, one.value, one.absent) for one in kept}
    assert read >= {("form", "covered dish", False), ("date_code", None, True)}
    assert {name for name, value, _ in read if value == "417"} & {"number", "numeral"}


def test_a_word_folds_out_what_else_it_may_be(open_page, nothing_wrong):
    page = open_page("/?r=form=covered dish")
    page.get_by_label("The label").locator("a.think").first.click()
    expect(page.locator("#fold")).to_be_visible()
    nothing_wrong(page)
    page.locator("#fold").get_by_role("link", name=re.compile("Can't tell|Fold up")).click()
    expect(page.locator("#fold")).to_have_count(0)


def test_who_clicks_again_before_the_answer_is_there_gets_what_was_clicked_last(open_page):
    page = open_page("/?r=form=covered dish")
    asked = []
    page.route("**/*open=*", lambda route: asked.append(route))
    words = page.locator(".label a[id^=w-]")
    last = words.nth(1).get_attribute("id")
    words.nth(0).click()
    words.nth(1).click()
    for route in asked:  # answered in the order in which they were asked
        with suppress(Error):  # it was given up
            route.continue_()
        page.wait_for_timeout(500)
    expect(page.locator(f"#{last}")).to_have_attribute("aria-expanded", "true")


def test_a_slip_is_corrected_and_undone(open_page):
    page = open_page("/piece/ossel.piece-8/")
    page.evaluate("document.querySelectorAll('details').forEach((fold) => { fold.open = true })")
    form = page.locator('form[action$="/name/"]')
    form.locator("input[name=name]").fill("Wrong name")
    form.locator("button").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Wrong name")
    page.goto("/piece/ossel.piece-8/history/")
    page.get_by_role("button", name="Undo").first.click()
    expect(page.get_by_role("heading", level=1)).not_to_have_text("Wrong name")


def test_it_works_on_a_phone_without_script(open_page):
    page = open_page("/", size=PHONE, script=False)
    page.get_by_label("Add what you see").fill("417")
    page.get_by_role("button", name="Read it").click()
    page.get_by_role("button", name="Yes, take it").click()
    expect(page.get_by_label("The label")).to_contain_text("417")
    assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")


def test_what_cannot_be_read_keeps_everything_else(open_page):
    page = open_page("/?r=form=covered dish&r=across=two hands")
    expect(page.get_by_label("The label")).to_contain_text("covered dish")
    expect(page.get_by_text("two hands").first).to_be_visible()
    expect(page.get_by_role("button", name="Mend")).to_be_visible()


def test_everything_is_done_by_keyboard_alone(open_page):
    page = open_page("/")
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.id") == "add":
            break
    page.keyboard.type("covered dish")
    page.keyboard.press("Enter")
    expect(page.get_by_role("button", name="Yes, take it")).to_be_focused()
    page.keyboard.press("Enter")
    expect(page.get_by_label("The label")).to_contain_text("covered dish")
