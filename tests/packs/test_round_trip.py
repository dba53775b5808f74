"""A pack -> rows -> a pack is the same to the byte."""

from __future__ import annotations

import io
import zipfile
from importlib.resources import files
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from footring.packs import load_pack, read_pack, write_pack
from footring.packs.cells import cell_text, held_text, is_formula, read_text
from footring.packs.write import csv_bytes
from footring.rows import TABLES, RowTable
from footring.rows.reference_things import Maker
from footring.terms.errors import BadInput, UnknownName

from .strategies import WORDS, packs

DEMO = Path(str(files("footring.demo").joinpath("pack")))
REFERENCE_FAULTS = {"duplicate id", "duplicate key", "dangling id", "superseding something absent", "out of bounds"}


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir())}


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(packs())
def test_rows_come_back_and_bytes_stay(tmp_path_factory, tables) -> None:
    folder = tmp_path_factory.mktemp("packs")
    write_pack(tables, folder / "a")
    pack, faults = read_pack(folder / "a")
    assert pack.tables == tables
    assert not [fault for fault in faults if fault.kind in ("a formula", "not a number", "a missing value")]
    write_pack(pack.tables, folder / "b", about=pack.about)
    assert contents(folder / "a") == contents(folder / "b")


def test_demo_pack_is_byte_stable_through_folder_and_zip(tmp_path) -> None:
    write_pack(load_pack(DEMO).tables, tmp_path / "demo.zip", about=load_pack(DEMO).about)
    again = load_pack(tmp_path / "demo.zip")
    write_pack(again.tables, tmp_path / "demo", about=again.about)
    assert contents(tmp_path / "demo") == contents(DEMO)
    write_pack(again.tables, tmp_path / "again.zip", about=again.about)
    assert (tmp_path / "again.zip").read_bytes() == (tmp_path / "demo.zip").read_bytes()


def test_a_note_is_private_unless_it_says_that_it_is_not(tmp_path) -> None:
    (tmp_path / "pieces.csv").write_text("id\np\n")
    (tmp_path / "notes.csv").write_text("id,piece,text,private\na,p,Ask Ines,\nb,p,Shown,false\n")
    assert [row.private for row in load_pack(tmp_path).tables["notes"].rows()] == [True, False]
    (tmp_path / "notes.csv").write_text("id,piece,text\na,p,Ask Ines\n")
    assert [row.private for row in load_pack(tmp_path).tables["notes"].rows()] == [True]


def test_a_zip_has_one_time_and_one_order() -> None:
    tables = load_pack(DEMO).tables
    shuffled = dict(sorted(tables.items(), reverse=True))
    names = ["datapackage.json", *(f"{name}.csv" for name in TABLES if name in tables)]
    for given_tables in (tables, shuffled):
        archive = zipfile.ZipFile(_zipped(given_tables))
        assert archive.namelist() == names
        assert {info.date_time for info in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def _zipped(tables) -> io.BytesIO:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        write_pack(tables, Path(folder) / "a.zip")
        return io.BytesIO((Path(folder) / "a.zip").read_bytes())


@given(WORDS)
def test_text_comes_back_and_no_spreadsheet_runs_it(text) -> None:
    written = held_text(text)
    assert read_text(written) == text
    assert not is_formula(written)
    assert written in (text, f"'{text}")


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_are_written_short_and_come_back(value) -> None:
    assert repr(float(cell_text(value))) == repr(value)
    assert not cell_text(value).endswith(".0")


def test_csv_is_that_of_rfc_4180() -> None:
    """RFC 4180 section 2, points 5 to 7: a cell with a quote, a comma or a line break stands in quotes, a quote inside twice."""
    table = RowTable.from_rows(TABLES["makers"], [Maker("a", name='x "y", z\r\n'), Maker("b", name=" ä ")])
    assert b"".join(csv_bytes(table)).decode() == (
        'id,name,town,country,active,recorded_at,recorded_by,private\na,"x ""y"", z\r\n",,,,,,false\nb, ä ,,,,,,false\n'
    )


def test_what_was_hand_written_is_read_alike(tmp_path) -> None:
    """Another order, fewer columns, CRLF, a byte-order mark, a blank line: read alike, and written one way."""
    (tmp_path / "makers.csv").write_bytes('\ufeffname,id\r\n"Quillow",a\r\n\r\nTarn,b\r\n,\r\n'.encode())
    pack = load_pack(tmp_path)
    assert list(pack.tables["makers"].rows()) == [Maker("a", name="Quillow"), Maker("b", name="Tarn")]
    assert pack.places["makers"].lines.tolist() == [2, 4]
    assert pack.places["makers"].columns == {"name": 1, "id": 2}


def test_lines_are_those_of_the_file_where_cells_hold_line_breaks(tmp_path) -> None:
    (tmp_path / "makers.csv").write_text('id,name\na,"x\ny\n\nz"\nb,"u\r\nv\rw"\nc,d\n', newline="")
    assert load_pack(tmp_path).places["makers"].lines.tolist() == [2, 6, 8]


# ---- what is refused in writing


def table(**row) -> dict[str, RowTable]:
    return {"makers": RowTable.from_rows(TABLES["makers"], [Maker("z", name="Z"), Maker(**row)])}


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ({"id": "a", "name": "x\0"}, r"table makers, row 1, column name: 'x\\x00' holds U\+0000, which is no text"),
        ({"id": "a", "name": "x\ud800"}, r"holds U\+D800, which is no text"),
        (
            {"id": " a", "name": "x"},
            r"column id: ' a' could not be read back: a space around an id; expected an id without",
        ),
        ({"id": "a", "name": ""}, r"column name: '' could not be read back: a missing value; expected a value"),
        ({"id": "a", "name": "x" * 100_001}, r"has 100,001 characters; at most 100,000 fit into a cell"),
    ],
)
def test_what_cannot_be_written_is_refused_before_anything_is_written(tmp_path, row, says) -> None:
    with pytest.raises(BadInput, match=says):
        write_pack(table(**row), tmp_path / "a")
    assert not (tmp_path / "a").exists()


def test_what_stands_in_no_row_does_not_matter(tmp_path) -> None:
    """Rows taken from a table share its texts, those of rows left behind too."""
    write_pack({"makers": table(id="a", name="x\0")["makers"].take([0])}, tmp_path / "a")
    assert load_pack(tmp_path / "a").tables["makers"].column("id").tolist() == ["z"]


def test_an_endless_number_is_refused(tmp_path) -> None:
    sizes = RowTable.from_columns(TABLES["sizes"], {"id": ["a"], "form": ["f"], "across_mm": [float("inf")]})
    with pytest.raises(BadInput, match="the number inf cannot be written; give a finite one"):
        write_pack({"sizes": sizes}, tmp_path / "a.zip")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("title", ["\ud800", {1, 2}, float("nan")])
def test_what_a_pack_says_of_itself_must_be_json(tmp_path, title) -> None:
    with pytest.raises(BadInput, match=r"what the pack says of itself cannot be written as JSON: .*; take it out"):
        write_pack({}, tmp_path / "pack", about={"title": title})
    assert not (tmp_path / "pack").exists()


def test_tables_stand_under_their_own_names(tmp_path) -> None:
    with pytest.raises(UnknownName, match="there is no table 'makrs'; did you mean 'makers'"):
        write_pack({"makrs": table(id="a", name="A")["makers"]}, tmp_path)
    with pytest.raises(BadInput, match="table makers was given as 'lines'; give it under its own name"):
        write_pack({"lines": table(id="a", name="A")["makers"]}, tmp_path)


def test_nothing_is_written_over_unless_asked(tmp_path) -> None:
    for name in ("a", "a.zip"):
        write_pack(table(id="a", name="A"), tmp_path / name)
    (tmp_path / "a" / "lines.csv").write_text("id,maker,name\n")
    (tmp_path / "a" / "README.md").write_text("mine")
    with pytest.raises(BadInput, match="a is not empty; choose another folder"):
        write_pack(table(id="b", name="B"), tmp_path / "a")
    with pytest.raises(BadInput, match=r"a\.zip is there already; choose another name"):
        write_pack(table(id="b", name="B"), tmp_path / "a.zip")
    with pytest.raises(BadInput, match=r"README\.md is a file; give a folder, or a name that ends in \.zip"):
        write_pack(table(id="b", name="B"), tmp_path / "a" / "README.md")
    for name in ("a", "a.zip"):
        write_pack(table(id="b", name="B"), tmp_path / name, replace=True)
        assert load_pack(tmp_path / name).tables["makers"].column("id").tolist() == ["z", "b"]
    assert sorted(contents(tmp_path / "a")) == ["README.md", "datapackage.json", "makers.csv"]


def test_a_table_without_rows_stays(tmp_path) -> None:
    write_pack({"makers": RowTable.from_rows(TABLES["makers"], [])}, tmp_path / "a")
    assert len(load_pack(tmp_path / "a").tables["makers"]) == 0
