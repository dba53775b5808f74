"""`footring pack` as its user types it."""

from __future__ import annotations

import io
import json
import os
import re
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

from footring.cli import main
from footring.packs import load_pack

DEMO = Path(str(files("footring.demo").joinpath("pack")))
BAD = Path(__file__).parents[1] / "bad_input"


def run(capsys, *argv):
    code = main(["pack", *map(str, argv)])
    out = capsys.readouterr()
    return code, out.out, out.err


def stdin(monkeypatch, data: bytes) -> None:
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(data)))


def test_the_demo_has_no_fault(capsys) -> None:
    code, out, err = run(capsys, "check", DEMO)
    rows = sum(len(table) for table in load_pack(DEMO).tables.values())
    assert (code, err) == (0, "")
    assert out == f"{DEMO}: {rows} rows in 39 tables, no fault found\n"


def test_all_faults_and_their_counts(capsys) -> None:
    code, out, _ = run(capsys, "check", BAD / "not_a_number")
    *lines, blank, title, count = out.splitlines()
    assert code == 2
    assert lines == (BAD / "not_a_number" / "expected.txt").read_text("utf-8").splitlines()
    assert (blank, count) == ("", "       6  not a number")
    assert title.endswith("not_a_number: 6 faults in 5 rows in 4 tables")


def test_json(capsys) -> None:
    code, out, _ = run(capsys, "check", BAD / "dangling_id", "--json")
    found = json.loads(out)
    assert code == 2
    assert found["tables"] == {"makers": 1, "lines": 1}
    assert found["counts"] == {"dangling id": 1}
    (fault,) = found["faults"]
    assert fault == {
        "kind": "dangling id", "file": "lines.csv", "line": 2, "column": 2, "name": "maker", "given": "'t.quilow'",
        "expected": "the id of a row of makers", "suggestion": "did you mean 't.quillow'?",
        "message": (BAD / "dangling_id" / "expected.txt").read_text("utf-8").strip(),
    }  # fmt: skip
    assert json.loads(run(capsys, "check", DEMO, "--json")[1])["faults"] == []


def test_stdin_takes_a_zip(capsys, monkeypatch, tmp_path) -> None:
    assert run(capsys, "copy", DEMO, tmp_path / "demo.zip")[0] == 0
    stdin(monkeypatch, (tmp_path / "demo.zip").read_bytes())
    code, out, _ = run(capsys, "check", "-")
    assert code == 0 and out.startswith("(the pack): ")
    stdin(monkeypatch, b"id,name\n")
    code, out, _ = run(capsys, "check", "-")
    assert code == 2 and "not a pack: given File is not a zip file" in out


def test_copies(capsys, tmp_path) -> None:
    code, out, err = run(capsys, "copy", DEMO, tmp_path / "demo.zip")
    assert (code, err) == (0, "") and out.startswith(f"{tmp_path / 'demo.zip'}: ")
    assert run(capsys, "copy", tmp_path / "demo.zip", tmp_path / "demo")[0] == 0
    for path in DEMO.iterdir():
        assert (tmp_path / "demo" / path.name).read_bytes() == path.read_bytes()
    code, _, err = run(capsys, "copy", DEMO, tmp_path / "demo")
    assert code == 2 and "demo is not empty; choose another folder" in err
    assert run(capsys, "copy", DEMO, tmp_path / "demo", "--replace")[0] == 0


def test_a_pack_with_faults_is_not_copied(capsys, tmp_path) -> None:
    code, out, err = run(capsys, "copy", BAD / "dangling_id", tmp_path / "copy")
    assert (code, out) == (2, "")
    assert err.startswith(f"footring pack: {BAD / 'dangling_id'}: 1 fault\n  lines.csv, line 2")
    assert not (tmp_path / "copy").exists()


def test_nothing_there_is_one_line(capsys) -> None:
    code, out, err = run(capsys, "check", "nowhere")
    assert (code, out) == (2, "")
    assert err == (
        "footring pack: nowhere: no such file or folder; expected a pack (a folder, a zip, an XLSX or ODS workbook)\n"
    )


def test_progress_is_shown_where_it_is_asked_for(capsys, monkeypatch) -> None:
    monkeypatch.setattr("footring.cli.progress.SILENT_S", 0.0)
    monkeypatch.setattr("footring.cli.progress.AGAIN_S", 0.0)
    assert run(capsys, "check", DEMO)[2] == ""
    lines = run(capsys, "check", DEMO, "--progress")[2].splitlines()
    assert all(re.fullmatch(r"\w+\.csv [0-9]+ %", line) for line in lines)
    assert lines[-1].endswith(" 100 %")
    shares = [int(line.split()[1]) for line in lines]
    assert shares == sorted(shares) and len(shares) == 39


@pytest.mark.parametrize("argv", [["pack"], ["pack", "check"], ["pack", "mend", "x"]])
def test_what_is_no_command(argv, capsys) -> None:
    with pytest.raises(SystemExit, match="2"):
        main(argv)
    assert "usage: footring pack" in capsys.readouterr().err


def test_a_copy_is_told_as_json(capsys, tmp_path) -> None:
    code, out, _ = run(capsys, "copy", DEMO, tmp_path / "demo.zip", "--json")
    told = json.loads(out)
    assert code == 0 and told["path"] == str(tmp_path / "demo.zip") and told["tables"]["makers"] == 1


@pytest.mark.parametrize(("encoding", "shown"), [("ascii", r"Gu\xe9"), ("utf-8", "Gué")])
def test_what_a_terminal_cannot_show_is_no_traceback(tmp_path, encoding, shown) -> None:
    (tmp_path / "makers.csv").write_bytes("id,name,private\na,A,Gué\n".encode())
    done = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys; from footring.cli import main; sys.exit(main())",
            "pack",
            "check",
            tmp_path,
        ],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        timeout=60,
    )
    assert (done.returncode, done.stderr) == (2, b"")
    assert shown in done.stdout.decode(encoding) and "1 fault in 1 row in 1 table" in done.stdout.decode(encoding)
