"""Whatever a pack or a file holds, what is printed of it steers no terminal."""

import io
import json
from dataclasses import replace
from importlib.resources import files

import pytest

from footring.cli import main
from footring.cli.progress import Progress
from footring.cli.say import say, say_json
from footring.packs import load_pack, write_pack
from footring.packs.faults import PackFault
from footring.reasoning.learn import learn
from footring.reference import Fault
from footring.rows import RowTable

DEMO = str(files("footring.demo").joinpath("pack"))
STEERING = "\x9b31m\x85\u202e\u200b\u2028"
"""A control sequence of one byte, a next line, a turn of the direction of writing, a space without width, a line."""
LEFT_ALONE = ("readings", "date_code_schemes", "date_code_fields", "date_code_tokens", "claims", "resolutions")


@pytest.fixture(scope="module")
def pack(tmp_path_factory):
    out = tmp_path_factory.mktemp("hostile") / "pack"
    write_pack({name: _hostile(name, table) for name, table in load_pack(DEMO).tables.items()}, out)
    return str(out)


def _hostile(name, table):
    free = [
        column.name
        for column in table.spec.columns
        if column.type is str and not (column.refers_to or column.refers_by or column.choices or column.date)
        and not column.moment and column.name not in ("id", "thing_table")
    ]  # fmt: skip
    if name in LEFT_ALONE:
        return table
    changed = (
        replace(row, **{column: given + STEERING for column in free if (given := getattr(row, column))})
        for row in table.rows()
    )
    return RowTable.from_rows(table.spec, list(changed))


def harmless(text):
    return all(c.isprintable() or c == "\n" for c in text)


@pytest.mark.parametrize(
    "argv",
    [
        ["examine", "--pack", "PACK", "--read", "line=Ormsley", "--read", "number=417" + STEERING, "--why"],
        ["examine", "--pack", "PACK", "--read", "lid.form=lid", "--read", "form=covered dish", "--why"],
        ["date", "--pack", "PACK", "--mark", "QUILLOW & TARN" + STEERING],
        ["sources", "PACK", "--all"],
        ["pack", "check", "PACK"],
        ["pack", "check", "PACK" + STEERING],
        ["learn", "PACK", "--out", "OUT"],
        ["examine", "--pack", "PACK", "--read", "across=213" + STEERING],
        ["examine", "--batch", "BATCH"],
        ["group", "GROUP"],
    ],
)
def test_no_command_prints_it(capsys, tmp_path, pack, argv):
    (tmp_path / "batch.csv").write_text(
        f"id,across,line\nb1{STEERING},213,\nb2{STEERING},,Ormsley{STEERING}\n", "utf-8"
    )
    (tmp_path / "group.csv").write_text(
        f"type,begin,end,count,assemblage\nplate{STEERING},1911,1938,14,yard{STEERING}\n", "utf-8"
    )
    given = {"PACK": pack, "OUT": str(tmp_path / "p.json"), "BATCH": str(tmp_path / "batch.csv")}
    given["GROUP"] = str(tmp_path / "group.csv")
    main([given.get(word, word.replace("PACK" + STEERING, pack + STEERING)) for word in argv])
    told = capsys.readouterr()
    assert told.out + told.err and harmless(told.out + told.err)


def test_a_channel_is_named_without_it(capsys, tmp_path, pack, monkeypatch):
    monkeypatch.setattr("footring.cli.learn.settled_readings", lambda _: [0])
    monkeypatch.setattr(
        "footring.cli.learn.learn", lambda known: replace(learn(known), channels={"": 1.0, "ossel.letter": 0.3})
    )
    assert main(["learn", pack, "--out", str(tmp_path / "p.json")]) == 0
    out = capsys.readouterr().out
    assert "Met through “Letters from strangers?31m ?? ”, where someone chose: a piece counts for 0.3." in out


def test_a_fault_stays_in_one_line():
    tables = Fault("dangling id", "forms", 3, "a\nb\x1b[2J", "line", "'x'", "an id")
    assert str(tables) == "forms, row 3 (a b?[2J), line: dangling id: given 'x'; expected an id"
    assert str(PackFault("unknown column", "a\x9b.csv", name="b\nc")) == "a?.csv, b c: unknown column"


def test_progress_names_a_file_without_it():
    stream = io.StringIO()
    with Progress(asked=True, stream=stream, silent_s=0.0) as progress:
        progress("a\x1b[2J.csv", 1, 2)
    assert stream.getvalue() == "a?[2J.csv 50 %\n"


def test_lines_are_kept_and_json_loses_nothing(capsys):
    say("one\n\n  two\x1b[31m")
    say("three\x07", error=True)
    say_json({"said": "\x1b\x7f\u2028"})
    told = capsys.readouterr()
    out, json_out = told.out.rsplit("\n", 2)[:2]
    assert out == "one\n\n  two?[31m" and told.err == "three?\n"
    assert harmless(json_out) and json.loads(json_out) == {"said": "\x1b\x7f\u2028"}
