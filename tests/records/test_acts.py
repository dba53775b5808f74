"""Whatever is done is done whole, is remembered, and can be undone."""

import pytest
from django.db import IntegrityError, connection, transaction

from footring.records.acts import CannotUndo, Conflict, act, revision, undo
from footring.records.models import MODELS, Change, User
from footring.reference import ReferenceFaults
from footring.rows.collection import Piece, Reading
from footring.rows.reference_things import Form, Line, Maker
from footring.terms.errors import BadInput

pytestmark = pytest.mark.django_db
MAKER, LINE = Maker("q", name="Quillow & Tarn Works"), Line("o", maker="q", name="Ormsley")


def do(*rows, what="add", by=None):
    with act(what, by) as doing:
        doing.add(*rows)
    return doing.act


def test_rows_come_in_any_order_with_who_and_when():
    keeper = User.objects.create(username="keeper")
    do(LINE, MAKER, by=keeper)
    line = MODELS["lines"].objects.get()
    assert (line.row().maker, line.recorded_by) == ("q", "keeper")
    assert line.recorded_at and line.added_in == line.written_in


def test_a_fault_leaves_nothing():
    with pytest.raises(ReferenceFaults, match="designed"):
        do(MAKER, LINE, Form("f", line="o", name="Cup", designed="nineteen"))
    assert revision() == 0 and not MODELS["makers"].objects.exists()


def test_an_id_or_key_that_is_taken_is_refused():
    do(MAKER)
    with pytest.raises(ReferenceFaults, match="duplicate id"):
        do(Maker("q", name="Another"))


def test_what_is_named_must_be_there():
    with pytest.raises(IntegrityError, match="lines"), transaction.atomic():
        do(LINE)
        connection.check_constraints()


def test_a_change_keeps_before_and_after_and_is_undone():
    do(MAKER)
    with act("rename", None) as doing:
        doing.change("makers", "q", name="Tarn Works")
    change = Change.objects.get()
    assert (change.before["name"], change.after["name"]) == ("Quillow & Tarn Works", "Tarn Works")
    undo(doing.act, None)
    assert MODELS["makers"].objects.get().name == "Quillow & Tarn Works"
    with pytest.raises(CannotUndo, match="undone already"):
        undo(doing.act, None)


def test_an_undo_can_be_undone():
    made = do(MAKER)
    taken = undo(made, None)
    assert not MODELS["makers"].objects.exists()
    undo(taken, None)
    assert MODELS["makers"].objects.get().name == "Quillow & Tarn Works"


def test_what_later_rows_name_stays():
    made = do(MAKER)
    do(LINE)
    with pytest.raises(CannotUndo, match="lines"):
        undo(made, None)
    assert MODELS["makers"].objects.exists()


def test_what_was_changed_later_stays():
    made = do(MAKER)
    with act("rename", None) as doing:
        doing.change("makers", "q", name="Tarn Works")
    with pytest.raises(CannotUndo, match="changed later \\(rename\\)"):
        undo(made, None)


def test_the_second_of_two_people_is_shown_both_versions():
    first = do(MAKER)
    with act("town", User.objects.create(username="ann")) as doing:
        doing.change("makers", "q", first.pk, town="Ossel Ford")
    with pytest.raises(Conflict, match="changed meanwhile by ann") as found, act("country", None) as doing:
        doing.change("makers", "q", first.pk, country="England")
    assert found.value.theirs["town"] == "Ossel Ford" and found.value.yours["country"] == "England"
    assert MODELS["makers"].objects.get().country is None


def test_statements_are_never_changed():
    do(MAKER, LINE, Piece("p"), Reading("r", piece="p", name="form", value="cup"))
    with pytest.raises(BadInput, match="never changed"), act("no", None) as doing:
        doing.change("readings", "r", value="bowl")


def test_what_supersedes_is_current():
    do(MAKER, LINE, Piece("p"), Reading("r", piece="p", name="form", value="cup"))
    do(Reading("s", piece="p", name="form", value="bowl", supersedes="r"))
    assert [reading.pk for reading in MODELS["readings"].objects.current()] == ["s"]
