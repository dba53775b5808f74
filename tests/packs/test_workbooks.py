"""XLSX and ODS workbooks, written with openpyxl and odfpy: what they hold is read, what they would do is refused."""

from __future__ import annotations

import builtins
import datetime as dt
import io
import zipfile

import openpyxl
import pytest
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P

from footring.packs import Limits, PackFaults, check_pack, load_pack, write_pack
from footring.rows.reference_things import Maker, Size
from footring.terms.errors import MissingPart

HEADER = ["id", "name", "town", "active", "private"]
ROWS = [
    ["007", "Quillow & Tarn", None, "1904/1968", True],
    ["3/41", "=1+1 as text", "417", dt.date(1927, 1, 2), False],
    [417, "-x", 12, 1938, None],
]


def xlsx(**sheets) -> io.BytesIO:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
        for row in sheet.iter_rows():
            for cell in row:
                if isinstance(cell.value, str) and cell.value.endswith("as text"):
                    cell.data_type = "s"
    return saved(book)


def saved(book) -> io.BytesIO:
    file = io.BytesIO()
    book.save(file)
    return file


def ods(**sheets) -> io.BytesIO:
    book = OpenDocumentSpreadsheet()
    for name, rows in sheets.items():
        table = Table(name=name)
        book.spreadsheet.addElement(table)
        for row in rows:
            line = TableRow()
            table.addElement(line)
            for value in row:
                line.addElement(ods_cell(value))
    file = io.BytesIO()
    book.save(file)
    return file


def ods_cell(value, **more) -> TableCell:
    if value is None:
        return TableCell(**more)
    if isinstance(value, bool):
        cell = TableCell(valuetype="boolean", booleanvalue=str(value).lower(), **more)
    elif isinstance(value, int | float):
        cell = TableCell(valuetype="float", value=repr(value), **more)
    elif isinstance(value, dt.date):
        cell = TableCell(valuetype="date", datevalue=value.isoformat(), **more)
    else:
        cell = TableCell(valuetype="string", **more)
    cell.addElement(P(text=str(value)))
    return cell


def said(file: io.BytesIO, **limits: int) -> list[str]:
    return [str(fault) for fault in check_pack(file, limits=Limits(**limits))]


@pytest.mark.parametrize("made", [xlsx, ods])
def test_a_workbook_is_read_as_the_csv_it_stands_for(made, tmp_path) -> None:
    book = made(makers=[HEADER, *ROWS], lines=[["id", "maker", "name"], ["l", 417, "Wherry"], ["k", "007", "Ormsley"]])
    pack = load_pack(book)
    assert list(pack.tables["makers"].rows()) == [
        Maker("007", name="Quillow & Tarn", active="1904/1968", private=True),
        Maker("3/41", name="=1+1 as text", town="417", active="1927-01-02"),
        Maker("417", name="-x", town="12", active="1938"),
    ]
    assert pack.tables["lines"].column("maker").tolist() == ["417", "007"]
    assert pack.places["makers"].file == "(the pack), sheet makers"
    write_pack(pack.tables, tmp_path / "csv")
    assert load_pack(tmp_path / "csv").tables == pack.tables


@pytest.mark.parametrize("made", [xlsx, ods])
def test_numbers_and_gaps(made) -> None:
    rows = [
        ["id", "form", "across_mm", "capacity_ml", None],
        [1.0, "f", 214.5, 1700],
        [None] * 4,
        ["b", "f", "118", None],
    ]
    book = made(sizes=rows, forms=[["id", "line", "name"], ["f", "l", "Dish"]],
                lines=[["id", "maker", "name"], ["l", "m", "L"]], makers=[["id", "name"], ["m", "M"]], Sheet1=[])  # fmt: skip
    pack = load_pack(book)
    assert list(pack.tables["sizes"].rows()) == [
        Size("1", form="f", across_mm=214.5, capacity_ml=1700.0), Size("b", form="f", across_mm=118.0)
    ]  # fmt: skip
    assert pack.places["sizes"].lines.tolist() == [2, 4]


@pytest.mark.parametrize("made", [xlsx, ods])
def test_what_a_spreadsheet_program_did_to_text(made) -> None:
    rows = [["id", "name", "nmae"], [dt.date(1941, 3, 1), True, "x"], [4.17e15, "b", None]]
    where = "(the pack), sheet makers, line"
    assert said(made(makers=rows)) == [
        (
            f"{where} 1, column 3: an unknown column: given 'nmae'; expected one of id, name, town, country, active, "
            "recorded_at, recorded_by, private"
        ),
        (
            f"{where} 2, column 1 (id): a spreadsheet date: given 1941-03-01; expected text or a number; format the column as "
            "text and type it again: the program may have turned something like 3/41 into a date"
        ),
        (
            f"{where} 2, column 2 (name): true or false in a column of text: given True; expected text; format the column as "
            "text and type it again"
        ),
        (
            f"{where} 3, column 1 (id): a number with figures lost: given 4170000000000000.0; expected text; format the column "
            "as text and type it again: spreadsheet programs keep fifteen figures of a number"
        ),
    ]


def test_a_formula_in_xlsx_is_refused_with_its_place() -> None:
    (fault,) = said(xlsx(makers=[["id", "name"], ["a", '=HYPERLINK("x")']]))[:1]
    assert fault == (
        "(the pack), sheet makers, line 2, column 2: a formula: write the value itself: copy the column, and paste values only"
    )


def test_an_error_value_in_xlsx_is_refused_with_its_place() -> None:
    faults = said(xlsx(makers=[["id", "name", "town"], ["a", "A", "#N/A"]]))
    assert faults == ["(the pack), sheet makers, line 2, column 3: an error value: write the value itself"]


def test_a_formula_in_ods_is_refused_with_its_place() -> None:
    book = OpenDocumentSpreadsheet()
    table = Table(name="makers")
    book.spreadsheet.addElement(table)
    for cells in (
        [ods_cell("id"), ods_cell("name")],
        [TableCell(numbercolumnsrepeated="2")],
        [ods_cell("a"), ods_cell(2, formula="of:=1+1")],
    ):
        line = TableRow()
        table.addElement(line)
        for cell in cells:
            line.addElement(cell)
    file = io.BytesIO()
    book.save(file)
    assert said(file) == [
        "(the pack), sheet makers, line 3, column 2: a formula: write the value itself: copy the column, and paste values only"
    ]


def test_unknown_sheets_and_sheets_without_a_header() -> None:
    faults = said(xlsx(mkaers=[["id", "name"], ["a", "A"]], lines=[[], ["id"]], Sheet1=[]))
    assert faults[0] == (
        "(the pack), sheet mkaers: an unknown table: given 'mkaers'; expected a table of a pack; did you mean 'makers'?"
    )
    assert faults[1:] == [
        "(the pack), sheet lines, line 1: a sheet without column names: write the names of the columns in the first row"
    ]


# ---- workbooks that are meant to do harm


def changed(file: io.BytesIO, part: str, old: str, new: str, count: int = -1) -> io.BytesIO:
    out = io.BytesIO()
    with zipfile.ZipFile(file) as read, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as write:
        for name in read.namelist():
            text = read.read(name)
            if name == part:
                assert old.encode() in text
                text = text.replace(old.encode(), new.encode(), count)
            write.writestr(name, text)
    return out


PLAIN = [["id", "name"], ["a", "A"]]
LAUGHS = '<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;"><!ENTITY f SYSTEM "file:///etc/passwd">]>'
DECLARED = "(the pack): declared entities: expected a workbook as spreadsheet programs write it; it may be meant to fill the memory"


@pytest.mark.parametrize(
    ("file", "part", "root"),
    [
        (xlsx(makers=PLAIN), "xl/worksheets/sheet1.xml", "<worksheet"),
        (xlsx(makers=PLAIN), "xl/workbook.xml", "<workbook"),
        (xlsx(makers=PLAIN), "xl/styles.xml", "<styleSheet"),
        (ods(makers=PLAIN), "content.xml", "<office:document-content"),
        (ods(makers=PLAIN), "styles.xml", "<office:document-styles"),
    ],
)
def test_declared_entities(file, part, root) -> None:
    assert said(changed(file, part, root, LAUGHS + root, 1)) == [DECLARED]


def test_a_cell_far_out_in_xlsx() -> None:
    book = openpyxl.load_workbook(xlsx(makers=PLAIN))
    book["makers"]["XFD1048576"] = "x"
    assert said(saved(book)) == [
        (
            "(the pack), sheet makers: a sheet too large: given 1,048,576 rows of 16,384 columns; expected at most "
            "20,000,000 cells; delete what stands far out, or it is meant to fill the memory"
        )
    ]


SHEET = "xl/worksheets/sheet1.xml"


@pytest.mark.parametrize("place", ["ZZZZ2", "A99999999999", "A0", "a2", "A", ""])
def test_a_cell_at_a_place_no_sheet_has(place) -> None:
    """The reader of workbooks would reserve memory up to there, and end the whole program: measured with 0.9.1."""
    (fault,) = said(changed(xlsx(makers=PLAIN), SHEET, 'r="A2"', f'r="{place}"'))
    assert fault.startswith(
        f"(the pack), sheet makers: a cell at a strange place: given '{place}'; expected a place a sheet has"
    )


def test_a_cell_far_out_cannot_hide_behind_another_name() -> None:
    """Names of parts may be looked up without regard to letter case: every part is looked through."""
    far = changed(xlsx(makers=PLAIN), SHEET, 'r="A2"', 'r="XFD1048576"')
    assert "a sheet too large" in said(far)[0]
    hidden = changed(far, "xl/_rels/workbook.xml.rels", "worksheets/sheet1.xml", "worksheets/SHEET1.xml")
    assert "which is not there" in said(hidden)[0]
    two = io.BytesIO(hidden.getvalue())
    with zipfile.ZipFile(two, "a") as archive:
        archive.writestr("xl/worksheets/other.XML", zipfile.ZipFile(far).read(SHEET))
    two = changed(two, "xl/_rels/workbook.xml.rels", "worksheets/SHEET1.xml", "styles.xml")
    assert "a sheet too large" in said(two)[0]


def test_a_count_that_lies() -> None:
    """The reader of workbooks reserves memory for as many as it is told there are: measured with 0.9.1."""
    strings = (
        '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" count="9999999999999" uniqueCount="1"/>'
    )
    book = xlsx(makers=PLAIN)
    with zipfile.ZipFile(book, "a") as archive:
        archive.writestr("xl/sharedStrings.xml", strings)
    assert said(book) == [
        "(the pack): a count that lies: given count '9999999999999'; expected no more things than are there"
    ]


def test_repeats_in_ods() -> None:
    name = "table:table-cell"
    one = changed(
        ods(makers=PLAIN), "content.xml", f"<{name} ", f'<{name} table:number-columns-repeated="99999999999" ', 1
    )
    assert said(one) == [
        "(the pack), sheet makers: a sheet too large: given number-columns-repeated 99999999999; expected at most 1,048,576 times"
    ]
    row = "table:table-row"
    many = changed(one, "content.xml", "99999999999", "1000", 1)
    many = changed(many, "content.xml", f"<{row}", f'<{row} table:number-rows-repeated="1000000"', 1)
    assert said(many) == [
        (
            "(the pack), sheet makers: a sheet too large: given 1,000,000 rows of 1,000 columns; expected at most 20,000,000 "
            "cells; delete what stands far out, or it is meant to fill the memory"
        )
    ]


def test_empty_repeats_as_spreadsheet_programs_write_them() -> None:
    tail = '<table:table-row table:number-rows-repeated="1048574"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>'
    book = changed(ods(makers=PLAIN), "content.xml", "</table:table>", f"{tail}</table:table>")
    assert said(book) == []


def test_a_workbook_too_large() -> None:
    (fault,) = said(xlsx(makers=PLAIN), workbook_bytes=100)
    assert "(the pack): too large unpacked: given" in fault
    bomb = xlsx(makers=PLAIN)
    with zipfile.ZipFile(bomb, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/media/x.bin", b"\0" * 30_000_000)
    assert said(bomb) == [
        (
            "xl/media/x.bin: unpacks to far more than it holds: expected at most 200 times its packed size; it may be meant to "
            "fill the disk"
        )
    ]


def test_an_encrypted_ods() -> None:
    book = ods(makers=PLAIN)
    old = "</manifest:manifest>"
    inside = '<manifest:file-entry manifest:full-path="x"><manifest:encryption-data/></manifest:file-entry>' + old
    assert said(changed(book, "META-INF/manifest.xml", old, inside)) == [
        "(the pack): encrypted: expected a workbook without a password; save it again without a password"
    ]


def test_an_old_or_encrypted_workbook() -> None:
    """The eight bytes with which an OLE compound file begins: MS-CFB section 2.2."""
    assert said(io.BytesIO(bytes.fromhex("D0CF11E0A1B11AE1") + bytes(600))) == [
        "(the pack): an old or encrypted workbook: expected XLSX or ODS; save it as XLSX or ODS, without a password"
    ]


def test_other_documents() -> None:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archive:
        archive.writestr("[Content_Types].xml", "<x/>")
        archive.writestr("word/document.xml", "<x/>")
    (fault,) = said(file)
    assert fault.startswith("(the pack): another kind of document: expected an XLSX or ODS workbook")


@pytest.mark.parametrize("encoding", ["nanUTF-8", "utf-7", "utf-16", "latin-1"])
def test_a_part_in_another_encoding(encoding) -> None:
    """What is looked through must be what is read: "nanUTF-8" was found by the fuzzing of test_fuzz.py."""
    book = changed(ods(makers=PLAIN), "styles.xml", "encoding='UTF-8'", f"encoding='{encoding}'")
    (fault,) = said(book)
    assert f"a workbook that cannot be read: given a part in the encoding '{encoding}'" in fault


def test_a_broken_workbook() -> None:
    (fault,) = said(changed(xlsx(makers=PLAIN), "xl/worksheets/sheet1.xml", "</worksheet>", "</worksheat>"))
    assert fault.startswith("(the pack): a workbook that cannot be read: given mismatched tag")
    (fault,) = said(
        changed(xlsx(makers=PLAIN), "xl/_rels/workbook.xml.rels", "worksheets/sheet1.xml", "worksheets/gone.xml")
    )
    assert "given sheet 'makers' at '/xl/worksheets/gone.xml', which is not there" in fault


def test_without_the_part_that_reads_workbooks(monkeypatch, tmp_path) -> None:
    real = builtins.__import__

    def without(name, *rest):
        if name == "python_calamine":
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(MissingPart, match=r"needs the part `sheets`: say  pip install 'footring\[sheets\]'"):
        load_pack(xlsx(makers=PLAIN))
    (tmp_path / "makers.csv").write_text("id,name\na,A\n")
    assert check_pack(tmp_path) == []


def test_a_workbook_on_disk_names_itself(tmp_path) -> None:
    path = tmp_path / "book.xlsx"
    path.write_bytes(xlsx(makers=[["id", "name"], ["a", None]]).getvalue())
    with pytest.raises(PackFaults, match=r"book.xlsx, sheet makers, line 2, column 2 \(name\): a missing value"):
        load_pack(path)
