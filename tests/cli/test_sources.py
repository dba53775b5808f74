"""`footring sources` as its user types it."""

import json
from dataclasses import replace
from importlib.resources import files

import pytest

from footring.cli import main
from footring.packs import load_pack, write_pack
from footring.rows import TABLES, RowTable
from footring.rows.reference_things import Source
from footring.rows.statements import Claim

DEMO = str(files("footring.demo").joinpath("pack"))


def run(capsys, *argv):
    code = main(["sources", *argv])
    out = capsys.readouterr()
    return code, out.out, out.err


def test_the_demo_in_sentences(capsys):
    code, out, err = run(capsys, DEMO)
    assert (code, err) == (0, "")
    assert all(len(line) <= 80 for line in out.splitlines())
    text = " ".join(out.split())
    assert "Talk at Tarn Lane hall (talk): 48 in 100 of what it says is likely right" in text
    assert "(said from memory, 240 handled, 14 hours, fairs within a day of Ossel Ford" in text
    assert "1934, decided by hand. The ledger was written in that year; the book draws on the talk." in text
    assert "Ossel Ford and its potters, p. 88 (printed, counts with Talk at Tarn Lane hall)" in text


def test_json_holds_the_same_and_opens_to_its_claims(capsys):
    code, out, _ = run(capsys, DEMO, "--json")
    found = json.loads(out)
    assert code == 0
    talk = next(one for one in found["sources"] if one["source"] == "ossel.talk-1991")
    assert 0 < talk["low"] < talk["weight"] < talk["high"] < 1
    assert talk["tally"] == {"borne_out": 0, "contradicted": 1, "left_open": 1}
    heron = next(one for one in found["disagreements"] if one["subject"] == "ossel.reed-heron")
    opened = {row["id"] for value in heron["values"] for row in value["opened"]}
    assert opened == {"ossel.c1", "ossel.c2", "ossel.c3"}
    assert heron["resolution"] == "ossel.r1"
    assert sum(value["probability"] for value in heron["values"]) + heron["something_else"] == pytest.approx(1)
    assert len(found["digests"]["sources"]) == 32


def test_a_pack_of_nothing_is_an_answer(capsys, tmp_path):
    write_pack({"sources": RowTable.from_rows(TABLES["sources"], [])}, tmp_path / "pack")
    code, out, _ = run(capsys, str(tmp_path / "pack"))
    assert code == 0
    assert "No source is named here." in out and "Nothing: no claim is contradicted." in out


def test_a_long_list_is_cut_short_unless_all_is_said(capsys, tmp_path):
    tables = dict(load_pack(DEMO).tables)
    heron = next(row for row in tables["claims"].rows() if row.id == "ossel.c1")
    subjects = [(table, row.id) for table in ("decorations", "forms") for row in tables[table].rows()]
    claims = [
        replace(heron, id=f"{subject}.{value}", subject_table=table, subject=subject, value=value)
        for table, subject in subjects
        + [("labels", "ossel.l-club"), ("makers", "ossel.quillow"), ("glazes", "ossel.sedge")]
        for value in ("1911", "1951")
    ]
    tables["claims"] = RowTable.from_rows(TABLES["claims"], claims)
    tables["resolutions"] = RowTable.from_rows(TABLES["resolutions"], [])
    write_pack(tables, tmp_path / "pack")
    _, short, _ = run(capsys, str(tmp_path / "pack"))
    _, long, _ = run(capsys, str(tmp_path / "pack"), "--all")
    assert "1 more: say --all." in short and "say --all" not in long
    assert len(long) > len(short)


def test_characters_that_steer_a_terminal_are_not_printed(capsys, tmp_path):
    odd = Source("s", name="A \u202egnol name", kind="book")
    made = Claim("c", subject_table="sources", subject="s", property="published", value="1936", source="s",
                 firmness="printed", stance="for")  # fmt: skip
    rows = {"sources": [odd], "claims": [made, replace(made, id="d", value="1940")]}
    write_pack({name: RowTable.from_rows(TABLES[name], of) for name, of in rows.items()}, tmp_path / "pack")
    code, out, _ = run(capsys, str(tmp_path / "pack"))
    assert code == 0 and "\u202e" not in out


@pytest.mark.parametrize(
    ("files", "says"),
    [
        ({}, "no such"),
        (
            {
                "claims.csv": "id,subject_table,subject,property,value,source,page,firmness,stance\nc,forms,f,made,,s,,seen,for\n"
            },
            "dangling id",
        ),
    ],
)
def test_a_pack_that_cannot_be_used_is_told_and_exit_2(capsys, tmp_path, files, says):
    path = tmp_path / "pack"
    if files:
        path.mkdir()
    for name, text in files.items():
        (path / name).write_text(text, encoding="utf-8")
    code, out, err = run(capsys, str(path))
    assert (code, out) == (2, "")
    assert says in err


def test_help_shows_an_example_that_works(capsys):
    with pytest.raises(SystemExit, match="0"):
        main(["sources", "--help"])
    assert "footring sources src/footring/demo/pack" in capsys.readouterr().out
