"""What is known is what was done, whoever does something else at the same time."""

import threading
from concurrent.futures import ThreadPoolExecutor, wait

import pytest
from django.db import connection, transaction

from footring.records.acts import act, revision
from footring.records.known import at_once, known, warm
from footring.records.models import MODELS, Act
from footring.rows.collection import Attribution, Piece
from footring.rows.reference_things import Form, Line, Maker

pytestmark = pytest.mark.django_db
MAKER, LINE = Maker("q", name="Quillow & Tarn Works"), Line("o", maker="q", name="Ormsley")
LONG = 60.0


def do(*rows):
    with act("add", None) as doing:
        doing.add(*rows)
    return doing.act


def forms():
    return sorted(known().reference.tables["forms"].ids)


def test_what_is_known_follows_what_is_done():
    do(MAKER, LINE)
    before = known()
    do(Form("f", line="o", name="Cup"))
    assert known().reference.tables["forms"].ids and known().revision == revision() > before.revision
    do(Piece("p"), Attribution("a", piece="p", line="o", form="f", weight=1.0, basis="confirmed"))
    assert known().reference.counts.cells.tolist() != []
    compiled = known().reference
    do(MODELS["conditions"].SPEC.row_class("c", piece="p", kind="damage", what="chip"))
    assert known().reference is compiled and known().revision == revision(), "no answer rests on a chip"


@pytest.mark.django_db(transaction=True)
def test_what_is_known_is_made_ready_before_anybody_asks():
    do(MAKER, LINE)
    warm()
    found = at_once(60.0)
    assert found is not None and found.reference.tables["lines"].ids and known() is found


def test_what_is_known_while_something_is_done_leaves_nothing_out_afterwards():
    do(MAKER, LINE)
    before = known()
    with act("add", None) as doing:
        doing.add(Form("f", line="o", name="Cup"))
        assert known() is before
    assert forms() == ["f"] and known().revision == revision() == doing.act.revision


def test_what_is_given_up_is_in_nothing_that_is_known_later():
    do(MAKER, LINE)
    with pytest.raises(RuntimeError, match="given up"), act("add", None) as doing:
        doing.add(Form("f", line="o", name="Cup"))
        known()
        raise RuntimeError("given up")
    assert forms() == []
    do(Form("g", line="o", name="Bowl"))
    assert forms() == ["g"]


def test_what_is_changed_is_known_anew():
    do(MAKER, LINE, Form("f", line="o", name="Cup"))
    assert known().reference.row("forms", "f").name == "Cup"
    with act("rename", None) as doing:
        doing.change("forms", "f", name="Mug")
    assert known().reference.row("forms", "f").name == "Mug"


def test_an_act_has_its_number_only_when_it_is_done():
    first = do(MAKER)
    with act("add", None) as doing:
        doing.add(LINE)
        assert (doing.act.revision, revision()) == (None, first.revision)
    assert [*Act.objects.order_by("pk").values_list("revision", flat=True)] == [first.revision, first.revision + 1]


# ---- two at the same time, which only PostgreSQL allows


@pytest.fixture
def beside(transactional_db):
    """Does things in another thread; what it gives back is a future."""
    if connection.vendor != "postgresql":
        pytest.skip("SQLite lets one write at a time")
    with ThreadPoolExecutor() as threads:
        yield lambda doing, *given: threads.submit(closing_after, doing, *given)


def closing_after(doing, *given):
    try:
        return doing(*given)
    finally:
        connection.close()


def slowly(row, written, go_on):
    """An act that waits after writing."""
    with act("slowly", None) as doing:
        doing.add(row)
        written.set()
        assert go_on.wait(LONG)
    return doing.act.revision


def kept_late(row, done, go_on):
    """An act that is done, and kept only later."""
    with transaction.atomic():
        number = do(row).revision
        done.set()
        assert go_on.wait(LONG)
    return number


def test_what_was_begun_before_and_kept_after_something_else_is_known(beside):
    do(MAKER, LINE)
    known()
    written, go_on = threading.Event(), threading.Event()
    slow = beside(slowly, Form("slow", line="o", name="Cup"), written, go_on)
    assert written.wait(LONG)
    quick = do(Form("quick", line="o", name="Bowl"))
    assert forms() == ["quick"]
    go_on.set()
    assert slow.result(LONG) == quick.revision + 1
    assert forms() == ["quick", "slow"] and known().revision == revision()


def test_acts_are_numbered_in_the_order_in_which_they_are_kept(beside):
    before = do(MAKER, LINE).revision
    done, go_on = threading.Event(), threading.Event()
    late = beside(kept_late, Form("late", line="o", name="Cup"), done, go_on)
    assert done.wait(LONG)
    other = beside(do, Form("other", line="o", name="Bowl"))
    assert wait([other], 0.5).not_done and revision() == before
    go_on.set()
    assert (late.result(LONG), other.result(LONG).revision) == (before + 1, before + 2)
