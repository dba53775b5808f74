"""`footring examine` as its user types it."""

import io
import json
import shlex
import sys
from importlib.resources import files

import pytest

from footring.cli import examine, main
from footring.reasoning.attributions import NAMES

PACK = str(files("footring.demo") / "pack")
HERON = ("--pack", PACK, "--read", "line=Ormsley", "--read", "decoration=Reed Heron")


def run(capsys, *argv):
    code = main(["examine", *argv])
    out = capsys.readouterr()
    return code, out.out, out.err


def written(tmp_path, text):
    path = tmp_path / "pieces.csv"
    path.write_text(text, encoding="utf-8")
    return str(path)


def objects(out):
    return [json.loads(line, parse_constant=lambda c: pytest.fail(f"{c} is no JSON")) for line in out.splitlines()]


def test_one_piece_as_a_label(capsys):
    code, out, err = run(capsys, *HERON)
    told = " ".join(out.split())
    assert code == 0
    assert not err
    assert all(len(line) <= 80 for line in out.splitlines())
    assert "Reed Heron" in told
    assert "nine chances in ten" in told
    assert "dB" not in told
    assert "dB" in run(capsys, *HERON, "--why")[1]


def test_json_has_what_it_promises(capsys):
    code, out, _ = run(capsys, *HERON, "--json")
    (piece,) = objects(out)
    assert code == 0
    whole = {"id", "outside", "unrecorded", "rest", "attributions", "marginals", "dates", "evidence", "conflicts"}
    assert set(piece) >= whole | {"unusual", "next", "cautions", "provenance"}
    rows = piece["attributions"]
    assert piece["outside"] + piece["rest"] + sum(row["p"] for row in rows) == pytest.approx(1.0, abs=1e-9)
    assert piece["rest"] < 0.001 or len(rows) == 200
    for row in rows:
        for name in NAMES:
            known = row[f"{name}_state"] == "known"
            assert row[f"{name}_state"] in ("known", "none", "unknown", "new")
            assert (row[name] is not None) == (row[f"{name}_id"] is not None) == known
    for name in ("maker", "line", "form", "decoration", "number", "in_clay_mark", "printed_mark"):
        assert sum(p for _, p, _ in piece["marginals"][name]) == pytest.approx(1.0, abs=1e-3)
    for one in piece["evidence"]:
        assert set(one) >= {"reading", "alone_db", "last_db", "words", "rests_on"}
        assert max(abs(one["alone_db"]), abs(one["last_db"])) <= 60
    assert list(piece["dates"]) == ["form_designed", "pattern_designed", "potted", "decorated"]
    for date in piece["dates"].values():
        assert sum(date["density"][1]) == pytest.approx(1, abs=1e-9)
    assert set(piece["provenance"]) >= {"footring", "reference", "parameters", "prior"}


def test_batch_equals_single(capsys, tmp_path):
    rows = "id,line,decoration,mark,mark.2,lid.form\na,Ormsley,Reed Heron,,,\nb,,none,ENGLAND,ORMSLEY ~0.7,lid\n"
    code, out, _ = run(capsys, "--pack", PACK, "--batch", written(tmp_path, rows), "--json")
    first, second = objects(out)
    assert code == 0
    assert [first["id"], second["id"]] == ["a", "b"]
    _, alone, _ = run(capsys, *HERON, "--json")
    assert objects(alone)[0] | {"id": "a"} == first
    reads = ("decoration=none", "mark=ENGLAND", "mark=ORMSLEY ~0.7", "lid.form=lid")
    _, alone, _ = run(capsys, "--pack", PACK, *(part for read in reads for part in ("--read", read)), "--json")
    assert objects(alone)[0] | {"id": "b"} == second
    assert "lid" in second


def test_a_row_that_cannot_be_used_is_told_and_the_others_go_on(capsys, tmp_path):
    rows = "id,line,across\na,Ormsley,\nb,Ormsley,wide\nc,Wherry\nd,Wherry,7 in\n"
    path = written(tmp_path, rows)
    code, out, _ = run(capsys, "--pack", PACK, "--batch", path, "--json")
    assert code == 1
    assert ["error" in one for one in objects(out)] == [False, True, True, False]
    code, out, err = run(capsys, "--pack", PACK, "--batch", path)
    assert code == 1
    assert "line 3, b" in err
    assert "line 4, c" in err
    assert out.count("Before anyone eats from any of them") == 1


def test_stdin(capsys, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"id,line\na,Wherry\n")))
    code, out, _ = run(capsys, "--pack", PACK, "--batch", "-", "--json")
    assert code == 0
    assert objects(out)[0]["marginals"]["line"][0][0] == "Wherry"


@pytest.mark.parametrize(
    ("argv", "says"),
    [
        ((), "nothing to examine"),
        (("--read", "line=Ormsley", "--batch", "x.csv"), "leave out --read"),
        (("--read", "Ormsley"), "expected NAME=VALUE"),
        (("--read", "lyne=Ormsley"), "did you mean line"),
        (("--pack", "nowhere", "--read", "line=Ormsley"), "nowhere"),
        (("--parameters", "nowhere.json", "--read", "line=Ormsley"), "nowhere.json"),
        (("--batch", "nowhere.csv"), "nowhere.csv"),
        (("--read", "across=wide"), "wide"),
        ((*HERON, "--about", "luck"), "luck"),
    ],
)
def test_what_cannot_be_used_is_one_line_and_2(capsys, argv, says):
    code, out, err = run(capsys, *argv)
    assert code == 2
    assert not out
    assert says in err
    assert len(err.splitlines()) == 1


def test_the_examples_of_the_help_run(capsys, monkeypatch):
    monkeypatch.chdir(files("footring").joinpath("..", ".."))
    for line in examine.EXAMPLES.splitlines()[1:]:
        argv = shlex.split(line)[1:]
        assert main(argv) == 0, line
        assert capsys.readouterr().out


def test_a_lid_is_a_lid_and_told_apart(capsys):
    lid = ("--read", "lid.decoration=Reed Heron", "--read", "decoration=Reed Heron", "--read", "line=Ormsley")
    _, out, _ = run(capsys, "--pack", PACK, *lid, "--read", "form=covered dish", "--json")
    (piece,) = objects(out)
    assert [value for value, *_ in piece["lid"]["marginals"]["form"]] == ["Round dish lid"]
    assert "Round dish lid" not in [value for value, *_ in piece["marginals"]["form"]]
    assert piece["together"] == "The lid and the base were issued together."
    assert not any("married" in one["explanation"] for one in piece["conflicts"])
    other = ("--read", "lid.decoration=Reed Heron", "--read", "decoration=Buffet Wheel", "--read", "line=Ormsley")
    _, out, _ = run(capsys, "--pack", PACK, *other, "--read", "form=covered dish", "--json")
    (piece,) = objects(out)
    assert piece["together"] is None
    assert any("married" in one["explanation"] for one in piece["conflicts"])


@pytest.mark.parametrize(("about", "first"), [("size", "across"), ("number", "number"), ("years", "date_code")])
def test_what_is_next_can_be_asked_about_size_number_and_years(capsys, about, first):
    code, out, _ = run(capsys, "--pack", PACK, "--read", "line=Ormsley", "--about", about, "--json")
    (piece,) = objects(out)
    assert code == 0 and piece["next"][0]["reading"] == first
    assert about in run(capsys, "--pack", PACK, "--read", "line=Ormsley", "--about", "luck")[2]
