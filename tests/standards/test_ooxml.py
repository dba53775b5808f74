"""Workbooks are read back by two libraries that read XLSX: openpyxl and python-calamine."""

import io
import tracemalloc
import zipfile

import openpyxl
import pytest
import python_calamine
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.standards.ooxml import MEDIA_TYPE, MOST_CHARACTERS, workbook

ROWS = [["=1+1", 1904, None], ["", -2.5, "3/41"], ["  two\nlines <&>\"' ", 0, "_x0041_ 417"]]


def file(heading, rows, name="Pieces"):
    return io.BytesIO(b"".join(workbook(name, heading, rows)))


def test_what_went_in_is_read_by_others():
    sheet = openpyxl.load_workbook(file(["what", "made", "number"], ROWS))["Pieces"]
    got = [[cell.value for cell in row] for row in sheet.iter_rows()]
    assert got == [
        ["what", "made", "number"],
        ["=1+1", 1904, None],
        [None, -2.5, "3/41"],
        ["  two\nlines <&>\"' ", 0, "_x005F_x0041_ 417"],  # openpyxl leaves that to who reads it
    ]
    other = python_calamine.CalamineWorkbook.from_filelike(file(["what", "made", "number"], ROWS)).get_sheet_by_index(0)
    assert other.to_python()[1:3] == [["=1+1", 1904.0, ""], ["", -2.5, "3/41"]]


@pytest.mark.parametrize("begun", ["=1+1", "+1", "-1", "@SUM(A1)", "=cmd|' /C calc'!A0", "3/41", "0012"])
def test_a_text_is_a_text_and_stays_one_when_it_is_edited(begun):
    """To openpyxl "s" is text, where it takes what begins so for "f", a formula; "@" is format 49, text."""
    cell = openpyxl.load_workbook(file(["what"], [[begun]])).active["A2"]
    assert (cell.value, cell.data_type, cell.number_format) == (begun, "s", "@")


def test_the_heading_stays_in_sight_and_is_bold():
    sheet = openpyxl.load_workbook(file(["what"], [["a"]])).active
    assert (sheet.freeze_panes, sheet["A1"].font.bold, sheet["A2"].font.bold) == ("A2", True, False)


@settings(deadline=None, max_examples=60)
@given(st.lists(st.text(max_size=20), min_size=1, max_size=4))
def test_any_text_comes_back(texts):
    """What XML has not is written as ST_Xstring says, and openpyxl has the function that undoes it."""
    sheet = openpyxl.load_workbook(file(["a"] * len(texts), [texts])).active
    got = [openpyxl.utils.escape.unescape(cell.value or "") for cell in sheet[2]][: len(texts)]
    assert got == texts


def test_the_same_rows_give_the_same_bytes_and_the_file_says_what_it_is():
    whole = file(["what"], ROWS).getvalue()
    assert whole == file(["what"], ROWS).getvalue()
    names = zipfile.ZipFile(io.BytesIO(whole)).namelist()
    assert names[0] == "[Content_Types].xml"
    assert MEDIA_TYPE == "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"  # registered with IANA


def test_a_text_that_no_cell_holds_is_cut_and_shows_it():
    """32,767 characters: openpyxl's own bound for a cell."""
    assert openpyxl.cell.cell.Cell.check_string(None, "a" * 40_000) == "a" * MOST_CHARACTERS
    sheet = openpyxl.load_workbook(file(["a", "b"], [["a" * 32_767, "b" * 32_768]])).active
    assert [(len(cell.value), cell.value[-1]) for cell in sheet[2]] == [(32_767, "a"), (32_767, "…")]


def test_a_name_of_a_sheet_may_hold_any_sign_of_xml():
    assert openpyxl.load_workbook(file(["a"], [], 'Q & T "<1>"')).sheetnames == ['Q & T "<1>"']


def test_a_hundred_thousand_rows_are_not_held():
    tracemalloc.start()
    size = sum(map(len, workbook("Pieces", ["n"] * 4, ((f"Dish {n}", n, None, "x" * 20) for n in range(100_000)))))
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert 500_000 < size and most < 3_000_000
