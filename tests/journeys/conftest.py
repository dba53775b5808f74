"""A real browser, Debian's Chromium, before the pages as they are served."""

import os
import shutil
from pathlib import Path

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from django.test import Client
from playwright.sync_api import expect, sync_playwright

import footring.demo
from footring.records.models import Role, User
from footring.records.packs import bring_in_pack
from tests.known import nothing_known  # noqa: F401

CHROMIUM = next(
    (path for name in ("chromium", "chromium-browser", "google-chrome") if (path := shutil.which(name))), ""
)
QUIET = ["--no-sandbox", "--disable-background-networking", "--disable-component-update", "--disable-sync"]
WIDE, PHONE = {"width": 1180, "height": 900}, {"width": 360, "height": 740}
VIOLATIONS = """axe.run(document, {resultTypes: ["violations"]}).then(found => found.violations.flatMap(
    one => one.nodes.map(node => `${one.id}: ${node.html.slice(0, 160)}`)))"""
expect.set_options(timeout=20_000)


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


NO_COMPLAINT = ("the server responded with a status of 4", "htmx:afterRequest", "htmx:sendAbort")
"""A refusal that a test asked for; a question given up for a newer one."""


@pytest.fixture
def open_page(browser, live_server, demo):
    """Open a page as somebody, else as the keeper; whatever the browser complains of fails the test."""
    contexts, complaints = [], []

    def opened(path="/", *, size=WIDE, dark=False, script=True, who=demo):
        context = browser.new_context(
            viewport=size, color_scheme="dark" if dark else "light", java_script_enabled=script,
            reduced_motion="reduce", base_url=live_server.url,
        )  # fmt: skip
        contexts.append(context)
        if who is not None:
            context.add_cookies([{"name": "footring", "value": signed_in(who), "url": live_server.url}])
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("console", lambda said: complaints.append(told_by(said)) if said.type == "error" else None)
        page.goto(path)
        settled(page)
        return page

    opened.complaints = complaints
    yield opened
    for context in contexts:
        context.close()
    assert [text for text in complaints if "/static/" in text or not any(one in text for one in NO_COMPLAINT)] == []


def told_by(said):
    """What a browser says, and of what, where something was not served."""
    return f"{said.text} {said.location['url']}" if "status of" in said.text else said.text


def signed_in(who):
    """What the browser of somebody who is signed in keeps."""
    client = Client(HTTP_HOST="127.0.0.1")
    client.force_login(who)
    return client.cookies["footring"].value


def settled(page):
    """Wait until nothing more is asked for."""
    expect(page.locator(".htmx-request")).to_have_count(0)


@pytest.fixture
def nothing_wrong():
    """What axe finds on a page, in the light and wide, in the dark and on a phone: which must be nothing."""

    def checked(page):
        assert wrong_with(page) == []

    return checked


def wrong_with(page):
    """What axe finds on a page as it stands, and whether it scrolls sideways."""
    found, was = [], page.viewport_size
    page.evaluate(AXE_SCRIPT)
    for size, colours in ((WIDE, "light"), (PHONE, "dark")):
        page.set_viewport_size(size)
        page.emulate_media(color_scheme=colours)
        found += [f"{colours}: {told}" for told in page.evaluate(VIOLATIONS)]
        if page.evaluate("document.documentElement.scrollWidth > document.documentElement.clientWidth"):
            found.append(f"{colours}: scrolls sideways")
    page.set_viewport_size(was)
    return found


class Keys:
    """A page used by its keys alone."""

    def __init__(self, page):
        self.page = page

    def to(self, what, *, back=False):
        """Tab until something is reached; it must be reached."""
        for _ in range(200):
            if what.evaluate("one => one === document.activeElement"):
                return self
            self.page.keyboard.press("Shift+Tab" if back else "Tab")
        raise AssertionError(f"no way by Tab to {what}")

    def press(self, *keys):
        for key in keys:
            self.page.keyboard.press(key)
        return self

    def enter(self, what):
        """Go to something and press Enter there."""
        return self.to(what).press("Enter")

    def type(self, what, text):
        """Go to a field and type in place of what stands there."""
        self.to(what).press("ControlOrMeta+a")
        self.page.keyboard.type(text)
        return self
