"""The shelf holds what everything stored says of each piece, whatever was done in whatever order."""

import contextlib
import random
from pathlib import Path

import pytest
from django.db import connection

import footring.demo
from footring.records.acts import CannotUndo, act, undo
from footring.records.ids import new_id
from footring.records.models import MODELS, Shelved
from footring.records.models.shelf import SAID
from footring.records.packs import bring_in_pack
from footring.records.search import found
from footring.records.shelf import reshelve
from footring.rows.collection import Attribution, Piece, Reading

pytestmark = pytest.mark.django_db


@pytest.fixture
def demo(db):
    return bring_in_pack(Path(footring.demo.__file__).parent / "pack", None)


def shelf():
    ids = [f"{name}_id" for name in SAID]
    return sorted(Shelved.objects.values_list("piece_id", "confirmed", "text", *ids), key=str)


def words():
    """What the index of words holds, by the piece."""
    if connection.vendor != "sqlite":
        return None
    pieces = dict(Shelved.objects.values_list("pk", "piece_id"))
    with connection.cursor() as cursor:
        cursor.execute("SELECT rowid, text FROM shelf_words")
        return sorted((pieces[rowid], text) for rowid, text in cursor.fetchall() if rowid in pieces)


def test_after_any_acts_it_is_as_made_anew(demo):
    dice, done = random.Random(3), []
    lines = list(MODELS["lines"].objects.values_list("pk", flat=True))
    for _ in range(60):
        pieces = list(MODELS["pieces"].objects.values_list("pk", flat=True))
        what = dice.choice(["piece", "read", "say", "supersede", "rename", "undo"])
        with act(what, None) as doing:
            piece = dice.choice(pieces)
            if what == "piece":
                doing.add(Piece(new_id(), name=dice.choice(["Heron dish", None])))
            elif what == "read":
                doing.add(Reading(new_id(), piece=piece, name="form", value=dice.choice(["cup", "bowl"])))
            elif what == "say":
                basis = dice.choice(["confirmed", "proposed"])
                doing.add(
                    Attribution(new_id(), piece=piece, line=dice.choice(lines), weight=dice.random(), basis=basis)
                )
            elif what == "supersede" and (old := MODELS["readings"].objects.current().order_by("?").first()):
                doing.add(Reading(new_id(), piece=old.piece_id, name=old.name, value="lid", supersedes=old.pk))
            elif what == "rename":
                doing.change("pieces", piece, name=f"Piece {dice.random():.3f}")
        done.append(doing.act)
        if what == "undo" and len(done) > 4:
            with contextlib.suppress(CannotUndo):
                undo(dice.choice(done[:-1]), None)
    kept, indexed = shelf(), words()
    reshelve()
    assert kept == shelf() and indexed == words()


@pytest.mark.parametrize(
    ("typed", "looked_for"),
    [("heron", "heron"), ("HERON dish", "heron dish"), ("herron", "heron"), ("ormsly", "ormsley"), ("417", "417")],
)
def test_a_piece_is_found_by_any_of_its_words_typos_forgiven(typed, looked_for, demo):
    rows, told = found(Shelved.objects.all(), typed)
    assert told == looked_for
    assert "ossel.piece-8" in rows.values_list("piece_id", flat=True)


@pytest.mark.parametrize("typed", ["qqqqqqqq", '"', "a'b; drop table pieces", "%", "*", "heron qqqqqq", "-", "NEAR(a"])
def test_odd_words_find_nothing_and_break_nothing(typed, demo):
    rows, _ = found(Shelved.objects.all(), typed)
    assert list(rows) == []


def test_no_words_find_all(demo):
    assert found(Shelved.objects.all(), "  ")[0].count() == MODELS["pieces"].objects.count()
