"""A thing of the reference that is private is named to nobody below a curator, whatever else names it."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from footring.records.acts import act
from footring.records.known import known
from footring.records.models import Role, User
from footring.rows.collection import Attribution, Encounter, Piece, Place, Reading, Rejection
from footring.rows.reference_things import Customer, Decoration, Name, Source
from footring.rows.statements import Claim, Number, Production
from footring.web.api.tokens import new_token
from footring.web.cells import names_of

pytestmark = pytest.mark.django_db
WORDS = ("Zedoary", "Xylander", "Quimby", "Wintergreen", "Vestibule")


@pytest.fixture
def private(demo, keeper):
    """Private things, each named by rows that are not private; and a place of another member's."""
    ben = User.objects.create(username="ben", role=Role.MEMBER)
    with act("added", keeper) as doing:
        doing.add(
            Customer("z.customer", name="Zedoary Stores", private=True),
            Decoration("z.decoration", maker="ossel.quillow", name="Xylander", technique="transfer", private=True),
            Source("z.source", name="Letter of Perpetua Quimby", kind="letter", private=True),
            Production("z.made", line="ossel.ormsley", form="ossel.ormsley-dish", decoration="z.decoration",
                       customer="z.customer", made="1934", source="z.source"),
            Production("z.open", line="ossel.ormsley", form="ossel.ormsley-dish", made="1935", source="z.source"),
            Name("z.name", thing_table="decorations", thing="z.decoration", name="Wintergreen", kind="shop"),
            Number("z.number", line="ossel.ormsley", code="999", decoration="z.decoration", source="ossel.list-1934"),
            Claim("z.claim", subject_table="lines", subject="ossel.ormsley", property="history", value="said once",
                  source="z.source", firmness="seen", stance="for"),
            Claim("z.valued", subject_table="productions", subject="z.made", property="customer", value="z.customer",
                  source="ossel.list-1934", firmness="seen", stance="for"),
        )  # fmt: skip
    with act("put away", ben) as doing:
        doing.add(
            Place("z.place", name="Vestibule"),
            Piece("z.piece", name="Dish", place="z.place"),
            Reading("z.form", piece="z.piece", name="form", value="covered dish"),
            Reading("z.read", piece="z.piece", name="number", value="999"),
            Encounter("z.met", piece="z.piece", met="2020", place="z.place"),
            Attribution("z.said", piece="z.piece", line="ossel.ormsley", form="ossel.ormsley-dish",
                        decoration="z.decoration", customer="z.customer", weight=1.0, basis="confirmed"),
            Rejection("z.not", piece="z.piece", subject_table="decorations", subject="z.decoration"),
        )  # fmt: skip
        doing.add(*(Piece(f"z.p{i:03}", name="Dish") for i in range(60)))
        doing.add(*(Attribution(f"z.a{i:03}", piece=f"z.p{i:03}", line="ossel.ormsley", decoration="z.decoration",
                                weight=1.0, basis="confirmed") for i in range(60)))  # fmt: skip


ADDRESSES = [
    "/", "/?open=away&r=form=covered+dish", "/?r=number=999&r=line=ormsley&open=decoration", "/why/?r=number=999&r=line=ormsley",
    "/?r=line=ormsley&t=xyla+heron", "/piece/z.piece/", "/at-home/",
    "/at-home/?order=what", "/at-home/?words=xylander", "/at-home/?decoration=z.decoration", "/at-home/?place=z.place",
    "/at-home/ask/", "/at-home/export/", "/reference/", "/reference/?q=xylander", "/reference/?q=wintergreen",
    "/reference/concordance/", "/reference/marks/", "/reference/customers-and-hands/", "/reference/names/",
    "/reference/offer/decorations/?q=x", "/reference/offer/customers/?q=z", "/reference/offer/things/?q=zed",
    "/reference/offer/sources/?q=letter", "/reference/met/ossel.ormsley", "/reference/met/ossel.ormsley?form=ossel.ormsley-dish",
    "/reference/said/productions/z.made", "/reference/said/productions/z.open", "/reference/said/productions/z.made?property=customer",
    "/reference/said/productions/z.made?property=decoration", "/reference/said/decorations/z.decoration",
    "/reference/said/names/z.name", "/reference/said/claims/z.claim", "/reference/said/sources/z.source",
    "/reference/said/lines/ossel.ormsley?property=history", "/reference/makers/ossel.quillow",
    "/reference/lines/ossel.ormsley", "/reference/forms/ossel.ormsley-dish",
    "/reference/things/decorations/z.decoration", "/reference/things/customers/z.customer", "/sources/",
    "/sources/?q=quimby", "/sources/z.source", "/sources/disagree/", "/sources/later/",
]  # fmt: skip


@pytest.mark.parametrize("role", [Role.GUEST, Role.MEMBER])
def test_what_is_private_in_the_reference_is_named_to_nobody_else(role, private, client_of):
    client, told = client_of(User.objects.create(username="ann", role=role)), {}
    for address in ADDRESSES:
        answer = client.get(address)
        text = (b"".join(answer) if answer.streaming else answer.content).decode()
        asked = address.casefold()
        if found := [
            word for word in WORDS if word in text or (word.casefold() in text and word.casefold() not in asked)
        ]:
            told[address] = found
    assert told == {}


def test_what_is_private_in_the_reference_is_in_the_answers_of_who_may_see_it_alone(private, client_of, keeper):
    asked = {"readings": [{"name": "line", "value": "Ormsley"}, {"name": "number", "value": "999"}]}

    def answered(user):
        token = new_token(user, "test")
        return Client(HTTP_HOST="127.0.0.1").post(
            "/api/examine", asked, "application/json", HTTP_AUTHORIZATION=f"Bearer {token}"
        ).content.decode()  # fmt: skip

    assert "Xylander" in answered(keeper)
    assert "Xylander" not in answered(User.objects.create(username="ann", role=Role.MEMBER))
    for address in ("/?r=number=999&r=line=ormsley", "/piece/z.piece/"):
        assert "Xylander" in client_of(keeper).get(address).content.decode()


def test_what_becomes_private_is_known_to_nobody_else_from_then_on(demo, keeper):
    ann = User.objects.create(username="ann", role=Role.MEMBER)
    open_to_all = known()
    assert open_to_all.to(ann) is open_to_all
    with act("added", keeper) as doing:
        doing.add(
            Decoration("z.decoration", maker="ossel.quillow", name="Xylander", technique="transfer", private=True)
        )
    before = known()
    assert before.to(keeper) is before and before.to(ann) is not before
    assert before.to(ann).reference.digest == open_to_all.reference.digest
    named = {"line": "ossel.ormsley", "decoration": "z.decoration"}
    assert names_of(before, named) == {"line": "Ormsley", "decoration": "Xylander"}
    assert names_of(before.to(ann), named) == {"line": "Ormsley"}, "and not what stands last in its table"
    with act("told", keeper) as doing:
        doing.change("decorations", "z.decoration", private=False)
    assert known().to(ann) is known()


def test_what_is_private_is_offered_for_no_word_of_a_sheet(private, client_of):
    client = client_of(User.objects.create(username="ann", role=Role.MEMBER))
    sheet = SimpleUploadedFile("mine.csv", b"Shape,Decoration,Customer\ncovered dish,Xylanda,Zedoary Store\n")
    page = client.post("/bring-in/", {"file": sheet}, follow=True).content.decode()
    assert "Xylanda" in page and "Xylander" not in page and "Zedoary Stores" not in page
