"""Programs are told what the person may see for whom they act, and do what that person may."""

import json
import subprocess
import sys

import pytest
from django.db import OperationalError
from django.test import Client

from footring.records.acts import act, revision
from footring.records.models import MODELS, ApiToken, Role, User
from footring.rows.collection import Note, Piece
from footring.web.api.tokens import new_token
from tests.web.conftest import PACK

pytestmark = pytest.mark.django_db
EXAMINED = {"readings": [{"name": "form", "value": "covered dish"}, {"name": "number", "value": "417"}]}


class Program:
    """A program with somebody's token, or without."""

    def __init__(self, user=None, token=None):
        token = token or (new_token(user, "test") if user else "")
        self._client = Client(HTTP_HOST="127.0.0.1", enforce_csrf_checks=True)
        self._brought = {"HTTP_AUTHORIZATION": f"Bearer {token}"} if token else {}

    def get(self, path, **given):
        return self._client.get(f"/api/{path}", given, **self._brought)

    def post(self, path, given):
        return self._client.post(f"/api/{path}", json.dumps(given), "application/json", **self._brought)


def somebody(role, name=None):
    return User.objects.create(username=name or f"a {role}", role=role)


def test_a_collection_is_read(keeper, pieces):
    program = Program(keeper)
    assert [row["id"] for row in program.get("pieces").json()["items"]] == ["a", "b"]
    whole = program.get("pieces/a").json()
    assert (whole["name"], whole["place"], whole["private"]) == ("Tea plate", "loft", False)
    assert [(row["id"], row["value"], row["sure"]) for row in whole["readings"]] == [
        ("a.form", "plate", 0.8), ("a.new", "417", None),
    ]  # fmt: skip
    assert whole["encounters"] == [{"id": "a.met", "piece": "a", "met": "2020-05", "channel": None, "place": "loft"}]
    (finding,) = program.get("findings", piece="a").json()["items"]
    assert [(one["rank"], one["probability"], one["outcome"]) for one in finding["answers"]] == [(1, 0.9, "outside")]


@pytest.mark.parametrize("role", Role)
def test_notes_are_told_as_they_stand_now_and_private_ones_to_the_owner_s_side(role, keeper, pieces):
    with act("notes", keeper) as doing:
        doing.add(
            Note("n", piece="a", text="open before", private=False),
            Note("n2", piece="a", text="open now", private=False, supersedes="n"),
            Note("p", piece="a", text="not for all"),
        )
    told = [one["text"] for one in Program(somebody(role, "who")).get("pieces/a").json()["notes"]]
    assert told == ["open now", *(["not for all"] if role in (Role.CURATOR, Role.KEEPER) else [])]


@pytest.mark.parametrize("role", [Role.GUEST, Role.MEMBER])
def test_what_is_private_is_told_to_nobody_else(role, pieces):
    program = Program(somebody(role))
    told = [program.get(path).content.decode() for path in ("pieces", "pieces/a", "readings", "findings")]
    assert "Tea plate" in told[0] and "plate" in told[2]
    assert not any(word in text for text in told for word in ("Hidden", "covered dish", "loft", "Loft", "Perpetua"))
    assert program.get("pieces/b").status_code == 404 and program.get("readings", piece="b").json()["items"] == []


def test_pages_follow_one_another(keeper):
    with act("many", keeper) as doing:
        doing.add(*(Piece(f"p{i:03}") for i in range(25)))
    program, seen, after = Program(keeper), [], ""
    while after is not None:
        answer = program.get("pieces", limit=10, after=after).json()
        seen += [row["id"] for row in answer["items"]]
        after = answer["next"]
    assert seen == [f"p{i:03}" for i in range(25)]


@pytest.mark.parametrize(("path", "queries"), [("pieces", 2), ("pieces/a", 5), ("readings", 2), ("findings", 3)])
def test_a_list_asks_the_database_a_few_times_however_long_it_is(
    keeper, pieces, path, queries, django_assert_num_queries
):
    program = Program(keeper)
    program.get(path)
    with django_assert_num_queries(queries):
        program.get(path)


# ---- examining


def test_examining_is_what_the_command_prints(keeper, demo):
    before, answer = revision(), Program(keeper).post("examine", EXAMINED)
    reads = [part for one in EXAMINED["readings"] for part in ("--read", f"{one['name']}={one['value']}")]
    run = "import sys; from footring.cli import main; sys.exit(main())"
    command = [sys.executable, "-c", run, "examine", "--pack", str(PACK), "--json", *reads]
    printed = json.loads(subprocess.run(command, capture_output=True, text=True, check=True).stdout)
    told = answer.json()
    assert answer.status_code == 200 and set(told) == set(printed)
    assert told["cautions"] == printed["cautions"] and told["cautions"]
    for name in ("form", "line", "decoration"):
        assert [row[0] for row in told["marginals"][name]] == [row[0] for row in printed["marginals"][name]]
    assert told["outside"] == pytest.approx(printed["outside"], abs=1e-9)
    assert revision() == before, "nothing is kept of it"


def test_readings_of_one_name_are_told_apart(keeper, demo):
    given = {"readings": [{"name": "mark", "value": "ORMSLEY"}, {"name": "mark", "value": "MADE IN ENGLAND"}]}
    evidence = Program(keeper).post("examine", given).json()["evidence"]
    assert len(evidence) >= 2


@pytest.mark.parametrize(
    ("given", "status", "told"),
    [
        ({"readings": []}, 422, "at least 1 item"),
        ({}, 422, "required"),
        ({"readings": [{"name": "form", "value": "cup"}], "more": 1}, 422, "Extra inputs"),
        ({"readings": [{"name": "shade", "value": "green"}]}, 400, "no reading is called 'shade'"),
        ({"readings": [{"name": "across", "value": "big"}]}, 400, "not a number with a unit"),
        ({"readings": [{"name": "form", "value": " "}]}, 400, "nothing was read"),
        ({"readings": [{"name": "form", "value": "cup"}], "about": "price"}, 400, "price"),
        ({"readings": [{"name": "form", "value": "c\0p"}]}, 422, "pattern"),
    ],
)
def test_what_cannot_be_examined_is_told_in_a_sentence(keeper, demo, given, status, told):
    answer = Program(keeper).post("examine", given)
    assert answer.status_code == status and told in answer.content.decode().replace("\\u0027", "'"), answer.content


# ---- adding


def test_a_piece_met_again_is_set_down_and_can_be_undone(keeper, pieces):
    answer = Program(keeper).post("encounters", {"piece": "a", "met": "May 2021", "place": "loft"})
    assert answer.status_code == 201 and answer.json()["met"] == "2021-05"
    row = MODELS["encounters"].objects.get(pk=answer.json()["id"])
    assert (row.piece_id, row.added_in.by, row.added_in.what) == ("a", keeper, "met again")


@pytest.mark.parametrize(
    ("given", "status", "told"),
    [
        ({"piece": "nowhere"}, 404, "nothing of that id"),
        ({"piece": "a", "met": "once"}, 400, "not understood"),
        ({"piece": "a", "channel": "nowhere"}, 400, "no such id in channels"),
        ({"piece": ""}, 422, "at least 1 character"),
        ({"piece": "a", "private": True}, 422, "Extra inputs"),
    ],
)
def test_what_cannot_be_added_leaves_nothing(keeper, pieces, given, status, told):
    before = revision()
    answer = Program(keeper).post("encounters", given)
    assert (answer.status_code, revision()) == (status, before) and told in answer.content.decode()


def test_a_member_adds_to_their_own_pieces_and_no_others(pieces):
    ann = somebody(Role.MEMBER, "ann")
    with act("put away", ann) as doing:
        doing.add(Piece("own", private=True))
    program = Program(ann)
    assert program.post("encounters", {"piece": "own", "met": "2021"}).status_code == 201
    assert MODELS["encounters"].objects.get(piece="own").private
    assert program.post("encounters", {"piece": "a"}).status_code == 403
    assert program.post("encounters", {"piece": "b"}).status_code == 404


# ---- tokens


def test_who_brings_no_token_or_a_wrong_one_is_told_nothing(keeper, pieces):
    token = new_token(keeper, "t")
    for program in (Program(), Program(token="x"), Program(token=token[:-1]), Program(token=token.upper())):
        for answer in (program.get("pieces"), program.get("pieces/a"), program.post("examine", EXAMINED)):
            assert answer.status_code == 401 and b"Tea plate" not in answer.content


def test_a_cookie_counts_for_nothing(client_of, keeper, pieces):
    assert client_of(keeper).get("/api/pieces").status_code == 401


def test_only_a_hash_is_kept_and_when_it_was_used(keeper, pieces):
    token = new_token(keeper, "t")
    kept = ApiToken.objects.get()
    assert token not in str(vars(kept)) and kept.last_used is None
    Program(token=token).get("pieces")
    kept.refresh_from_db()
    assert kept.last_used is not None


@pytest.mark.parametrize("role", Role)
def test_a_token_may_what_its_person_may(role, pieces):
    program = Program(somebody(role))
    assert program.get("pieces").status_code == 200
    assert program.post("examine", EXAMINED).status_code == (403 if role == Role.GUEST else 200)
    assert program.post("encounters", {"piece": "a"}).status_code == (201 if Role(role).rank >= 2 else 403)


def test_a_token_of_a_closed_account_or_a_revoked_one_lets_nobody_in(client_of, keeper, pieces):
    ann = somebody(Role.MEMBER, "ann")
    token = new_token(ann, "t")
    User.objects.filter(pk=ann.pk).update(is_active=False)
    assert Program(token=token).get("pieces").status_code == 401
    User.objects.filter(pk=ann.pk).update(is_active=True)
    client_of(keeper).post(f"/settings/token/{ApiToken.objects.get().pk}/")
    assert Program(token=token).get("pieces").status_code == 200, "another's token is not theirs to revoke"
    client_of(ann).post(f"/settings/token/{ApiToken.objects.get().pk}/")
    assert Program(token=token).get("pieces").status_code == 401


def test_a_token_is_made_on_the_settings_page_and_shown_once(client_of, keeper, pieces):
    import re

    browser = client_of(keeper)
    page = browser.post("/settings/token/", {"name": "My <b>script"}).content.decode()
    token = re.search(r"footring_[\w-]{43}", page)[0]
    assert Program(token=token).get("pieces").status_code == 200
    later = browser.get("/settings/").content.decode()
    assert token not in later and "My &lt;b&gt;script" in later
    assert browser.post("/settings/token/", {"name": " "}).status_code == 400


def test_no_page_of_it_loads_scripts_from_elsewhere(keeper):
    client = Client(HTTP_HOST="127.0.0.1")
    assert client.get("/api/docs").status_code == 404
    assert client.get("/api/openapi.json").headers["Content-Type"].startswith("application/json")


def test_who_brings_no_token_is_told_in_a_sentence_what_to_bring(db):
    answer = Program().get("pieces")
    assert answer.headers["WWW-Authenticate"] == "Bearer"  # RFC 9110, 11.6.1
    assert "make one under Settings" in answer.json()["detail"]


@pytest.mark.parametrize("error", [OperationalError("disk I/O error"), OSError(5, "disk I/O error")])
def test_a_database_or_disk_that_fails_is_told_in_a_sentence(keeper, monkeypatch, error):
    def fails(*_):
        raise error

    program = Program(keeper)
    monkeypatch.setattr("footring.web.api.reading.visible", fails)
    answer = program.get("pieces")
    assert answer.status_code == 503 and "could not be written or read: disk I/O error" in answer.json()["detail"]
