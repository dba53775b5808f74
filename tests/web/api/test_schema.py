"""Whatever the schema allows is answered, and every answer is as the schema says (OpenAPI 3.1, JSON Schema 2020-12)."""

import json
from urllib.parse import quote

import pytest
from django.test import Client
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from footring.records.models import Role, User
from footring.web.api.tokens import new_token

pytestmark = pytest.mark.django_db
TYPES = {
    "string": str,
    "integer": int,
    "number": (int, float),
    "boolean": bool,
    "object": dict,
    "array": list,
    "null": type(None),
}
WORDS = [
    "form",
    "mark",
    "number",
    "across",
    "glaze",
    "nonsense",
    "184 mm",
    "417",
    "none",
    "a",
    "b",
    "covered dish ~0.5",
]


@pytest.fixture(scope="module")
def schema():
    return Client(HTTP_HOST="127.0.0.1").get("/api/openapi.json").json()


def resolved(schema, of):
    return schema["components"]["schemas"][of["$ref"].rsplit("/", 1)[1]] if "$ref" in of else of


def faults(schema, of, value, at="answer"):
    """Where a value is not as a schema says; the part of JSON Schema that is used here."""
    of = resolved(schema, of)
    if "anyOf" in of:
        return [] if any(not faults(schema, one, value, at) for one in of["anyOf"]) else [f"{at}: none of anyOf"]
    if "type" in of and (not isinstance(value, TYPES[of["type"]]) or (of["type"] == "integer" and value is True)):
        return [f"{at}: {value!r} is no {of['type']}"]
    if isinstance(value, list):
        return [
            fault for i, one in enumerate(value) for fault in faults(schema, of.get("items", {}), one, f"{at}[{i}]")
        ]
    if isinstance(value, dict):
        named = of.get("properties", {})
        missing = [f"{at}: {name} is missing" for name in of.get("required", ()) if name not in value]
        return missing + [
            fault for name, one in value.items() for fault in faults(schema, named.get(name, {}), one, f"{at}.{name}")
        ]
    return []


def values(schema, of):
    """Values that a schema allows."""
    of = resolved(schema, of)
    if "anyOf" in of:
        return st.one_of([values(schema, one) for one in of["anyOf"]])
    if of["type"] == "array":
        return st.lists(values(schema, of["items"]), min_size=of.get("minItems", 0), max_size=4)
    if of["type"] == "object":
        named, must = of["properties"], set(of.get("required", ()))
        whole = {name: values(schema, one) for name, one in named.items()}
        return st.fixed_dictionaries(
            {name: one for name, one in whole.items() if name in must},
            optional={name: one for name, one in whole.items() if name not in must},
        )
    if of["type"] == "integer":
        return st.integers(of.get("minimum", -(2**40)), of.get("maximum", 2**40))
    if of["type"] == "null":
        return st.none()
    text = st.text(
        st.characters(exclude_characters="\0", exclude_categories=["Cs"]), min_size=of.get("minLength", 0), max_size=30
    )
    return st.sampled_from(WORDS) | text


def operations(schema):
    return [(path, verb, of) for path, verbs in schema["paths"].items() for verb, of in verbs.items()]


@pytest.fixture
def program(demo):
    user = User.objects.create(username="program", role=Role.KEEPER)
    return Client(HTTP_HOST="127.0.0.1", HTTP_AUTHORIZATION=f"Bearer {new_token(user, 'test')}")


def test_the_schema_is_whole(schema):
    assert schema["openapi"].startswith("3.1") and len(operations(schema)) == 6
    for path, verb, of in operations(schema):
        assert of["security"], f"{verb} {path} asks for no token"
        assert of["summary"] and of["description"] and of["tags"]
        for answer in of["responses"].values():
            content = answer.get("content", {}).get("application/json", {"schema": {}})
            assert faults(schema, content["schema"], None) is not None


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(data=st.data())
@pytest.mark.parametrize("number", range(6))
def test_whatever_is_allowed_is_answered_as_the_schema_says(number, data, schema, program):
    path, verb, of = operations(schema)[number]
    asked = {}
    for one in of.get("parameters", ()):
        if one.get("required") or data.draw(st.booleans()):
            asked[one["in"], one["name"]] = data.draw(values(schema, one["schema"]))
    for (_, name), value in [(key, value) for key, value in asked.items() if key[0] == "path"]:
        path = path.replace("{" + name + "}", quote(str(value).replace("/", "-"), safe="") or "-")
    query = {name: value for (where, name), value in asked.items() if where == "query"}
    if verb == "get":
        answer = program.get(path, query)
    else:
        body = values(schema, of["requestBody"]["content"]["application/json"]["schema"])
        answer = program.post(path, json.dumps(data.draw(body)), "application/json")
    declared = {int(status) for status in of["responses"]}
    assert answer.status_code in declared | {400, 404}, (answer.status_code, answer.content)
    if answer.status_code in declared:
        shape = of["responses"][str(answer.status_code)]["content"]["application/json"]["schema"]
        assert faults(schema, shape, answer.json()) == []
    else:
        assert isinstance(answer.json()["detail"], str)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(body=st.binary(max_size=60) | st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["readings", "name", "value", "piece"]), inner, max_size=3),
).map(lambda value: json.dumps(value).encode()))  # fmt: skip
@pytest.mark.parametrize("path", ["examine", "encounters"])
def test_whatever_else_is_sent_is_refused_in_words(path, body, program):
    answer = program.post(f"/api/{path}", body, "application/json")
    assert answer.status_code in (400, 404, 422) and answer.json()["detail"]
