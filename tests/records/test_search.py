"""Pieces are found by any of their words, with typos forgiven, and by nobody through what is not theirs to see."""

from pathlib import Path

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import footring.demo
from footring.records.acts import act
from footring.records.models import MODELS, Role, Shelved, User, Word
from footring.records.packs import bring_in_pack
from footring.records.privacy import on_the_shelf, own_on_the_shelf
from footring.records.search import found
from footring.rows.collection import Piece, Place, Reading
from footring.rows.reference_things import Name

pytestmark = pytest.mark.django_db
FIGURES = st.lists(st.text("012", min_size=1, max_size=4), max_size=4)
"""Some words; those with figures are never mended."""
PIECES = st.lists(st.tuples(FIGURES, FIGURES, st.booleans(), st.booleans()), max_size=8)
"""What each is called, what was read off it in private, whether a member added it, and whether it is private."""


@pytest.fixture(autouse=True)
def _demo(db):
    bring_in_pack(Path(footring.demo.__file__).parent / "pack", None)
    with act("names", None) as doing:
        doing.add(
            Place("loft", name="Loft", within="ossel.shelf"),
            Name("n", thing_table="lines", thing="ossel.ormsley", name="Grandmother's", kind="collectors"),
            Piece("café", name="Café  au lait, B 12", place="loft"),
        )


def find(typed):
    given = found(Shelved.objects.all(), typed)
    return set(given.rows.values_list("piece_id", flat=True)), given.looked_for


@pytest.mark.parametrize(
    "typed",
    ["heron", "HERON dish", "eron", "417", "ormsley", "quillow", "grandmother's", "heron 417 shelf", "reed heron"],
)
def test_a_piece_is_found_by_each_of_its_words(typed):
    pieces, told = find(typed)
    assert "ossel.piece-8" in pieces and told == typed.casefold()


@pytest.mark.parametrize(
    ("typed", "meant"),
    [("herron", "heron"), ("heorn", "heron"), ("jeron", "heron"), ("haron", "heron"), ("ormsly", "ormsley"),
     ("covred dsh", "covered dish"), ("quilow", "quillow"), ("HERRON", "heron"), ("hëron", "heron")],
)  # fmt: skip
def test_a_letter_left_out_put_in_changed_or_out_of_its_place_is_forgiven(typed, meant):
    pieces, told = find(typed)
    assert "ossel.piece-8" in pieces and told == meant


@pytest.mark.parametrize("typed", ["cafe", "CAFÉ", "b", "12", "au lait,", "loft", "front room loft"])
def test_accents_and_capitals_do_not_matter_and_what_is_short_is_a_word_of_its_own(typed):
    assert "café" in find(typed)[0]


@pytest.mark.parametrize("typed", ["x", "1", "c", "9417", "4417"])
def test_a_short_word_is_found_in_no_other_and_a_number_is_never_mended(typed):
    pieces, told = find(typed)
    assert pieces == set() and told == typed


@pytest.mark.parametrize(
    "typed", ["qqqqqqqq", '"', '"""', "a'b; drop table pieces", "%%%", "***", "heron qqqqqq", "-", "NEAR(a", "_____", "()", "{text}", "heron\0qqq"]
)  # fmt: skip
def test_odd_words_find_nothing_and_break_nothing(typed):
    assert find(typed)[0] == set()


def test_no_words_find_all():
    assert find("  ")[0] == set(MODELS["pieces"].objects.values_list("pk", flat=True))


def test_nobody_finds_anything_by_what_is_not_theirs_to_see_nor_is_told_of_it():
    member = User.objects.create(username="m", role=Role.MEMBER)
    with act("hide", None) as doing:
        doing.add(
            Piece("hidden", name="Zanthoxylum", private=True),
            Piece("open", name="Dish", place="loft"),
            Reading("r", piece="open", name="mark", value="KWYJIBO", private=True),
        )
    with act("mine", member) as doing:
        doing.add(Piece("mine", name="Cup", place="loft", private=True))

    def seen(typed):
        given = found(on_the_shelf(member), typed, own_on_the_shelf(member))
        return list(given.rows.values_list("piece_id", flat=True)), given.looked_for

    assert [seen(typed) for typed in ("zanthoxylum", "zanthoxilum", "kwyjibo", "kwijibo")] == [
        ([], typed) for typed in ("zanthoxylum", "zanthoxilum", "kwyjibo", "kwijibo")
    ]
    assert seen("loft") == (["mine"], "loft")
    assert seen("cup loft") == (["mine"], "cup loft")
    assert seen("dish loft") == ([], "dish loft")


def test_a_word_that_no_piece_has_any_more_is_passed_over():
    with act("rename", None) as doing:
        doing.change("pieces", "café", name="Xylophone")
    assert find("xylofone") == ({"café"}, "xylophone")
    with act("rename", None) as doing:
        doing.change("pieces", "café", name="Bell")
    assert Word.objects.filter(word="xylophone").exists()
    assert find("xylofone") == (set(), "xylofone")


@pytest.mark.parametrize("many", [0, 2, 10_000])
@given(pieces=PIECES, sought=FIGURES.filter(bool), keeper=st.booleans())
@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_what_is_found_is_what_going_through_every_piece_finds(many, monkeypatch, pieces, sought, keeper):
    monkeypatch.setattr("footring.records.search.MANY", many)
    with transaction.atomic():
        member = User.objects.create(username="m", role=Role.MEMBER)
        for n, (called, hidden, own, private) in enumerate(pieces):
            with act("put away", member if own else None) as doing:
                doing.add(
                    Piece(f"p{n}", name=" ".join(called) or None, private=private),
                    *(Reading(f"r{n}.{k}", piece=f"p{n}", name="mark", value=v, private=True)
                      for k, v in enumerate(hidden)),
                )  # fmt: skip
        user = User(username="k", role=Role.KEEPER) if keeper else member
        rows = on_the_shelf(user).filter(piece__in=[f"p{n}" for n in range(len(pieces))])
        assert set(found(rows, " ".join(sought), own_on_the_shelf(user)).rows.values_list("piece_id", flat=True)) == {
            f"p{n}"
            for n, (called, hidden, own, private) in enumerate(pieces)
            if (keeper or own or not private) and all(holds(one, called, hidden, keeper or own) for one in sought)
        }
        transaction.set_rollback(True)


def holds(word, called, hidden, own):
    """Three letters and more in the midst of others; one or two as a word of their own."""
    words = [*called, *(hidden if own else ())]
    return word in words if len(word) < 3 else any(word in one for one in words)
