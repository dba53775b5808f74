"""Every address there is, and the least role that it lets in. A page that stands in no list fails the first test."""

import re
from collections.abc import Iterator

import pytest
from django.core.exceptions import PermissionDenied
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from footring.records.acts import act, revision
from footring.records.models import Role, User
from footring.rows.collection import Acquisition, Encounter, Person, Piece, Place, Price, Reading
from footring.web.access import OnlyWhoMay

ANYONE = "anyone"
WHO_MAY = {
    ANYONE: """
        enter invited sign-in
        api:api-root api:encounters api:examine api:findings api:openapi-json api:piece api:pieces api:readings
        """,
    Role.GUEST: """
        help help-look help-words leave password photograph piece settings token-make token-revoke
        concordance reference reference-form reference-line reference-maker reference-marks reference-met
        reference-names reference-offer reference-people reference-said reference-thing
        """,
    Role.MEMBER: """
        examine examine-again examine-why not-this put-away
        at-home at-home-ask at-home-change at-home-export at-home-forget-view at-home-keep-view at-home-undo
        at-home-workbook
        bring-in bring-in-back bring-in-forget bring-in-job bring-in-look bring-in-progress bring-in-start bring-in-stop
        source sources sources-checked sources-claim sources-disagree sources-later
        photograph-change photograph-move photograph-original photograph-take-away
        piece-came piece-condition piece-correct piece-history piece-keep piece-line piece-name piece-not-this piece-note
        piece-part piece-photograph piece-place piece-price piece-private piece-reading piece-take-away piece-this
        piece-undo
        """,
    Role.CURATOR: "reference-add reference-change reference-undo sources-decide",
    Role.KEEPER: "people people-change people-invite people-new-way-in people-take-back",
}
"""Least role -> names of addresses. Another page needs another name here, and nothing else in this file."""
LEAST = {name: role for role, names in WHO_MAY.items() for name in names.split()}
WHO = [None, Role.GUEST, Role.MEMBER, Role.CURATOR, Role.KEEPER]
SECRETS = {
    "name": "Zanthoxylum dish",
    "place": "Loft behind the chimney",
    "person": "Perpetua Quimby",
    "cost": "8317",
    "reading": "KWYJIBO WARE",
}
_NOWHERE = {"Int": "1", "Slug": "x", "String": "x", "Path": "x", "UUID": "00000000-0000-4000-8000-000000000000"}


def addresses() -> dict[str, URLPattern]:
    """Each address by its name; one without a name stands here by its pattern."""
    return dict(_leaves(get_resolver(), ""))


def _leaves(resolver: URLResolver, within: str) -> Iterator[tuple[str, URLPattern]]:
    for one in resolver.url_patterns:
        if isinstance(one, URLResolver):
            yield from _leaves(one, f"{one.namespace}:" if one.namespace else within)
        else:
            yield within + (one.name or str(one.pattern)), one


def address(name: str, given: dict[str, str]) -> str:
    """An address with what was given in its gaps, and something that is nowhere in the others."""
    gaps = addresses()[name].pattern.converters.items()
    nowhere = {gap: _NOWHERE[type(of).__name__.removesuffix("Converter")] for gap, of in gaps}
    return reverse(name, kwargs={gap: given.get(gap, filler) for gap, filler in nowhere.items()})


def browser(role: Role | None) -> Client:
    client = Client(HTTP_HOST="127.0.0.1", raise_request_exception=False)
    if role is not None:
        client.force_login(User.objects.create(username=f"a {role}", role=role))
    return client


def is_in(role: Role | None, least: str) -> bool:
    return least == ANYONE or (role is not None and role.rank >= Role(least).rank)


@pytest.fixture
def hidden(keeper):
    """A private piece of the keeper's, with all that nobody else may see; what fills the gaps of addresses."""
    with act("put away", keeper) as doing:
        doing.add(
            Place("secret.place", name=SECRETS["place"], private=True),
            Person("secret.person", name=SECRETS["person"], private=True),
            Piece("secret.piece", name=SECRETS["name"], place="secret.place", owner="secret.person", private=True),
            Reading("secret.reading", piece="secret.piece", name="mark", value=SECRETS["reading"], private=True),
            Encounter("secret.met", piece="secret.piece", met="2020", place="secret.place", private=True),
            Price("secret.price", piece="secret.piece", kind="sold", amount=8317.0, currency="GBP", private=True),
            Acquisition(
                "secret.got", piece="secret.piece", how="bought", from_whom="secret.person", price="secret.price",
                private=True,
            ),
        )  # fmt: skip
    ids = dict.fromkeys(("piece", "piece_id", "id", "row_id"), "secret.piece")
    return ids | {"act_id": str(doing.act.pk)}


def test_every_address_is_in_the_list_and_nothing_else():
    assert set(addresses()) == set(LEAST)


@pytest.mark.django_db
@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("role", WHO, ids=lambda role: role or "nobody")
@pytest.mark.parametrize("name", sorted(LEAST))
def test_who_may_is_let_in_and_nobody_else(name, role, method, keeper):
    answer = getattr(browser(role), method)(address(name, {}))
    refused = answer.status_code == 403 and "not for your role" in answer.content.decode()
    asked_to_sign_in = answer.status_code in (302, 401) and "/sign-in/?next=" in answer.headers.get("Location", "")
    if is_in(role, LEAST[name]):
        assert not refused and not asked_to_sign_in and answer.status_code < 500
    else:
        assert refused if role else asked_to_sign_in


@pytest.mark.django_db
@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("role", [None, Role.GUEST, Role.MEMBER], ids=lambda role: role or "nobody")
def test_what_is_private_is_told_to_nobody_else(role, method, hidden):
    client, told = browser(role), {}
    for name in set(LEAST) - {"leave", "enter"}:
        answer = getattr(client, method)(address(name, hidden))
        text = b"".join(answer) if answer.streaming else answer.content
        if found := [secret for secret in SECRETS.values() if secret.encode() in text]:
            told[name] = found
    assert told == {}


@pytest.mark.django_db
def test_the_keeper_sees_what_is_hidden_from_others(client_of, keeper, hidden):
    page = client_of(keeper).get(address("piece", hidden)).content.decode()
    assert all(re.search(SECRETS[what], page) for what in ("name", "place", "reading"))


@pytest.mark.django_db
@pytest.mark.parametrize("name", sorted(LEAST))
def test_looking_writes_nothing_and_a_form_of_another_site_does_nothing(name, hidden, keeper):
    before, strict = revision(), Client(HTTP_HOST="127.0.0.1", enforce_csrf_checks=True)
    strict.force_login(keeper)
    strict.get(address(name, hidden))
    answer = strict.post(address(name, hidden), {"name": "taken"}, HTTP_ORIGIN="https://elsewhere.example")
    assert revision() == before
    assert answer.status_code == 403 or (name.startswith("api:") and answer.status_code in (401, 405))


@pytest.mark.django_db
def test_a_view_that_says_nothing_is_seen_by_nobody(rf, keeper):
    request = rf.get("/")
    request.user = keeper
    with pytest.raises(PermissionDenied, match=r"^$"):
        OnlyWhoMay(lambda _: None).process_view(request, lambda _: None)
