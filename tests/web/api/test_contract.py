"""Whatever the description allows or forbids, asked by each role, is answered as it says: checked by schemathesis."""

import json

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from django.test import Client
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from schemathesis.core.parameters import ParameterLocation
from schemathesis.specs.openapi.checks import positive_data_acceptance

from footring.marks.readings import NAMES
from footring.records.models import Role, User
from footring.web.api.tokens import new_token

HERE = "http://127.0.0.1"
described = schemathesis.openapi.from_wsgi("/api/openapi.json", get_wsgi_application(), base_url=HERE)
WRITTEN_IN_WORDS = {"/api/examine", "/api/encounters"}
"""Readings and dates have a grammar, which no schema tells: these refuse with 400 what a schema allows."""
SAID = [
    "184 mm", "7 1/4 in", "417", "none", "covered dish ~0.5", "ORMSLEY", "impressed", "c. 1938", '"', "~", "-1 mm",
    "1e308 mm", "٣", "1938/1920",
]  # fmt: skip


@pytest.fixture(autouse=True)
def one_connection():
    """The application is asked as it is served, but within the test's transaction: its connection stays open."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.fixture(params=[None, *Role], ids=lambda role: role or "nobody")
def brought(request, demo):
    """What a program of somebody with this role sends along."""
    return with_token_of(request.param) if request.param else {}


def with_token_of(role):
    return {"Authorization": f"Bearer {new_token(User.objects.create(username=f'a {role}', role=role), 'test')}"}


@described.parametrize()
@settings(
    max_examples=8, derandomize=True, database=None, phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)  # fmt: skip
def test_the_answer_is_as_described(case, brought):
    unfit = [positive_data_acceptance] if case.operation.path in WRITTEN_IN_WORDS else []
    headers = {} if case.meta.is_negative_at(ParameterLocation.HEADER) else brought  # there the token is what is wrong
    case.call_and_validate(base_url=HERE, headers=headers, excluded_checks=unfit)


@pytest.mark.parametrize(
    ("path", "method", "asked", "told"),
    [
        ("/api/pieces", "GET", {}, "Tea plate"),
        ("/api/pieces/{piece_id}", "GET", {"path_parameters": {"piece_id": "a"}}, "2020-05"),
        ("/api/readings", "GET", {"query": {"piece": "a"}}, "417"),
        ("/api/findings", "GET", {"query": {"piece": "a"}}, "outside"),
        ("/api/examine", "POST", {"body": {"readings": [{"name": "form", "value": "covered dish"}]}}, "cautions"),
        ("/api/encounters", "POST", {"body": {"piece": "a", "met": "May 2021", "place": "loft"}}, "2021-05"),
    ],
)
def test_what_there_is_is_told_as_described(demo, pieces, path, method, asked, told):
    case = described[path][method].Case(media_type="application/json" if method == "POST" else None, **asked)
    answer = case.call_and_validate(base_url=HERE, headers=with_token_of(Role.KEEPER))
    assert told in answer.text and answer.status_code in (200, 201)


def test_six_operations_are_described_each_behind_a_token():
    operations = [one.ok().definition.raw for one in described.get_all_operations()]
    assert len(operations) == 6
    assert all(one["security"] and one["summary"] and one["description"] and one["tags"] for one in operations)


# ---- what no schema tells


@pytest.fixture
def examined(demo):
    """What a program is answered that examines."""
    client, sent = Client(HTTP_HOST="127.0.0.1"), with_token_of(Role.KEEPER)["Authorization"]
    return lambda body: client.post("/api/examine", body, "application/json", HTTP_AUTHORIZATION=sent)


@settings(max_examples=40, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
@given(
    read=st.dictionaries(st.sampled_from(NAMES), st.sampled_from(SAID) | st.text(max_size=30), min_size=1, max_size=4)
)
def test_whatever_is_read_is_examined_or_refused_in_a_sentence(examined, read):
    answer = examined(json.dumps({"readings": [{"name": name, "value": value} for name, value in read.items()]}))
    told = answer.json()
    assert answer.status_code in (200, 400, 422) and (told["cautions"] if answer.status_code == 200 else told["detail"])


@pytest.mark.parametrize(
    "body",
    [b"", b"{", b"\xff\xfe", b"NaN", b"[]", b"[" * 200_000, b'{"readings": ' + b"9" * 5000 + b"}", b'"' + b"a" * 6_000_000],
    ids=["nothing", "cut off", "no text", "no number", "a list", "deep", "long number", "large"],
)  # fmt: skip
def test_what_is_no_object_of_json_is_refused_in_a_sentence(examined, body):
    answer = examined(body)
    assert answer.status_code in (400, 413, 422) and isinstance(answer.json()["detail"], str)
