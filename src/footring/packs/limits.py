"""How much a pack may ask of the machine that reads it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Limits:
    """Sizes past which a pack is refused. The defaults are far above any honest pack.

    Parameters
    ----------
    files : int
        Files in a zip.
    folder_files : int
        Files in a folder and the folders inside it.
    file_bytes, total_bytes : int
        Unpacked size of one file, and of all together.
    ratio : int
        Unpacked size over packed size, for a file that unpacks to more than `ratio_from_bytes`.
    ratio_from_bytes : int
        Below this a high ratio does no harm.
    cell_chars, line_bytes : int
        Characters in one cell, and bytes in one line of a file.
    columns : int
        Columns of one table.
    descriptor_bytes : int
        Size of datapackage.json.
    directory_bytes : int
        Size of a zip's list of contents.
    sheets : int
        Sheets of a workbook.
    sheet_cells : int
        Cells of the rectangle that a sheet spans, and of those of all sheets together.
    sheet_chars : int
        Characters in all cells of a sheet, each cell counted as often as it is repeated.
    workbook_bytes : int
        Unpacked size of a whole workbook, which is held in memory.
    """

    files: int = 500
    folder_files: int = 20_000
    file_bytes: int = 2 << 30
    total_bytes: int = 4 << 30
    ratio: int = 200
    ratio_from_bytes: int = 10 << 20
    cell_chars: int = 100_000
    line_bytes: int = 4_000_000
    columns: int = 500
    descriptor_bytes: int = 5 << 20
    directory_bytes: int = 1 << 20
    sheets: int = 250
    sheet_cells: int = 20_000_000
    sheet_chars: int = 200_000_000
    workbook_bytes: int = 500 << 20


DEFAULT_LIMITS = Limits()
