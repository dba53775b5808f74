"""The shelf holds what everything stored says of each piece, whatever was done in whatever order."""

import contextlib
import random
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

import footring.demo
from footring.records.acts import CannotUndo, act, undo
from footring.records.ids import new_id
from footring.records.models import MODELS, Shelved
from footring.records.packs import bring_in_pack
from footring.records.search import found
from footring.records.shelf import reshelve
from footring.rows.collection import Attribution, Condition, Encounter, Part, Photograph, Piece, Place, Reading
from footring.rows.reference_things import Name
from footring.rows.statements import Production

pytestmark = pytest.mark.django_db
COLUMNS = [field.attname for field in Shelved._meta.fields if field.name != "id"]


@pytest.fixture
def demo(db):
    reshelve()  # emptying the tables after a test with transactions leaves the index of words
    return bring_in_pack(Path(footring.demo.__file__).parent / "pack", None)


def shelf():
    """What stands on the shelf, in the order in which it stands there."""
    return list(Shelved.objects.order_by("pk").values_list(*COLUMNS))


def indexed():
    """What the index of words holds, by the piece."""
    if connection.vendor != "sqlite":
        return None
    with connection.cursor() as cursor:
        cursor.execute("SELECT rowid, text, own_text FROM shelf_words")
        pieces = dict(Shelved.objects.values_list("pk", "piece_id"))
        return sorted((pieces[rowid], *words) for rowid, *words in cursor.fetchall())


def searched():
    typed = ["heron", "herron", "quillow", "moved house", "loft", "lid", "ormsly dish", "zinnia", "zinia", "417", "12"]
    return [(one.looked_for, sorted(one.rows.values_list("piece_id", flat=True))) for one in map(find, typed)]


def find(typed):
    return found(Shelved.objects.all(), typed)


def anything(dice, doing):
    """Something done to the collection, of every kind that a list might show."""

    def one(table):
        return dice.choice(sorted(MODELS[table].objects.values_list("pk", flat=True)))

    def superseding():
        old = MODELS["readings"].objects.current().order_by("pk").last()
        return Reading(new_id(), piece=one("pieces"), name=old.name, value="lid", supersedes=old.pk)

    made = {"supersedes": MODELS["productions"].objects.current().order_by("?").first().pk, "made": "1911/1913"}
    dice.choice([
        lambda: doing.add(Piece(new_id(), name=dice.choice(["Zinnia dish", None]), place=one("places"))),
        lambda: doing.add(Reading(new_id(), piece=one("pieces"), name="form", value="bowl", private=dice.random() < 0.5)),
        lambda: doing.add(Reading(new_id(), piece=one("pieces"), name="number", value=str(dice.randrange(40)))),
        lambda: doing.add(superseding()),
        lambda: doing.add(Attribution(new_id(), piece=one("pieces"), line=one("lines"), glaze=one("glazes"),
                                      decoration=one("decorations"), weight=dice.random(),
                                      basis=dice.choice(["confirmed", "proposed"]))),
        lambda: doing.add(Photograph(new_id(), sha256=new_id(), piece=one("pieces"))),
        lambda: doing.add(Condition(new_id(), piece=one("pieces"), kind="damage", what="chip")),
        lambda: doing.add(Encounter(new_id(), piece=one("pieces"), met=f"{dice.randrange(1990, 2026)}")),
        lambda: doing.add(Name(new_id(), thing_table="lines", thing=one("lines"), name=f"Zinnia {dice.random()}",
                               kind="shop")),
        lambda: doing.add(Production(new_id(), line=one("lines"), **made)),
        lambda: doing.add(Place(new_id(), name="Loft", within=one("places"))),
        lambda: doing.change("pieces", one("pieces"), name=f"Piece {dice.random():.3f}", private=dice.random() < 0.5),
        lambda: doing.change("pieces", one("pieces"), place=one("places")),
        lambda: doing.change("places", one("places"), name=f"Moved house {dice.random():.3f}"),
        lambda: doing.change("lines", one("lines"), name=f"Line {dice.random():.3f}"),
        lambda: doing.change("makers", one("makers"), name=f"Quillow {dice.random():.3f}"),
        lambda: doing.change("decorations", one("decorations"), name=f"Zinnia {dice.random():.3f}"),
        lambda: doing.change("glazes", one("glazes"), private=dice.random() < 0.5),
        lambda: doing.change("marks", one("marks"), device=f"Zinnia {dice.random():.3f}"),
    ])()  # fmt: skip


@pytest.mark.parametrize("seed", range(4))
def test_after_any_acts_it_is_as_made_anew(seed, demo):
    dice, done = random.Random(seed), []
    for _ in range(60):
        if done and dice.random() < 0.2:
            with contextlib.suppress(CannotUndo):
                undo(dice.choice(done), None)
        else:
            with act("anything", None) as doing:
                anything(dice, doing)
            done.append(doing.act)
    kept = shelf(), indexed(), searched()
    reshelve()
    assert kept == (shelf(), indexed(), searched())


def test_of_pieces_that_a_renamed_line_is_named_by_only_words_are_looked_up(demo):
    with CaptureQueriesContext(connection) as asked, act("rename", None) as doing:
        doing.change("lines", "ossel.ormsley", name="Zinnia")
    assert "zinnia" in of("ossel.piece-8").by_what
    assert not [one for one in asked if '"encounters"' in one["sql"] or '"photographs"' in one["sql"]]


def of(piece):
    return Shelved.objects.get(piece=piece)


def test_a_row_says_what_the_piece_is_when_it_was_made_and_met(demo):
    """The invented pottery's own tables, read by hand: productions.csv, encounters.csv, readings.csv, conditions.csv."""
    row = of("ossel.piece-8")
    assert (row.line, row.form, row.glaze) == ("ossel.ormsley", "ossel.ormsley-dish", "ossel.clear")
    assert row.damaged and not row.pictured and row.number == "417"


def test_years_are_those_of_the_statements_that_name_most_of_it(demo):
    with act("say", None) as doing:
        doing.add(
            Piece("p"),
            Attribution("a", piece="p", line="ossel.scarside", glaze="ossel.clear", weight=1.0, basis="confirmed"),
            Production("m1", line="ossel.scarside", made="1890/1950"),
            Production("m2", line="ossel.scarside", glaze="ossel.clear", made="1921/1923"),
            Production("m3", line="ossel.scarside", glaze="ossel.clear", made="1925~"),
            Production("m4", line="ossel.scarside", glaze="ossel.brown", made="1801"),
        )
    assert (of("p").made_from, of("p").made_to) == (1921, 1926)


def test_years_that_nobody_said_and_that_are_left_open(demo):
    with act("say", None) as doing:
        doing.add(Piece("p"), Production("m", line="ossel.scarside", made="1936/.."))
    assert (of("p").made_from, of("p").made_to) == (9999, 0)
    MODELS["productions"].objects.filter(line="ossel.scarside").exclude(pk="m").update(made=None)
    with act("say", None) as doing:
        doing.add(Attribution("a", piece="p", line="ossel.scarside", weight=1.0, basis="confirmed"))
    assert (of("p").made_from, of("p").made_to) == (1936, 9999)


def test_a_person_s_word_goes_before_a_likelier_proposal_and_the_last_word_before_the_first(demo):
    for n, (line, weight, basis) in enumerate(
        [
            ("wherry", 0.6, "proposed"),
            ("larder", 1.0, "confirmed"),
            ("scarside", 1.0, "confirmed"),
            ("ormsley", 0.9, "proposed"),
        ]
    ):
        with act("say", None) as doing:
            doing.add(*([Piece("p")] if n == 0 else []))
            doing.add(Attribution(f"z{9 - n}", piece="p", line=f"ossel.{line}", weight=weight, basis=basis))
    assert (of("p").line, of("p").settled) == ("ossel.scarside", True)


def test_what_is_private_of_a_piece_that_is_not_is_found_by_its_owner_s_side_alone(demo):
    with act("say", None) as doing:
        doing.add(
            Piece("p", name="Dish", place="ossel.shelf"),
            Part("lid", piece="p", name="lid"),
            Reading("r", piece="p", name="mark", value="KWYJIBO", private=True),
            Photograph("f", sha256="0", piece="p", private=True),
        )
    row = of("p")
    assert (row.text, row.own_text) == (" dish ", " kwyjibo shelf 2, front room ") and not row.pictured
    with act("hide", None) as doing:
        doing.change("pieces", "p", private=True)
    assert "kwyjibo" in of("p").text and of("p").pictured


def test_it_is_sorted_by_the_value_of_figures_and_nothing_stands_last(demo):
    names = ["Plate 10", "plate 9", None, "Éclair", "dish"]
    with act("many", None) as doing:
        doing.add(*(Piece(f"p{n}", name=name) for n, name in enumerate(names)))
    rows = Shelved.objects.filter(piece__in=[f"p{n}" for n in range(5)]).order_by("by_name")
    assert [row.piece.name for row in rows] == ["dish", "Éclair", "plate 9", "Plate 10", None]


def test_a_name_too_long_for_an_index_is_kept(demo):
    with act("long", None) as doing:
        doing.add(Piece("p", name="very " * 5000))
    assert len(of("p").by_name) == 200
