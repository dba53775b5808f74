"""`footring simulate` as its user types it."""

import re

import pytest

from footring.cli import main
from footring.cli.simulate import EXAMPLES


def run(capsys, *argv):
    code = main(["simulate", *argv])
    out = capsys.readouterr()
    return code, out.out, out.err


@pytest.mark.slow
@pytest.mark.parametrize("line", re.findall(r"footring simulate (.*)", EXAMPLES))
def test_the_examples_of_the_help(line, capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    code, out, err = run(capsys, *line.split())
    made = re.search(r"--out (\S+)", line)[1]
    assert (code, err) == (0, "")
    assert out.startswith(f"Wrote {made}: pack, pieces.csv, truth.csv") and f"--pack {made}/pack" in out
    assert len((tmp_path / made / "pieces.csv").read_text().splitlines()) == 1 + int(
        re.search(r"--pieces (\d+)", line)[1]
    )


def test_numbers_below_nought_and_worlds_that_are_none(capsys, tmp_path):
    out = str(tmp_path / "out")
    code, _, err = run(capsys, "--seed", "-1", "--encounters", "5", "--pieces", "5", "--out", out)
    assert code == 2 and "--seed -1: expected 0 or more" in err
    code, _, err = run(capsys, "--seed", "1", "--encounters", "5", "--pieces", "5", "--out", out, "--world", "random:x")
    assert code == 2 and "is followed by a seed" in err
    assert not (tmp_path / "out").exists()


def test_a_folder_that_holds_something(capsys, tmp_path):
    (tmp_path / "notes.txt").write_text("mine")
    code, _, err = run(capsys, "--seed", "1", "--encounters", "5", "--pieces", "5", "--out", str(tmp_path))
    assert code == 2 and "is not empty; give a folder that does not exist yet" in err
