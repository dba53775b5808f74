"""What a page says when it cannot do what was asked, and where it says one is."""

import pytest
from django.db import OperationalError
from django.test import Client

from footring.web.errors import why

pytestmark = pytest.mark.django_db


def test_every_problem_has_a_heading_and_a_sentence(client_of, keeper):
    here = client_of(keeper)
    for address, status, heading in (
        ("/nothing/", 404, "Not here"), ("/at-home/change/", 405, "Not done"), ("/people/", 404, "Not here")
    ):  # fmt: skip
        answer = here.get(address)
        page = answer.content.decode()
        assert (answer.status_code, f"<h1>{heading}</h1>" in page, 'role="alert"' in page) == (status, True, True)


def test_what_an_address_does_not_take_is_told_with_what_it_takes(client_of, keeper):
    """RFC 9110: a 405 has an Allow (15.5.6); OPTIONS may be asked of no address at all, which is written * (9.3.7)."""
    here = client_of(keeper)
    assert here.get("/at-home/change/").headers["Allow"] == "POST"
    assert here.put("/at-home/").headers["Allow"] == "GET, HEAD"
    assert here.head("/at-home/").status_code == 200, "RFC 9110, 9.1: what is got can be asked for without its body"
    assert here.options("*").status_code == 404


def test_a_form_of_an_earlier_session_says_what_to_do(keeper):
    here = Client(HTTP_HOST="127.0.0.1", enforce_csrf_checks=True)
    here.force_login(keeper)
    answer = here.post("/settings/", {"paper": "dark"})
    assert answer.status_code == 403
    assert "go back, load its page again, and send it again" in answer.content.decode()


@pytest.mark.parametrize(
    ("address", "place", "how"),
    [
        ("/reference/", "Reference", "page"), ("/reference/concordance/", "Reference", "true"),
        ("/at-home/ask/", "At home", "true"), ("/help/words/", "Help", "true"), ("/", "Examine", "page"),
    ],
)  # fmt: skip
def test_a_page_says_where_one_is(client_of, keeper, address, place, how):
    page = client_of(keeper).get(address).content.decode()
    assert f'aria-current="{how}">{place}</a>' in page.partition("</header>")[0]


def test_where_the_database_stands_is_told_to_nobody():
    """In the words of libpq, from memory."""
    told = 'connection to server at "203.0.113.9", port 5432 failed: FATAL: password authentication failed for user "plates"'
    assert why(OperationalError(told)) == "the database cannot be reached"
    assert why(OperationalError("database or disk is full")) == "database or disk is full"
