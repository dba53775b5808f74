"""`footring date` as its user types it."""

import io
import json
import sys
from importlib.resources import files

import pytest

from footring.cli import main

MARK = "QUILLOW & T?RN / ORMSLEY / MADE IN ENGLAND"


def run(capsys, *argv):
    code = main(["date", *argv])
    out = capsys.readouterr()
    return code, out.out, out.err


def written(tmp_path, text, name="pieces.csv"):
    path = tmp_path / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return str(path)


def objects(out):
    return [json.loads(line) for line in out.splitlines()]


def test_one_mark_as_a_label(capsys):
    code, out, err = run(capsys, "--mark", MARK)
    assert code == 0
    assert not err
    assert all(len(line) <= 80 for line in out.splitlines())
    assert "MADE IN ENGLAND" in " ".join(out.split())
    assert "nine chances in ten" in " ".join(out.split())


def test_json_has_what_it_promises(capsys):
    code, out, _ = run(capsys, "--mark", MARK, "--read", "country=England", "--json")
    (piece,) = objects(out)
    assert code == 0
    assert set(piece) >= {"id", "dates", "evidence", "conflicts", "cautions", "provenance"}
    assert list(piece["dates"]) == ["form_designed", "pattern_designed", "potted", "decorated"]
    for date in piece["dates"].values():
        assert set(date) == {"median", "interval50", "interval80", "interval90", "interval95", "from", "to", "density"}
        first, density = date["density"]
        assert sum(density) == pytest.approx(1, abs=1e-12)
        assert first <= date["median"] < first + len(density)
        assert all(first <= a <= b for a, b in date["interval95"])
    assert piece["provenance"]["prior"]


def test_batch_equals_single(capsys, tmp_path):
    rows = 'id,mark,country,date_code\na,"ORMSLEY / MADE IN ENGLAND",England,none\nb,"ENGLAND / Rd No 314901",,\n'
    _, out, _ = run(capsys, "--batch", written(tmp_path, rows), "--json")
    first, second = objects(out)
    _, alone, _ = run(
        capsys, "--mark", "ORMSLEY / MADE IN ENGLAND", "--read", "country=England", "--read", "date_code=none", "--json"
    )
    single = objects(alone)[0]
    assert [first["id"], second["id"]] == ["a", "b"]
    for name, date in single["dates"].items():
        assert date["density"][1] == pytest.approx(first["dates"][name]["density"][1], abs=1e-12)


def test_a_bad_row_carries_its_error_and_the_rest_go_on(capsys, tmp_path):
    rows = "id,mark,made\na,ENGLAND,1936\nb,ENGLAND,some day\nc,ENGLAND,1937\n"
    code, out, _ = run(capsys, "--batch", written(tmp_path, rows), "--json")
    a, b, c = objects(out)
    assert code == 1
    assert "some day" in b["error"]
    assert "line 3" in b["error"]
    assert (a["dates"]["decorated"]["from"], c["dates"]["decorated"]["to"]) == (1936, 1937)


@pytest.mark.parametrize(
    ("content", "message"),
    [
        ("id,marks\na,ENGLAND\n", "did you mean mark?"),
        ("id,mark,mark\na,b,c\n", "a column stands twice"),
        ("", "is empty"),
        (b"id,mark\na,\xff\xfe\n", "is not UTF-8 text"),
        ('id,mark\na,"open\n', "cannot be read as CSV"),
    ],
)
def test_a_bad_file_is_one_line_and_exit_2(capsys, tmp_path, content, message):
    code, out, err = run(capsys, "--batch", written(tmp_path, content))
    assert (code, out) == (2, "")
    assert message in err
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("argv", "message"),
    [
        ([], "nothing to date"),
        (["--read", "country"], "expected NAME=VALUE"),
        (["--read", "colour=green"], "no reading is called 'colour'"),
        (["--batch", "nowhere.csv"], "cannot read nowhere.csv"),
        (["--mark", "x", "--batch", "y.csv"], "leave out --mark"),
        (["--mark", "x", "--prior", "nowhere.csv"], "cannot read the prior"),
        (["--mark", "x" * 10_001], "10,000"),
    ],
)
def test_bad_input_is_one_line_and_exit_2(capsys, argv, message):
    code, out, err = run(capsys, *argv)
    assert (code, out) == (2, "")
    assert message in err
    assert err.count("\n") == 1


def test_a_ragged_row_is_an_error_of_that_row(capsys, tmp_path):
    code, out, _ = run(capsys, "--batch", written(tmp_path, "id,mark\na,ENGLAND,more\nb,ENGLAND\n"), "--json")
    assert code == 1
    assert ["error" in piece for piece in objects(out)] == [True, False]


def test_stdin(capsys, monkeypatch):
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"id,mark\nx,ENGLAND\n")))
    code, out, _ = run(capsys, "--batch", "-", "--json")
    assert code == 0
    assert objects(out)[0]["id"] == "x"


def test_repeated_marks_keep_their_kinds(capsys):
    _, out, _ = run(capsys, "--read", "mark=ENGLAND", "--read", "mark=417", "--read", "mark_kind.2=impressed", "--json")
    assert any(numeral["text"] == "417" for numeral in objects(out)[0]["numerals"])


def test_only_the_first_equals_splits(capsys):
    code, out, _ = run(capsys, "--read", "mark=EST. = 1904", "--json")
    assert code == 0
    assert any(e["reading"] == "1904" for e in objects(out)[0]["evidence"])


def test_a_lid_is_dated_apart(capsys):
    _, out, _ = run(capsys, "--mark", "ENGLAND", "--read", "lid.mark=(c) 1958 ORMSLEY", "--json")
    piece = objects(out)[0]
    assert piece["lid"]["dates"]["decorated"]["median"] > piece["dates"]["decorated"]["median"]


def test_a_not_for_oven_mark_comes_first(capsys):
    """A bowl of an oven line may carry a not-for-oven mark: common practice, no source."""
    _, out, _ = run(capsys, "--mark", "LARDER OVEN WARE / NOT FOR OVEN USE")
    assert "oven" in out.splitlines()[0].lower()


def test_a_pack_brings_its_own_date_codes(capsys):
    pack = str(files("footring.demo").joinpath("pack"))
    given = ["--mark", "QUILLOW & TARN / MADE IN ENGLAND", "--read", "date_code=C4", "--json"]
    _, with_pack, _ = run(capsys, "--pack", pack, *given)
    _, without, _ = run(capsys, *given)
    (coded,), (plain,) = objects(with_pack), objects(without)
    assert coded["dates"]["decorated"]["interval95"] == [[1934, 1934]]
    assert coded["codes"][0]["maker"] == "Quillow & Tarn Works"
    assert coded["provenance"]["own_date_codes"]
    assert not plain["codes"]
    assert "own_date_codes" not in plain["provenance"]


def test_a_pack_that_is_not_there_is_one_line(capsys):
    code, _, err = run(capsys, "--pack", "nowhere", "--mark", "x")
    assert code == 2
    assert "nowhere" in err


@pytest.mark.parametrize("argv", [[], ["--json"]])
def test_a_terminal_that_knows_only_ascii_gets_ascii(monkeypatch, tmp_path, argv):
    raw = io.BytesIO()
    monkeypatch.setattr("sys.stdout", io.TextIOWrapper(raw, encoding="ascii"))
    pieces = written(tmp_path, "id,mark\nÉ 1,QUILLOW É / MADE IN ENGLAND\n")
    assert main(["date", "--batch", pieces, *argv]) == 0
    sys.stdout.flush()
    assert raw.getvalue().isascii()
    if argv:
        assert json.loads(raw.getvalue())["id"] == "É 1"


def test_a_cell_may_hold_any_separator_but_a_line_end(capsys, tmp_path):
    rows = 'id,mark\na,"ENGLAND\n/ ORMSLEY"\nb,ENGLAND\u2028ORMSLEY\x0cX\nc,ENGLAND,more\n'
    code, out, _ = run(capsys, "--batch", written(tmp_path, rows), "--json")
    assert code == 1
    assert [piece["id"] for piece in objects(out)] == ["a", "b", "c"]
    assert "line 5" in objects(out)[2]["error"]
