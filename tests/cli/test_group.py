"""`footring group` as its user types it."""

import io
import json
from importlib.resources import files

import pytest

from footring.cli import main

DEMO = str(files("footring.demo").joinpath("group.csv"))
HEADING = "type,begin,end,count"


def run(capsys, *argv):
    code = main(["group", *argv])
    out = capsys.readouterr()
    return code, out.out, out.err


def written(tmp_path, text):
    path = tmp_path / "group.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return str(path)


def test_the_demo_as_text_fits_the_width(capsys):
    code, out, err = run(capsys, DEMO)
    assert (code, err) == (0, "")
    assert all(len(line) <= 80 for line in out.splitlines())
    assert "1924.8  station yard, 28 pieces" in out
    assert "1930-1940     15.14" in out


def test_json_holds_the_same_and_nothing_is_lost(capsys):
    code, out, _ = run(capsys, DEMO, "--bins", "1920:1960:10", "--json")
    found = json.loads(out)
    assert code == 0
    # By hand: 14 x 1924.5, 6 x 1927.5, 5 x 1913, 3 x 1940.5 over 28 pieces.
    by_hand = (14 * 1924.5 + 6 * 1927.5 + 5 * 1913 + 3 * 1940.5) / 28
    assert found["assemblages"]["station yard"] == {"count": 28, "mean_date": pytest.approx(by_hand)}
    assert sum(block["weighted"] for block in found["blocks"]) + found["outside"] == pytest.approx(69)
    assert next((block["from"], block["to"]) for block in found["blocks"]) == (1920, 1930)


def test_stdin_without_assemblages(capsys, monkeypatch):
    text = f"{HEADING}\nmottled,1920,1930,2\nplain,1930,1940,2\nnever met,,,0\n"
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(text.encode())))
    code, out, _ = run(capsys, "-", "--json")
    assert code == 0
    assert json.loads(out)["assemblages"] == {"all": {"count": 4, "mean_date": 1930}}


def test_a_group_of_no_pieces_is_an_answer(capsys, tmp_path):
    code, out, _ = run(capsys, written(tmp_path, f"{HEADING}\nmottled,1920,1930,0\n"))
    assert code == 0
    assert "no pieces" in out


def test_help_shows_an_example_that_works(capsys):
    with pytest.raises(SystemExit, match="0"):
        main(["group", "--help"])
    assert "footring group src/footring/demo/group.csv --bins 1900:1970:10" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("rows", "says"),
    [
        ("mottled,,,3", "type 'mottled' has no date: "),
        ("mottled,1920,1930,2\nMottled,,,3", "is it 'mottled', spelt otherwise?"),
        ("mottled,1930,1920,2", "line 2: expected begin and end in order, given '1930' and '1920'"),
        ("mottled,1930,,2", "line 2: expected begin and end in order"),
        ("mottled,c.1930,1940,2", "line 2: begin is a number, given 'c.1930'"),
        ("mottled,1930,1940,-2", "line 2: expected a type and a count of zero or more"),
        ("mottled,1930,1940,", "line 2: expected a type and a count"),
        (",1930,1940,2", "line 2: expected a type and a count"),
        ("mottled,1930,1940", "line 2: more or fewer fields"),
        ("mottled,1930,1940,2,x", "line 2: more or fewer fields"),
        ("mottled,1930,1940,nan", "line 2: count is a number, given 'nan'"),
        ("mottled,1930,1940,2\nmottled,1930,1941,2", "line 3: type 'mottled' has other dates than before"),
        ("mottled,-100000,1940,2", "more than 1000 decades: give --bins"),
        ("", "no rows under the heading"),
    ],
)
def test_a_bad_row_is_one_line_and_exit_2(capsys, tmp_path, rows, says):
    code, out, err = run(capsys, written(tmp_path, f"{HEADING}\n{rows}\n"))
    assert (code, out) == (2, "")
    assert says in err
    assert err.count("\n") == 1


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("type,begin,end\n", "expected the columns type, begin, end, count and perhaps assemblage"),
        ("type,begin,end,count,colour\n", "given 'type, begin, end, count, colour'"),
        ("type,type,begin,end,count\n", "expected the columns"),
        ("", "expected the columns"),
        (b"type,begin,end,count\nm\xf6ttled,1920,1930,1\n", "is not UTF-8 text (byte 22)"),
    ],
)
def test_a_bad_file_is_one_line_and_exit_2(capsys, tmp_path, text, says):
    code, out, err = run(capsys, written(tmp_path, text))
    assert (code, out) == (2, "")
    assert says in err


@pytest.mark.parametrize(
    "bins", ["1900", "1900:1950", "1950:1900:10", "1900:1950:0", "1900:1955:10", "0:9999:1", "a:b:c"]
)
def test_bad_bins_are_one_line_and_exit_2(capsys, bins):
    code, _, err = run(capsys, DEMO, "--bins", bins)
    assert code == 2
    assert f"--bins {bins!r}: expected FIRST:LAST:STEP" in err


def test_a_file_that_is_not_there(capsys, tmp_path):
    code, _, err = run(capsys, str(tmp_path / "none.csv"))
    assert code == 2
    assert "cannot read" in err
