"""What the how-to of the API says is answered is answered."""

import json
import re
import shlex

import pytest
from django.test import Client

from footring.records.acts import act
from footring.rows.collection import Piece, Reading
from footring.web.api.tokens import new_token
from tests.house import ROOT

pytestmark = pytest.mark.django_db
PAGE = (ROOT / "docs" / "how-to" / "use-the-api.md").read_text("utf-8")
CALLS = re.findall(r"^\$ (curl .*)\n(\{.*\})?", PAGE, re.MULTILINE)


@pytest.fixture
def token(demo, keeper):
    with act("put away", keeper) as doing:
        doing.add(
            Piece("home.12", name="Tea plate"), Reading("home.12.number", piece="home.12", name="number", value="417")
        )
    return new_token(keeper, "test")


def asked(command, token):
    """What a call of curl asks, asked here."""
    words = shlex.split(command.replace("$TOKEN", token).replace("$FOOTRING", "/api"))[1:]
    options = dict(zip(words[:-1:2], words[1:-1:2], strict=True))
    brought = {"HTTP_AUTHORIZATION": options["-H"].partition(": ")[2]} if "-H" in options else {}
    client = Client(HTTP_HOST="127.0.0.1")
    if "-d" in options:
        return client.post(words[-1], options["-d"], "application/x-www-form-urlencoded", **brought)
    return client.get(words[-1], **brought)


@pytest.mark.parametrize(("command", "told"), CALLS, ids=[command[-30:] for command, _ in CALLS])
def test_each_call_is_answered_as_the_page_says(command, told, token, monkeypatch):
    monkeypatch.setattr("footring.web.api.doing.new_id", lambda: "...")
    answer = asked(command, token)
    assert answer.status_code == (
        200 if "-H" in command and "encounters" not in command else 201 if "-d" in command else 401
    )
    assert answer.json() == json.loads(told) if told else answer.json()["cautions"]


def test_every_status_of_the_description_is_on_the_page():
    operations = Client(HTTP_HOST="127.0.0.1").get("/api/openapi.json").json()["paths"].values()
    statuses = {status for one in operations for of in one.values() for status in of["responses"]}
    assert len(CALLS) == 5 and {status for status in statuses if status >= "400"} == set(
        re.findall(r"^\| (\d+) ", PAGE, re.MULTILINE)
    )
