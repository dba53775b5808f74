"""Nobody gets in but the browser that was opened, once, by a name of this machine."""

import pytest
from django.test import Client

from footring.web.launch import new_token, redeem


@pytest.fixture
def browser():
    return Client(HTTP_HOST="127.0.0.1")


def test_a_token_works_once_and_no_other_does():
    token = new_token()
    assert not redeem("") and not redeem(token[:-1])
    assert redeem(token) and not redeem(token)


@pytest.mark.django_db
def test_only_the_browser_that_was_opened_gets_in(browser, keeper):
    assert browser.get("/").headers["Location"].startswith("/sign-in/")
    token = new_token()
    assert browser.get(f"/enter/{token}/", follow=True).status_code == 200
    other = Client(HTTP_HOST="127.0.0.1").get(f"/enter/{token}/")
    assert (other.status_code, "used already" in other.content.decode()) == (403, True)


@pytest.mark.django_db
@pytest.mark.parametrize("host", ["evil.example", "localhost.evil.example", "127.0.0.2"])
def test_another_name_for_this_machine_is_refused(host, keeper):
    assert Client(HTTP_HOST=host).get(f"/enter/{new_token()}/").status_code == 400


@pytest.mark.django_db
def test_every_answer_tells_the_browser_what_to_refuse(browser):
    headers = browser.get("/", follow=True).headers
    assert "default-src 'none'" in headers["Content-Security-Policy"]
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert (headers["X-Content-Type-Options"], headers["X-Frame-Options"]) == ("nosniff", "DENY")
    assert "Access-Control-Allow-Origin" not in headers
    assert headers["Cache-Control"] == "no-store"


@pytest.mark.django_db
def test_a_form_sent_by_another_page_is_refused(keeper):
    strict = Client(HTTP_HOST="127.0.0.1", enforce_csrf_checks=True)
    strict.force_login(keeper)
    assert strict.post("/leave/").status_code == 403
