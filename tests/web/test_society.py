"""A society: people come in by invitation, sign in, are made to wait when they guess, and do what their role may."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from footring.records.invitations import first_invitation, invite
from footring.records.models import FailedSignIn, Invitation, Role, User

pytestmark = pytest.mark.django_db
WORD = "seven blue saucers"


@pytest.fixture(autouse=True)
def _society(settings):
    settings.SOCIETY = True


@pytest.fixture
def ann():
    return User.objects.create_user("ann", password=WORD, role=Role.MEMBER)


def browser(address="203.0.113.7") -> Client:
    """A browser somewhere (RFC 5737 keeps these addresses for examples)."""
    return Client(HTTP_HOST="127.0.0.1", REMOTE_ADDR=address)


def sign_in(client, name="ann", word=WORD, **more):
    return client.post("/sign-in/", {"username": name, "password": word, **more})


def text(answer) -> str:
    return re.sub(r"\s+", " ", re.sub("<[^>]+>", " ", answer.content.decode()))


# ---- invitations


def test_an_invitation_works_once(keeper):
    token, client = invite(Role.CURATOR, keeper), browser()
    assert "curator" in text(client.get(f"/invited/{token}/"))
    given = {"username": "bea", "password": WORD, "again": WORD}
    assert client.post(f"/invited/{token}/", given).status_code == 302
    assert User.objects.get(username="bea").role == Role.CURATOR and client.get("/").status_code == 200
    other = browser().post(f"/invited/{token}/", {**given, "username": "cis"})
    assert (
        other.status_code == 403 and "used already" in text(other) and not User.objects.filter(username="cis").exists()
    )


def test_only_a_hash_of_an_invitation_is_kept(keeper):
    token = invite(Role.MEMBER, keeper)
    assert token not in str(list(Invitation.objects.values())) and len(token) >= 43


def test_an_old_invitation_or_none_lets_nobody_in(keeper):
    token = invite(Role.MEMBER, keeper)
    Invitation.objects.update(until=timezone.now() - timedelta(seconds=1))
    for of in (token, "x", token[:-1]):
        assert browser().get(f"/invited/{of}/").status_code == 403


def test_who_is_no_keeper_any_more_has_invited_nobody(keeper):
    other = User.objects.create(username="other", role=Role.KEEPER)
    token = invite(Role.KEEPER, other)
    assert browser().get(f"/invited/{token}/").status_code == 200
    for gone in ({"role": Role.MEMBER}, {"role": Role.KEEPER, "is_active": False}):
        User.objects.filter(pk=other.pk).update(**gone)
        given = {"username": "bea", "password": WORD, "again": WORD}
        assert browser().post(f"/invited/{token}/", given).status_code == 403


def test_an_account_that_is_closed_is_not_opened_by_a_way_in_it_still_had(client_of, keeper, ann):
    token = invite(Role.MEMBER, keeper, ann)
    client_of(keeper).post(f"/people/{ann.pk}/", {"role": Role.MEMBER})
    given = {"username": "ann", "password": WORD, "again": WORD}
    assert browser().post(f"/invited/{token}/", given).status_code == 403
    ann.refresh_from_db()
    assert not ann.is_active


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"username": "bea", "password": "short", "again": "short"}, "too short"),
        ({"username": "bea", "password": WORD, "again": WORD + "x"}, "The two passwords differ"),
        ({"username": "password", "password": "password1234", "again": "password1234"}, "too similar"),
        ({"username": "ANN", "password": WORD, "again": WORD}, "Somebody has this name already"),
        ({"username": "", "password": WORD, "again": WORD}, "required"),
    ],
)
def test_a_weak_password_or_a_taken_name_is_told_and_the_invitation_still_works(ann, keeper, given, told):
    token = invite(Role.MEMBER, keeper)
    answer = browser().post(f"/invited/{token}/", given)
    assert told in text(answer) and Invitation.objects.get().used_by is None and User.objects.count() == 2


def test_a_role_cannot_be_asked_for(keeper):
    token = invite(Role.GUEST, keeper)
    given = {"username": "bea", "password": WORD, "again": WORD, "role": "keeper", "is_superuser": "1"}
    browser().post(f"/invited/{token}/", given)
    bea = User.objects.get(username="bea")
    assert (bea.role, bea.is_superuser, bea.is_staff) == (Role.GUEST, False, False)


def test_the_first_keeper_is_invited_until_one_can_sign_in():
    first = first_invitation()
    second = first_invitation()
    assert Invitation.objects.count() == 1 and browser().get(f"/invited/{first}/").status_code == 403
    browser().post(f"/invited/{second}/", {"username": "kay", "password": WORD, "again": WORD})
    assert User.objects.get().role == Role.KEEPER and first_invitation() is None


def test_the_keeper_of_a_collection_kept_alone_keeps_what_was_done(keeper):
    keeper.set_unusable_password()
    keeper.save()
    token = first_invitation()
    browser().post(f"/invited/{token}/", {"username": "kay", "password": WORD, "again": WORD})
    assert (User.objects.get().pk, User.objects.get().username) == (keeper.pk, "kay")
    assert sign_in(browser(), "kay").status_code == 302


# ---- signing in and out


def test_who_signs_in_goes_where_they_wanted_and_has_a_new_session(ann):
    client = browser()
    client.get("/sign-in/")
    before = client.cookies.get("footring")
    answer = sign_in(client, next="/help/")
    assert answer.headers["Location"] == "/help/"
    assert client.cookies["footring"].value != (before.value if before else "")
    assert client.get("/help/").status_code == 200


@pytest.mark.parametrize(
    "there", ["https://evil.example/", "//evil.example/", "javascript:alert(1)", "/\\evil.example"]
)
def test_nobody_is_sent_elsewhere(ann, there):
    assert sign_in(browser(), next=there).headers["Location"] == "/"


def test_who_signs_out_is_out(ann):
    client = browser()
    sign_in(client)
    old = client.cookies["footring"].value
    client.post("/leave/")
    stale = browser()
    stale.cookies["footring"] = old
    assert stale.get("/help/").status_code == 302 and client.get("/help/").status_code == 302


def test_a_closed_account_is_out_at_once(ann):
    client = browser()
    sign_in(client)
    User.objects.update(is_active=False)
    assert client.get("/help/").status_code == 302 and sign_in(browser()).status_code == 403


def test_another_password_signs_every_other_browser_out(ann):
    here, there = browser(), browser()
    sign_in(here), sign_in(there)
    new = "eight green saucers"
    assert (
        here.post("/password/", {"old_password": "wrong", "new_password1": new, "new_password2": new}).status_code
        == 200
    )
    before = here.cookies["footring"].value
    answer = here.post("/password/", {"old_password": WORD, "new_password1": new, "new_password2": new})
    assert answer.status_code == 302 and here.cookies["footring"].value != before
    assert (here.get("/help/").status_code, there.get("/help/").status_code) == (200, 302)
    assert (sign_in(browser()).status_code, sign_in(browser(), word=new).status_code) == (403, 302)


def test_a_wrong_name_and_a_wrong_password_are_told_alike(ann):
    assert text(sign_in(browser(), word="wrong")) == text(sign_in(browser(), name="bob", word="wrong")).replace(
        "bob", "ann"
    )


# ---- guessing


def test_five_wrong_passwords_of_one_account_from_one_address_are_enough(ann):
    client = browser()
    assert [sign_in(client, word=f"guess {i}").status_code for i in range(6)] == [403] * 5 + [429]
    right = sign_in(client)
    assert right.status_code == 429 and "wait 15 minutes" in text(right)
    assert sign_in(browser("203.0.113.8")).status_code == 302, "the same person elsewhere is let in"
    FailedSignIn.objects.update(at=timezone.now() - timedelta(minutes=15, seconds=1))
    assert sign_in(client).status_code == 302


def test_twenty_wrong_passwords_from_one_address_are_enough(ann):
    for i in range(20):
        assert sign_in(browser(), name=f"name{i}", word="x").status_code == 403
    assert sign_in(browser()).status_code == 429 and sign_in(browser("203.0.113.8")).status_code == 302


def test_fifty_wrong_passwords_of_one_account_are_enough_from_wherever_they_come(ann):
    for i in range(50):
        assert sign_in(browser(f"198.51.100.{i}"), name=" Ann ", word="x").status_code == 403
    assert sign_in(browser("203.0.113.9")).status_code == 429


def test_who_gets_in_begins_anew(ann):
    client = browser()
    for _ in range(4):
        sign_in(client, word="x")
    assert sign_in(client).status_code == 302 and not FailedSignIn.objects.exists()


def test_what_a_client_says_of_its_own_address_counts_for_nothing(ann):
    for i in range(6):
        answer = Client(HTTP_HOST="127.0.0.1", REMOTE_ADDR="203.0.113.7", HTTP_X_FORWARDED_FOR=f"198.51.100.{i}").post(
            "/sign-in/", {"username": "ann", "password": "x"}
        )
    assert answer.status_code == 429


# ---- people


def test_a_keeper_invites_and_the_address_is_shown_once(client_of, keeper):
    page = client_of(keeper).post("/people/invite/", {"role": "member"}).content.decode()
    address = re.search(r"http://127\.0\.0\.1(/invited/[^/]+/)", page)[1]
    assert browser().get(address).status_code == 200
    later = client_of(keeper).get("/people/").content.decode()
    assert address not in later and "a member, until" in later
    client_of(keeper).post(f"/people/invitation/{Invitation.objects.get().pk}/")
    assert browser().get(address).status_code == 403


def test_somebody_without_their_password_gets_a_new_way_in(client_of, keeper, ann):
    old = browser()
    sign_in(old)
    page = client_of(keeper).post(f"/people/{ann.pk}/new-way-in/").content.decode()
    address = re.search(r"/invited/[^/]+/", page)[0]
    browser().post(address, {"username": "ann", "password": "nine white saucers", "again": "nine white saucers"})
    assert User.objects.count() == 2 and sign_in(browser(), word="nine white saucers").status_code == 302
    assert old.get("/help/").status_code == 302


def test_roles_change_at_once_and_the_last_keeper_stays(client_of, keeper, ann):
    client = browser()
    sign_in(client)
    client_of(keeper).post(f"/people/{ann.pk}/", {"role": "guest", "open": "yes"})
    assert client.get("/").status_code == 403
    answer = client_of(keeper).post(f"/people/{keeper.pk}/", {"role": "guest", "open": "yes"})
    assert answer.status_code == 400 and "last keeper" in text(answer)
    keeper.refresh_from_db()
    assert keeper.role == Role.KEEPER
    assert client_of(keeper).post(f"/people/{ann.pk}/", {"role": "king"}).status_code == 400


def test_a_collection_kept_alone_has_no_accounts(settings, client_of, keeper):
    settings.SOCIETY = False
    token = invite(Role.KEEPER, keeper)
    assert browser().get(f"/invited/{token}/").status_code == 404
    assert "Run footring open" in text(browser().get("/sign-in/"))
    assert sign_in(browser()).status_code == 403
    assert client_of(keeper).get("/people/").status_code == client_of(keeper).get("/password/").status_code == 404
