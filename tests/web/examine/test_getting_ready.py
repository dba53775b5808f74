"""A large reference is made ready in the background: the page says so, and keeps what was read."""

import pytest

pytestmark = pytest.mark.django_db


def test_while_it_is_made_ready_the_page_says_so(demo, keeper, client_of, monkeypatch):
    monkeypatch.setattr("footring.web.pages.examine.views.at_once", lambda: None)
    page = client_of(keeper).get("/?r=form=covered+dish").content.decode()
    assert "Your reference is being read" in page and "/?r=form=covered+dish" in page
