"""Workbooks of one sheet, written as they are asked for. Office Open XML, ECMA-376 (5th edition, December 2016)."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Iterator
from itertools import islice
from typing import Any
from xml.sax.saxutils import escape, quoteattr

MOST_ROWS = 2**20
MOST_CHARACTERS = 32_767
"""What a sheet and a cell can hold in the programs that read them (from memory: the standard itself sets no bound)."""
AT_ONCE = 1000
_NO_XML = re.compile("[\x00-\x08\x0b-\x1f\ud800-\udfff\ufffe\uffff]|_(?=x[0-9A-Fa-f]{4}_)")
_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_TYPES = "application/vnd.openxmlformats-officedocument.spreadsheetml"
MEDIA_TYPE = f"{_TYPES}.sheet"


class _Sent(io.RawIOBase):
    """What is written into it is taken out again at once; it never goes back."""

    def __init__(self) -> None:
        super().__init__()
        self._parts: list[bytes] = []

    def write(self, part: Any) -> int:
        self._parts.append(bytes(part))
        return len(self._parts[-1])

    def taken(self) -> bytes:
        whole = b"".join(self._parts)
        self._parts.clear()
        return whole


def workbook(name: str, heading: Iterable[str], rows: Iterable[Iterable[str | int | float | None]]) -> Iterator[bytes]:
    """A workbook of one sheet, in blocks; no more than a thousand rows of it are held at once.

    Parameters
    ----------
    name : str
        Of the sheet: at most 31 characters, none of the signs that names of sheets must not have.
    heading : iterable of str
        Names of the columns, which stay in sight.
    rows : iterable of iterable of str, int, float or None
        A text stays text whatever it begins with: its cells are strings, and formatted as text, so that a program makes
        no formula of one when it is edited, and no date of 3/41. None is an empty cell. A text longer than
        `MOST_CHARACTERS` is cut, and ends in "…"; more rows than `MOST_ROWS` no program reads: count before.

    Yields
    ------
    bytes
        One after another they are the file.

    Notes
    -----
    Parts and their relationships: ECMA-376 part 2; cells of type ``inlineStr``: part 1, 18.18.11; format 49 is text:
    part 1, 18.8.30; characters that XML has not are written ``_xHHHH_``: part 1, 22.9.2.19 (all from memory).

    Examples
    --------
    >>> import io, zipfile
    >>> whole = b"".join(workbook("Pieces", ["name"], [["=1+1"]]))
    >>> sheet = zipfile.ZipFile(io.BytesIO(whole)).read("xl/worksheets/sheet1.xml").decode()
    >>> sheet[sheet.index("=1+1") - 51 :][:55]
    '<c t="inlineStr" s="1"><is><t xml:space="preserve">=1+1'
    """
    sent = _Sent()
    with zipfile.ZipFile(sent, "w", zipfile.ZIP_DEFLATED) as archive:
        for part, content in _around(name).items():
            archive.writestr(_entry(part), _HEAD + content)
        with archive.open(_entry("xl/worksheets/sheet1.xml"), "w", force_zip64=True) as sheet:
            for block in _sheet(heading, rows):
                sheet.write(block.encode())
                yield sent.taken()
    yield sent.taken()


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
    entry.compress_type = zipfile.ZIP_DEFLATED
    return entry


def _sheet(heading: Iterable[str], rows: Iterable[Iterable[str | int | float | None]]) -> Iterator[str]:
    pane = '<pane ySplit="1" topLeftCell="A2" activePane="bottomLeft" state="frozen"/>'
    yield f'{_HEAD}<worksheet xmlns="{_MAIN}"><sheetViews><sheetView workbookViewId="0">{pane}</sheetView></sheetViews>'
    yield f"<sheetData>{_row(heading, style=2)}"
    left = iter(rows)
    while some := list(islice(left, AT_ONCE)):
        yield "".join(map(_row, some))
    yield "</sheetData></worksheet>"


def _row(cells: Iterable[str | int | float | None], style: int = 1) -> str:
    return f"<row>{''.join(_cell(cell, style) for cell in cells)}</row>"


def _cell(value: str | float | None, style: int) -> str:
    if value is None or value == "":
        return "<c/>"
    if isinstance(value, str):
        fitting = value if len(value) <= MOST_CHARACTERS else f"{value[: MOST_CHARACTERS - 1]}…"
        text = escape(_NO_XML.sub(_written, fitting))
        return f'<c t="inlineStr" s="{style}"><is><t xml:space="preserve">{text}</t></is></c>'
    return f"<c><v>{value!r}</v></c>"


def _written(found: re.Match[str]) -> str:
    return f"_x{ord(found.group()):04X}_"


def _around(name: str) -> dict[str, str]:
    """The parts that every workbook has besides its sheet."""
    return {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        f'<Override PartName="/xl/workbook.xml" ContentType="{_TYPES}.sheet.main+xml"/>'
        f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{_TYPES}.worksheet+xml"/>'
        f'<Override PartName="/xl/styles.xml" ContentType="{_TYPES}.styles+xml"/></Types>',
        "_rels/.rels": _relationships({"officeDocument": "xl/workbook.xml"}),
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><sheets>'
        f'<sheet name={quoteattr(name)} sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": _relationships({"worksheet": "worksheets/sheet1.xml", "styles": "styles.xml"}),
        "xl/styles.xml": f'<styleSheet xmlns="{_MAIN}"><fonts count="2"><font/><font><b/></font></fonts>'
        '<fills count="2"><fill><patternFill patternType="none"/></fill>'
        '<fill><patternFill patternType="gray125"/></fill></fills>'
        '<borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="3"><xf/>'
        '<xf numFmtId="49" applyNumberFormat="1"/><xf numFmtId="49" fontId="1" applyNumberFormat="1" applyFont="1"/>'
        '</cellXfs><cellStyles count="1"><cellStyle name="Normal" xfId="0" builtinId="0"/></cellStyles></styleSheet>',
    }


def _relationships(targets: dict[str, str]) -> str:
    each = "".join(
        f'<Relationship Id="r{i}" Type="{_OFFICE}/{kind}" Target="{target}"/>'
        for i, (kind, target) in enumerate(targets.items(), 1)
    )
    return f'<Relationships xmlns="{_PACKAGE}/relationships">{each}</Relationships>'
