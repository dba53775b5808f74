"""What is known is what was done, whoever does something else at the same time."""

import os
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor, wait

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from footring.records.acts import act, revision
from footring.records.known import LEFT_OUT, at_once, forget, known, warm
from footring.records.models import MODELS, Act
from footring.records.snapshot import one_moment, snapshot
from footring.rows import TABLES
from footring.rows.collection import Attribution, Finding, Letter, Photograph, Piece, Reading
from footring.rows.reference_things import Form, Line, Maker, Source
from footring.rows.statements import Claim

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


def test_only_tables_that_were_added_to_are_read_again():
    do(MAKER, LINE)
    known()
    do(Form("f", line="o", name="Cup"))
    with CaptureQueriesContext(connection) as asked:
        assert forms() == ["f"]
    assert {table for table in TABLES if any(f'FROM "{table}"' in one["sql"] for one in asked)} == {"forms"}


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


def test_what_no_answer_rests_on_is_left_out_wherever_it_is_named():
    do(
        MAKER,
        LINE,
        Piece("p"),
        Photograph("f", sha256="0" * 64, piece="p"),
        Letter("l"),
        Source("s", name="A letter", kind="letter"),
    )
    known()
    do(
        Finding("found", piece="p", reference_digest="0", version="1"),
        Attribution("a", piece="p", line="o", weight=1.0, basis="proposed", finding="found"),
        Reading("r", piece="p", name="form", value="cup", photograph="f"),
        Claim("c", subject_table="letters", subject="l", property="written", source="s", firmness="seen", stance="for"),
        Claim("d", subject_table="lines", subject="o", property="made", source="s", firmness="seen", stance="for"),
    )
    grown = known().reference
    forget()
    for reference in (grown, known().reference):
        assert (reference.row("readings", "r").photograph, reference.row("attributions", "a").finding) == (None, None)
        assert sorted(reference.tables["claims"].ids) == ["d"]
        assert [len(reference.tables[table]) for table in LEFT_OUT] == [0] * len(LEFT_OUT)
    assert grown.digest == known().reference.digest


def test_what_is_left_out_need_not_be_named():
    needed = [spec for name, spec in TABLES.items() if name not in LEFT_OUT]
    naming = [column for spec in needed for column in spec.columns if column.refers_to in LEFT_OUT]
    assert {column.name for column in naming} == {"photograph", "finding"}
    assert all(column.nullable for column in naming)


# ---- while others write

WRITING_MEANWHILE = """
import sys, threading
from pathlib import Path
from footring.records.folder import opened
opened(Path(sys.argv[1]))
from footring.records.acts import act, revision
from footring.records.snapshot import one_moment, snapshot
from footring.rows.reference_things import Line, Maker
def do(*rows):
    with act("add", None) as doing:
        doing.add(*rows)
do(Maker("q", name="Quillow & Tarn Works"))
with one_moment():
    before = [revision(), len(snapshot(["makers"])["makers"])]
    other = threading.Thread(target=do, args=[Line("o", maker="q", name="Ormsley")])
    other.start()
    other.join(20)
    print(other.is_alive(), *before, revision(), len(snapshot(["lines"])["lines"]))
print(revision(), len(snapshot()["lines"]))
do(Maker("r", name="Another"))
"""


def test_all_is_read_as_of_one_moment_and_nobody_waits_for_it(tmp_path):
    ours = ("DATABASE_URL", "DJANGO_SETTINGS_MODULE", "FOOTRING_STORE")
    environment = {name: value for name, value in os.environ.items() if name not in ours}
    told = subprocess.run(
        [sys.executable, "-c", WRITING_MEANWHILE, str(tmp_path)], capture_output=True, text=True, env=environment
    )
    assert told.stdout.splitlines() == ["False 1 1 1 0", "2 1"], told.stderr
    assert told.returncode == 0


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


def test_all_is_read_as_of_one_moment_on_postgresql_too(beside):
    do(MAKER)
    with one_moment():
        before = revision()
        beside(do, LINE).result(LONG)
        assert (revision(), len(snapshot(["lines"])["lines"])) == (before, 0)
    assert (revision(), len(snapshot()["lines"])) == (before + 1, 1)


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
