"""Workbooks of a few hundred bytes that would fill the memory or end the program once opened: refused before."""

from __future__ import annotations

import io
import re
import zipfile

import pytest

from footring.packs import load_pack

from .test_workbooks import PLAIN, SHEET, changed, ods, said, xlsx

TOO_MUCH = (
    "(the pack), sheet makers: too much text in a sheet: expected at most 200,000,000 characters in all its cells; "
    "look for a long text that is repeated, or it is meant to fill the memory"
)
STRINGS = '<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">{}</sst>'
RELATION = (
    '<Relationship Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" '
    'Target="sharedStrings.xml" Id="rId9"/></Relationships>'
)
TEXT = re.compile(r't="inlineStr"><is><t>(.*?)</t></is>')


def with_shared_texts(book: io.BytesIO, text: str = "long one", root: str = "sst") -> io.BytesIO:
    """The workbook with its texts kept apart, as most spreadsheet programs write them; `text` for "long one"."""
    sheet = zipfile.ZipFile(book).read(SHEET).decode()
    known = list(dict.fromkeys(TEXT.findall(sheet)))
    pointing = TEXT.sub(lambda found: f't="s"><v>{known.index(found[1])}</v>', sheet)
    related = changed(changed(book, SHEET, sheet, pointing), "xl/_rels/workbook.xml.rels", "</Relationships>", RELATION)
    items = "".join(f"<si><t>{text if word == 'long one' else word}</t></si>" for word in known)
    with zipfile.ZipFile(related, "a", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/sharedStrings.xml", STRINGS.format(items).replace("sst", root))
    return related


def test_texts_kept_apart_are_read() -> None:
    book = with_shared_texts(
        xlsx(makers=[["id", "name", "town"], ["a", "long one", "a"], ["b", "7", "long one"]]), "A &amp; B"
    )
    assert load_pack(book).tables["makers"].column("name").tolist() == ["A & B", "7"]
    assert load_pack(book).tables["makers"].column("town").tolist() == ["a", "A & B"]


def test_a_long_text_that_many_cells_point_to() -> None:
    """Twenty thousand bytes that would become twenty gigabytes, and end the program: measured with 0.9.1."""
    book = xlsx(makers=[["id", "name"], *([f"a{i}", "long one"] for i in range(4_000))])
    assert said(with_shared_texts(book, "x" * 5_000_000)) == [TOO_MUCH]
    assert said(with_shared_texts(book, "x" * 1_000)) == []
    (hidden,) = said(with_shared_texts(book, "x" * 5_000_000, "other"))
    assert "a workbook that cannot be read: given shared texts inside <other>" in hidden


@pytest.mark.parametrize("pointer", ["-1", "+1", " 1", "1e0", "9" * 5_000, "\u0661"])
def test_a_cell_that_points_in_a_strange_way(pointer) -> None:
    (fault,) = said(changed(with_shared_texts(xlsx(makers=PLAIN)), SHEET, "<v>1</v>", f"<v>{pointer}</v>"))
    assert "sheet makers: a workbook that cannot be read: given a cell that points to the shared text" in fault


def test_a_shared_text_inside_another() -> None:
    """Found by fuzzing."""
    book = with_shared_texts(xlsx(makers=PLAIN))
    (fault,) = said(changed(book, "xl/sharedStrings.xml", "<si>", "<si><si></si>"))
    assert "a workbook that cannot be read: given a shared text inside a shared text" in fault


def test_a_cell_that_points_to_no_text() -> None:
    (fault,) = said(changed(with_shared_texts(xlsx(makers=PLAIN)), SHEET, "<v>1</v>", "<v>99</v>"))
    assert "a workbook that cannot be read" in fault


def ods_with(cell: str, row: str = "<table:table-row>") -> io.BytesIO:
    """A workbook with one more row, written by hand."""
    return changed(
        ods(makers=PLAIN),
        "content.xml",
        "</table:table>",
        f"{row}<table:table-cell/>{cell}</table:table-row></table:table>",
    )


STRING = '<table:table-cell office:value-type="string"'


def test_text_that_is_repeated_in_ods() -> None:
    """A few hundred bytes that would end the program: measured with 0.9.1."""
    long, often = (
        f"<text:p>{'x' * 90_000}</text:p></table:table-cell>",
        '<table:table-row table:number-rows-repeated="60000">',
    )
    assert said(ods_with(f"{STRING}>{long}", often)) == [TOO_MUCH]
    assert said(ods_with(f'{STRING} table:number-columns-repeated="3000">{long}')) == [TOO_MUCH]
    assert said(ods_with(f'{STRING} office:string-value="{"x" * 90_000}"/>', often)) == [TOO_MUCH]
    tabs = f'{STRING} table:number-columns-repeated="9000"><text:p>{"<text:tab/>" * 30_000}</text:p></table:table-cell>'
    assert said(ods_with(tabs)) == [TOO_MUCH]
    assert "a cell inside a cell" in said(ods_with(f"{STRING}>{STRING}/></table:table-cell>"))[0]


@pytest.mark.parametrize("spaces", ["2000000000", "-1", "", "٣"])
def test_spaces_by_the_billion_in_ods(spaces) -> None:
    (fault,) = said(ods_with(f'{STRING}><text:p>A<text:s text:c="{spaces}"/></text:p></table:table-cell>'))
    assert fault == f"(the pack), sheet makers: a sheet too large: given c {spaces}; expected at most 1,048,576 times"


@pytest.mark.parametrize("value", ["value", "string-value", "date-value", "time-value", "boolean-value"])
def test_a_value_without_a_type_counts_in_ods(value) -> None:
    cell = f'<table:table-cell office:{value}="1" table:number-columns-repeated="1000"/>'
    (fault,) = said(ods_with(cell, '<table:table-row table:number-rows-repeated="100000">'))
    assert "sheet makers: a sheet too large: given 100,002 rows of 1,001 columns" in fault


@pytest.mark.parametrize("make", [xlsx, ods])
def test_two_sheets_of_one_name(make) -> None:
    """The reader of workbooks would give the first of them twice."""
    book = make(makers=PLAIN, makerz=[["id", "name"], ["b", "B"]])
    part = "xl/workbook.xml" if make is xlsx else "content.xml"
    assert said(changed(book, part, "makerz", "makers")) == [
        "(the pack), sheet makers: the same table twice: put its rows into one sheet"
    ]


def test_too_many_sheets_and_too_many_cells_in_all() -> None:
    (fault,) = said(xlsx(makers=PLAIN, lines=[["id"]], forms=[["id"]]), sheets=2)
    assert fault == "(the pack): a workbook too large: expected at most 2 sheets; split the workbook"
    (fault,) = said(xlsx(makers=PLAIN, places=PLAIN), sheet_cells=6)
    assert fault == "(the pack): a workbook too large: expected at most 6 cells in all sheets; split the workbook"
    book = xlsx(makers=PLAIN)
    sheets = "".join(f'<sheet name="m{i}" sheetId="{i + 9}" state="visible" r:id="rId1"/>' for i in range(501))
    named = 'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"'
    (fault,) = said(
        changed(book, "xl/workbook.xml", "</sheets>", f"{sheets.replace('<sheet ', f'<sheet {named} ')}</sheets>")
    )
    assert "a workbook that cannot be read: given more than 500 times <sheet>" in fault


def test_the_reader_of_workbooks_giving_up_is_a_fault(monkeypatch) -> None:
    """It raises what is no Exception, by this name."""
    panic = type("PanicException", (BaseException,), {})
    monkeypatch.setattr(
        "python_calamine.CalamineWorkbook.from_filelike", lambda _: (_ for _ in ()).throw(panic("gave up"))
    )
    (fault,) = said(xlsx(makers=PLAIN))
    assert "a workbook that cannot be read: given gave up" in fault
