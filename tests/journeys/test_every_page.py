"""Every first page can be read by everyone: WCAG 2.2 AA as far as axe can tell, light and dark, wide and on a phone."""

import pytest
from django.urls import reverse

from footring.web.context import PLACES
from tests.journeys.conftest import PHONE, WIDE

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("name", [name for name, *_ in PLACES])
def test_nothing_is_wrong_with_a_first_page(name, open_page, nothing_wrong):
    for size in (WIDE, PHONE):
        for dark in (False, True):
            nothing_wrong(open_page(reverse(name), size=size, dark=dark))


def test_the_pages_are_reached_by_keyboard_alone(open_page):
    page = open_page("/")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    reached = []
    for _ in range(2 + len(PLACES)):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.textContent").strip())
    assert [title for _, title, _ in PLACES if title not in reached] == []
