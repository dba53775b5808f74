"""A real browser, Debian's Chromium, before the pages as they are served."""

import os
import shutil
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import sync_playwright

import footring.demo
from footring.records.models import Role, User
from footring.records.packs import bring_in_pack
from footring.web.launch import new_token
from tests.known import nothing_known  # noqa: F401

CHROMIUM = next(
    (path for name in ("chromium", "chromium-browser", "google-chrome") if (path := shutil.which(name))), ""
)
QUIET = ["--no-sandbox", "--disable-background-networking", "--disable-component-update", "--disable-sync"]
WIDE, PHONE = {"width": 1180, "height": 900}, {"width": 360, "height": 740}


@pytest.fixture(scope="package")
def browser():
    if not CHROMIUM:
        if os.environ.get("CI") == "true":
            pytest.fail("no Chromium here, and CI must have one")
        pytest.skip("no Chromium on this machine: install one to click through the pages")
    with pytest.MonkeyPatch.context() as here, sync_playwright() as playwright:
        here.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "true")  # its loop runs in the thread that reads the database
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield opened
        opened.close()


@pytest.fixture
def demo(transactional_db):
    """The invented pottery, its keeper signed up."""
    keeper = User.objects.create(username="keeper", role=Role.KEEPER)
    bring_in_pack(Path(footring.demo.__file__).parent / "pack", keeper)
    return keeper


@pytest.fixture
def open_page(browser, live_server, demo):
    """Open a page as the keeper; whatever the browser complains of fails the test."""
    contexts, complaints = [], []

    def opened(path="/", *, size=WIDE, dark=False, script=True):
        context = browser.new_context(
            viewport=size, color_scheme="dark" if dark else "light", java_script_enabled=script, reduced_motion="reduce"
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(15_000)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("console", lambda said: complaints.append(said.text) if said.type == "error" else None)
        page.goto(f"{live_server.url}/enter/{new_token()}/")
        page.goto(live_server.url + path)
        page.wait_for_load_state("networkidle")
        return page

    yield opened
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture
def nothing_wrong():
    """What axe finds on a page, which must be nothing, and whether it scrolls sideways, which it must not."""

    def checked(page):
        found = Axe().run(page).response["violations"]
        told = [f"{one['id']}: {node['html'][:160]}" for one in found for node in one["nodes"]]
        assert told == []
        assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth")

    return checked
