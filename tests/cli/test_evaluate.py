"""`footring evaluate` as its user types it."""

import json
import shutil

import pytest

from footring.cli import main
from footring.demo.simulate import simulate
from footring.reasoning.calibration import classifiers
from footring.reasoning.calibration.tell import PLAIN, SELECTED
from tests.simulated.tiny import TINY


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    out = tmp_path_factory.mktemp("factory") / "world"
    simulate(TINY, 1, 40, 20, out)
    return out


def run(capsys, *argv):
    code = main(["evaluate", *map(str, argv)])
    out = capsys.readouterr()
    return code, out.out, out.err


def refused(capsys, *argv):
    """The one line on stderr."""
    code, out, err = run(capsys, *argv)
    assert (code, out, err.count("\n")) == (2, "", 1), err
    assert err.startswith("footring evaluate: ")
    return err


def test_the_table_of_a_tiny_factory(folder, capsys, monkeypatch):
    monkeypatch.setattr(classifiers, "find_spec", lambda _: None)
    code, out, err = run(capsys, folder)
    assert (code, err) == (0, "")
    assert out.startswith(
        "40 pieces met.\nscikit-learn is not installed: CategoricalNB and HistGradientBoosting are left out."
    )
    assert f"20 {PLAIN} to be told" in out and f"4 {SELECTED} to be told" in out
    assert out.count("targets reached") == 2
    for name in (
        "Footring",
        "counting matches",
        "the oracle",
        "potted: 90 % set holds the year",
        "outside: average precision",
    ):
        assert name in out


def test_json_is_one_object_without_what_json_cannot_hold(folder, capsys, monkeypatch):
    monkeypatch.setattr(classifiers, "find_spec", lambda _: None)
    code, out, _ = run(capsys, folder, "--most", "3", "--json")
    found = json.loads(out, parse_constant=lambda c: pytest.fail(f"{c} is no JSON"))
    assert code == 0 and out.count("\n") == 1
    assert (found["met"], found["plain"]["pieces"], found["selected"]["pieces"]) == (40, 3, 3)
    assert set(found["plain"]["rows"][0]) == {"what", "value", "low", "high", "least", "most", "reached"}
    assert found["plain"]["losses"].keys() == {"Footring", "counting matches", "the oracle"}


def test_a_folder_that_is_none_of_simulate(capsys, tmp_path):
    (tmp_path / "notes.txt").write_text("mine")
    assert (
        f"cannot read {tmp_path}/pieces.csv: No such file or directory; expected what footring simulate wrote"
        in refused(capsys, tmp_path)
    )
    assert "No such file or directory" in refused(capsys, tmp_path / "nowhere")
    assert "Not a directory" in refused(capsys, tmp_path / "notes.txt")
    assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]


@pytest.mark.parametrize("name", ["pieces.csv", "truth.csv", "selected_truth.csv", "pack"])
def test_a_part_that_is_missing(name, folder, capsys, tmp_path):
    shutil.copytree(folder, tmp_path / "world", ignore=shutil.ignore_patterns(name))
    assert name in refused(capsys, tmp_path / "world")


@pytest.mark.parametrize(
    ("name", "kept", "text"),
    [
        ("truth.csv", 15, "truth.csv: expected a row for each piece of pieces.csv, given none for t14 and 5 more"),
        ("truth.csv", 0, "truth.csv: expected rows with the columns id, line_id"),
        ("pieces.csv", 1, "pieces.csv: expected rows with the column id"),
        ("pieces.csv", 0, "pieces.csv: expected rows with the column id"),
        ("oracle.csv", 9, "oracle.csv: expected what the oracle says of every piece, given no"),
    ],
)
def test_files_cut_short(name, kept, text, folder, capsys, tmp_path):
    shutil.copytree(folder, tmp_path / "world")
    path = tmp_path / "world" / name
    path.write_text("".join(path.read_text("utf-8").splitlines(keepends=True)[:kept]), encoding="utf-8")
    assert text in refused(capsys, tmp_path / "world")


@pytest.mark.parametrize("given", ["0", "-3"])
def test_fewer_than_one_piece(given, folder, capsys):
    assert f"--most {given}: expected 1 or more" in refused(capsys, folder, "--most", given)
