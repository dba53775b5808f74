"""The how-to page's own file is brought in, and the page says what the app says of it."""

import re

import pytest

from footring.records.models import MODELS
from footring.records.worker import work_off
from tests.house import ROOT
from tests.web.bring_in.test_bring_in import brought_in, counts, page_of, send

pytestmark = pytest.mark.django_db
PAGE = (ROOT / "docs" / "how-to" / "bring-in-a-spreadsheet.md").read_text("utf-8")


def block(language: str) -> str:
    (found,) = re.findall(rf"```{language}\n(.*?)```", PAGE, re.DOTALL)
    return found


@pytest.fixture
def browser(demo, keeper, client_of):
    return client_of(keeper)


def test_it_says_what_the_page_shows(browser):
    told = page_of(browser, send(browser, block("csv")))
    for line in block("text").splitlines():
        assert line.rstrip(".") in told
    assert "line Ormsly (1; is it Ormsley?)" in told and "Row 4, Diameter (mm)" in told
    assert "Bring in 2 pieces" in told


def test_mended_brought_in_sent_again_and_taken_back(browser):
    before = counts()
    job = send(browser, block("csv"))
    browser.post(f"/bring-in/{job.pk}/look/", as_taken(browser, job) | {"fix-4:6": "210 mm", "was-4:6": "tall"})
    brought_in(browser, job)
    assert counts()[0] == before[0] + 3
    assert MODELS["pieces"].objects.get(pk="home.1").name == "Hotel dish"
    again = send(browser, block("csv").replace("Hotel dish", "Another name"))
    assert "It would add nothing" in page_of(browser, again) and "2 are here already" in page_of(browser, again)
    browser.post(f"/bring-in/{job.pk}/back/")
    work_off()
    assert counts() == before


def as_taken(browser, job) -> dict[str, str]:
    """What the page has chosen for each column, as its form sends it."""
    shown = browser.get(f"/bring-in/{job.pk}/").context["columns"]
    means = {f"means-{one.number}": one.column.means for one in shown}
    return means | {f"unit-{one.number}": one.column.unit for one in shown}
