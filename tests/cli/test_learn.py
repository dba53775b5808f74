"""`footring learn` as its user types it."""

from dataclasses import replace
from importlib.resources import files

import pytest

from footring.cli import main
from footring.packs import load_pack, write_pack
from footring.rows import RowTable

DEMO = str(files("footring.demo").joinpath("pack"))


def changed(tmp_path, **tables):
    """The demo pack with rows of some tables changed, each by a function."""
    pack = dict(load_pack(DEMO).tables)
    for name, change in tables.items():
        pack[name] = RowTable.from_rows(pack[name].spec, map(change, pack[name].rows()))
    write_pack(pack, tmp_path / "pack")
    return str(tmp_path / "pack")


@pytest.mark.parametrize("asked", [[], ["--proposals", "proposals.csv"]])
def test_readings_that_cannot_be_read_are_named_and_nothing_is_written(capsys, tmp_path, asked, monkeypatch):
    monkeypatch.chdir(tmp_path)
    pack = changed(tmp_path, readings=lambda row: replace(row, value="213.5") if row.name == "across" else row)
    assert main(["learn", pack, "--out", "parameters.json", *asked]) == 2
    told = capsys.readouterr()
    assert told.out == "" and [path.name for path in tmp_path.iterdir()] == ["pack"]
    assert told.err == (
        "footring learn: 1 fault in the tables\n"
        "  readings, row 1 (ossel.rd-2), value: unreadable reading: given across '213.5' of piece ossel.piece-8; "
        "expected a value that can be read: across: length '213.5': it has no unit; write 7 1/4 in, 184 mm or "
        "18.4 cm, with ± 2 for its uncertainty\n"
    )


def test_the_demo_can_be_learned_from(capsys, tmp_path):
    assert main(["learn", DEMO, "--out", str(tmp_path / "parameters.json")]) == 0
    told = capsys.readouterr().out
    assert "Written to " in told
    assert "1.8% are expected to be of a line that is not in the pack." in told
