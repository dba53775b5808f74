"""Each fixture of tests/bad_input is a pack with one kind of fault, and beside it what is said, word for word."""

from __future__ import annotations

from pathlib import Path

import pytest

from footring.packs import Limits, PackFaults, check_pack, load_pack
from footring.packs.faults import KEPT_EACH
from footring.packs.names import did_you_mean

FIXTURES = sorted(path for path in (Path(__file__).parents[1] / "bad_input").iterdir() if path.is_dir())
WANTED = {
    "unknown_column", "missing_column", "unknown_table", "duplicate_id", "duplicate_key", "dangling_id", "impossible_date",
    "not_a_number", "not_a_bool", "wrong_choice", "form_a_metre_across", "one_code_two_decorations", "superseding_circle",
    "ragged_row", "utf16", "latin1", "nul_byte", "descriptor_not_json", "descriptor_outside", "duplicate_header",
    "empty_file", "formula",
}  # fmt: skip


def said(fixture: Path) -> list[str]:
    return [str(fault).replace(str(fixture), "PACK") for fault in check_pack(fixture)]


def test_every_kind_has_a_fixture() -> None:
    assert WANTED <= {fixture.name for fixture in FIXTURES}


@pytest.mark.parametrize("fixture", FIXTURES, ids=lambda path: path.name)
def test_what_is_said(fixture) -> None:
    assert said(fixture) == (fixture / "expected.txt").read_text(encoding="utf-8").splitlines()
    with pytest.raises(PackFaults, match=r"1 fault\n|[0-9]+ faults\n") as caught:
        load_pack(fixture)
    assert list(caught.value.faults) == check_pack(fixture)


def test_each_kind_has_its_own_words() -> None:
    """Two encodings share "not UTF-8"; every other sort of fault has words that no other has."""
    kinds = {name: {fault.kind for fault in check_pack(FIXTURES[0].parent / name)} for name in WANTED - {"utf16"}}
    own = {
        name: found - {k for other in kinds.values() if other is not found for k in other}
        for name, found in kinds.items()
    }
    assert {name for name, found in own.items() if not found} <= {"unknown_column"}
    assert kinds["unknown_column"] == {"an unknown column"}


def written(tmp_path: Path, text: str | bytes, name: str = "makers.csv") -> list[str]:
    (tmp_path / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    return [str(fault) for fault in check_pack(tmp_path)]


def test_a_byte_order_mark_is_passed_over(tmp_path) -> None:
    assert written(tmp_path, "\ufeffid,name\na,A\n") == []
    assert load_pack(tmp_path).tables["makers"].column("id").tolist() == ["a"]


def test_cells_too_long(tmp_path) -> None:
    first, second = written(tmp_path, f"id,name\na,{'x' * 100_001}\nb,{'y' * 140_000}\n")
    assert first.endswith(
        "expected at most 100,000 characters in a cell; it has 100,001; keep long texts in files of their own"
    )
    assert second == "makers.csv, line 3: a cell too long: expected at most 100,000 characters in a cell"


def test_a_line_without_end_is_not_read_to_its_end(tmp_path) -> None:
    assert written(tmp_path, b"id,name\na," + b"x" * 5_000_000) == [
        "makers.csv, line 2: endless line: expected at most 4,000,000 bytes in a line; look for a quotation mark left open"
    ]


def test_too_many_columns(tmp_path) -> None:
    assert written(tmp_path, ",".join(f"c{i}" for i in range(501))) == [
        "makers.csv, line 1: too many columns: given 501 columns; expected at most 500"
    ]


def test_a_file_too_large_is_not_opened(tmp_path) -> None:
    (tmp_path / "makers.csv").write_text("id,name\na,A\n")
    (fault,) = check_pack(tmp_path, limits=Limits(file_bytes=10))
    assert str(fault) == "makers.csv: too large: given 12 bytes; expected at most 10 bytes; split the pack"


def test_a_descriptor_too_large_is_not_read(tmp_path) -> None:
    (tmp_path / "datapackage.json").write_text('{"resources": []}')
    (fault,) = check_pack(tmp_path, limits=Limits(descriptor_bytes=10))
    assert str(fault) == "datapackage.json: too large: given 17 bytes; expected at most 10 bytes"


@pytest.mark.parametrize("deep", ["[" * 100_000, '{"a":' * 100_000, '{"resources": ' + "[" * 900 + "]" * 900 + "}"])
def test_a_descriptor_without_bottom(tmp_path, deep) -> None:
    (said_of,) = written(tmp_path, deep, "datapackage.json")
    assert said_of == "datapackage.json: nested too deep: expected at most 50 levels"


def test_half_a_character_in_a_descriptor(tmp_path) -> None:
    (said_of,) = written(tmp_path, '{"title": "\\ud800", "resources": []}', "datapackage.json")
    assert said_of == (
        "datapackage.json: not text: given half a character, \\ud800; expected whole characters; write the character itself"
    )


def test_long_names_are_compared_by_their_beginning() -> None:
    """Comparing takes as long as the names are: a thousand cells of 90,000 characters took 20 seconds."""
    assert did_you_mean("a" * 100 + "b" * 90_000, ["a" * 100]) == f"did you mean {'a' * 100!r}?"


def test_a_number_without_end_in_a_descriptor(tmp_path) -> None:
    (said_of,) = written(tmp_path, '{"resources": ' + "9" * 5000 + "}", "datapackage.json")
    assert said_of.startswith("datapackage.json: not JSON")


def test_many_faults_of_one_kind_are_listed_then_counted(tmp_path) -> None:
    rows = "".join(f"r{i},m,Line,perhaps\n" for i in range(KEPT_EACH + 50))
    (tmp_path / "makers.csv").write_text("id,name\nm,M\n")
    faults = written(tmp_path, f"id,maker,name,private\n{rows}", "lines.csv")
    assert len(faults) == KEPT_EACH + 1
    assert faults[-1] == "lines.csv, column 4 (private): neither true nor false: given 50 more like those above"


def test_a_table_that_cannot_be_read_is_one_fault_not_a_hundred(tmp_path) -> None:
    (tmp_path / "makers.csv").write_bytes(b"id,name\na,A\nb,\xff\n")
    faults = written(tmp_path, "id,maker,name\nl,a,L\nk,zz,K\n", "lines.csv")
    assert [fault.split(":")[0] for fault in faults] == ["makers.csv, line 3"]


def test_what_stands_before_a_break_is_reported_too(tmp_path) -> None:
    faults = written(tmp_path, b'id,name,private\na,A,maybe\nb,B,x\nc,"C')
    assert [fault.split(": ")[0] for fault in faults] == [
        "makers.csv, line 2, column 3 (private)", "makers.csv, line 3, column 3 (private)", "makers.csv, line 4"
    ]  # fmt: skip


def test_the_error_names_the_first_and_counts_the_rest(tmp_path) -> None:
    (tmp_path / "makers.csv").write_text("id,name\n" + "a,\n" * 30)
    with pytest.raises(PackFaults, match=r"59 faults\n  makers.csv, line 2, column 2(?s:.)*\n  and 39 more$"):
        load_pack(tmp_path)
