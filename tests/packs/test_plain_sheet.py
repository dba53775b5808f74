"""Spreadsheets as people keep them: any separator, any usual encoding, dates and numbers as text."""

import zipfile
from datetime import date, datetime

import pytest
from openpyxl import Workbook

from footring.packs import PackFaults
from footring.packs.limits import Limits
from footring.packs.plain_sheet import read_plain_sheets


def written(tmp_path, data: bytes, name="plates.csv"):
    path = tmp_path / name
    path.write_bytes(data)
    return path


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_whatever_stands_between_the_cells(tmp_path, sign, ending):
    lines = [["Form", "Mark", "Across"], ["plate", f"A{sign}B", "8 in"], ["", "", ""], ["bowl", "", ""]]
    text = ending.join(sign.join(f'"{cell}"' for cell in line) for line in lines)
    (sheet,) = read_plain_sheets(written(tmp_path, text.encode()))
    assert sheet.heading == ("Form", "Mark", "Across")
    assert sheet.rows == [("plate", f"A{sign}B", "8 in"), ("bowl", "", "")] and sheet.lines == [2, 4]


@pytest.mark.parametrize(
    ("encoding", "note"), [("utf-8", ""), ("utf-8-sig", ""), ("utf-16", ""), ("cp1252", "Windows-1252")]
)
def test_whatever_it_was_saved_in(tmp_path, encoding, note):
    (sheet,) = read_plain_sheets(written(tmp_path, "form,across\nthé pot,7½ in\n".encode(encoding)))
    assert sheet.rows == [("thé pot", "7½ in")] and note in sheet.note and bool(note) == bool(sheet.note)


def test_lines_are_those_of_the_file_where_a_cell_has_several(tmp_path):
    (sheet,) = read_plain_sheets(written(tmp_path, b'form,mark\nplate,"A\nB"\nbowl,C\n'))
    assert sheet.lines == [2, 4] and sheet.rows[0] == ("plate", "A\nB")


def test_short_rows_are_filled_and_long_ones_make_columns_without_a_name(tmp_path):
    (sheet,) = read_plain_sheets(written(tmp_path, b"form,line\nplate\nbowl,Ormsley,chipped\n"))
    assert sheet.heading == ("form", "line", "") and sheet.rows[0] == ("plate", "", "")


def test_a_workbook_gives_each_sheet_in_which_something_stands(tmp_path):
    book = Workbook()
    book.active.append(["Form", "Across", "Met", "At"])
    book.active.append(["plate", 184.0, date(2019, 5, 12), datetime(2020, 1, 2, 3, 4)])  # noqa: DTZ001 (workbooks know no zones)
    book.active.append([None, 18.5, None, "=1+1"])
    book.create_sheet("nothing")
    book.save(tmp_path / "plates.xlsx")
    (sheet,) = read_plain_sheets(tmp_path / "plates.xlsx")
    assert sheet.rows == [("plate", "184", "2019-05-12", "2020-01-02T03:04:00"), ("", "18.5", "", "")]


@pytest.mark.parametrize(
    ("data", "told"),
    [
        (b"", "an empty sheet"),
        (b"form,line\n", "an empty sheet"),
        (b"form\n\x00\x01", "no text"),
        (bytes.fromhex("D0CF11E0A1B11AE1") + bytes(600), "no text"),
        (b"form,mark\n" + b'"' * 3 + b"x" * 200_000 + b"\n", "not a table"),
    ],
)
def test_what_is_no_sheet_is_told_in_a_sentence(tmp_path, data, told):
    with pytest.raises(PackFaults, match=told):
        read_plain_sheets(written(tmp_path, data))


def test_a_damaged_or_foreign_zip_is_told(tmp_path):
    with zipfile.ZipFile(tmp_path / "a.xlsx", "w") as archive:
        archive.writestr("notes.txt", "x" * 1000)
    with pytest.raises(PackFaults, match="a zip that is no workbook"):
        read_plain_sheets(tmp_path / "a.xlsx")
    whole = (tmp_path / "a.xlsx").read_bytes()
    broken = whole.replace(b"PK\x01\x02", b"PK\x07\x02")
    with pytest.raises(PackFaults, match="a damaged file"):
        read_plain_sheets(written(tmp_path, broken, "b.xlsx"))


def test_a_workbook_that_unpacks_to_far_more_than_it_holds_is_refused(tmp_path):
    with zipfile.ZipFile(tmp_path / "bomb.xlsx", "w", zipfile.ZIP_DEFLATED) as archive:
        for name in ("[Content_Types].xml", "xl/workbook.xml"):
            archive.writestr(name, b" " * (20 << 20))
    with pytest.raises(PackFaults, match="unpacks to far more than it holds"):
        read_plain_sheets(tmp_path / "bomb.xlsx")


def test_a_sheet_with_too_many_columns_is_refused(tmp_path):
    with pytest.raises(PackFaults, match="too many columns"):
        read_plain_sheets(written(tmp_path, b"a,b,c\n1,2,3\n"), limits=Limits(columns=2))
