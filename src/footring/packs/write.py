"""Rows -> a pack on disk, the same bytes for the same rows."""

from __future__ import annotations

import os
import re
import zipfile
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import numpy as np

from footring.packs.cells import PLAIN, BadCell, cell_reader, cell_text, held_text
from footring.packs.descriptor import About, descriptor_text
from footring.packs.faults import quoted
from footring.packs.files import DESCRIPTOR
from footring.packs.limits import DEFAULT_LIMITS
from footring.packs.names import did_you_mean
from footring.packs.text import CONTROL, SURROGATE
from footring.rows.column_data import ColumnData
from footring.rows.schema import TABLES, Scalar
from footring.rows.table import RowTable
from footring.terms.errors import BadInput, UnknownName

BLOCK_ROWS = 20_000
ZIP_TIME = (1980, 1, 1, 0, 0, 0)
_QUOTE = re.compile(r'[",\r\n]')


def write_pack(
    tables: Mapping[str, RowTable], path: str | os.PathLike[str], *, about: About | None = None, replace: bool = False
) -> None:
    r"""Write tables as a pack: datapackage.json and one CSV (UTF-8, LF) a table.

    Parameters
    ----------
    tables : mapping of str to RowTable
        By the table's name; rows are written in the order given, columns in that of the table. A table without
        rows is written too.
    path : path
        A folder, or a zip when it ends in ".zip".
    about : mapping, optional
        What datapackage.json says besides (`name`, `title`, `licenses` ...).
    replace : bool
        Write over what is there. Files of other tables are then taken away; other files of a folder stay.

    Raises
    ------
    BadInput
        Something is there already; a value cannot be written (a control character, a number that is not finite, a
        text beyond the limit) or could not be read back (an id with a space around it, an empty name); a table
        stands under another name; or `about` is no JSON.
    UnknownName
        There is no such table.

    Notes
    -----
    The same rows give the same bytes, and reading them gives the same rows; an empty text is written as nothing and
    read as not known. A zip's bytes also depend on the version of the compression library. Source: RFC 4180; Data
    Package 1.0.

    Examples
    --------
    >>> import tempfile, pathlib
    >>> from footring.rows import TABLES
    >>> from footring.rows.reference_things import Maker
    >>> makers = RowTable.from_rows(TABLES["makers"], [Maker("ossel.quillow", name="Quillow & Tarn Works")])
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_pack({"makers": makers}, folder)
    ...     pathlib.Path(folder, "makers.csv").read_text()
    'id,name,town,country,active,recorded_at,recorded_by,private\nossel.quillow,Quillow & Tarn Works,,,,,,false\n'
    """
    for name, table in tables.items():
        _check_table(name, table)
    descriptor = _descriptor_bytes(tables, about)
    target = Path(path)
    contents: dict[str, Callable[[], Iterator[bytes]]] = {DESCRIPTOR: lambda: iter([descriptor])}
    contents |= {f"{name}.csv": _maker(tables[name]) for name in TABLES if name in tables}
    if target.suffix.lower() == ".zip":
        _write_zip(contents, target, replace)
    else:
        _write_folder(contents, target, replace)


def _descriptor_bytes(tables: Mapping[str, RowTable], about: About | None) -> bytes:
    try:
        return descriptor_text(tables, about).encode()
    except (TypeError, ValueError, RecursionError) as error:
        raise BadInput(f"what the pack says of itself cannot be written as JSON: {error}; take it out") from None


def _maker(table: RowTable) -> Callable[[], Iterator[bytes]]:
    return lambda: csv_bytes(table)


def _check_table(name: str, table: RowTable) -> None:
    if name not in TABLES:
        raise UnknownName(f"there is no table {name!r}; {did_you_mean(name, TABLES) or f'there are {list(TABLES)}'}")
    if table.spec.name != name:
        raise BadInput(f"table {table.spec.name} was given as {name!r}; give it under its own name")
    for column in table.spec.columns:
        data, read = table.column(column.name), cell_reader(column)
        for word in data.vocabulary.tolist() if data.vocabulary is not None else ():
            plain = not column.choices and PLAIN.fullmatch(word)
            why = None if plain else _unwritable(word, read)
            if why and word in (words := data.tolist()):
                row = words.index(word)
                raise BadInput(f"table {name}, row {row}, column {column.name}: {quoted(word)} {why}")


def _unwritable(word: str, read: Callable[[str], Scalar]) -> str | None:
    if found := CONTROL.search(word) or SURROGATE.search(word):
        return f"holds U+{ord(found.group()):04X}, which is no text; take it out"
    if len(word) > DEFAULT_LIMITS.cell_chars:
        return f"has {len(word):,} characters; at most {DEFAULT_LIMITS.cell_chars:,} fit into a cell"
    try:
        read(held_text(word))
    except BadCell as why:
        return f"could not be read back: {why.kind}; expected {why.expected}"
    return None


def csv_bytes(table: RowTable) -> Iterator[bytes]:
    """The table as CSV, in blocks: columns in the table's order, LF, a cell quoted only where it must be.

    Raises
    ------
    BadInput
        A number that is not finite.
    """
    names = [column.name for column in table.spec.columns]
    yield (",".join(names) + "\n").encode()
    columns = [_texts(table.column(name)) for name in names]
    for start in range(0, len(table), BLOCK_ROWS):
        block = [column(slice(start, start + BLOCK_ROWS)) for column in columns]
        yield "".join([",".join(row) + "\n" for row in zip(*block, strict=True)]).encode()


def _texts(data: ColumnData) -> Callable[[slice], list[str]]:
    """The cells of some rows, as they are written."""
    if data.vocabulary is None:
        return lambda rows: [cell_text(value) for value in data.take(rows).tolist()]
    words = np.empty(len(data.vocabulary) + 1, object)
    words[:] = [*(_cell(word) for word in data.vocabulary.tolist()), ""]
    return lambda rows: words[data.values[rows]].tolist()


def _cell(word: str) -> str:
    text = cell_text(word)
    return f'"{text.replace(chr(34), chr(34) * 2)}"' if _QUOTE.search(text) else text


def _write_zip(contents: Mapping[str, Callable[[], Iterator[bytes]]], target: Path, replace: bool) -> None:
    if target.exists() and not replace:
        raise BadInput(f"{target} is there already; choose another name, or say that it may be replaced")
    target.parent.mkdir(parents=True, exist_ok=True)
    unfinished = target.with_name(f".{target.name}.part")
    try:
        with zipfile.ZipFile(unfinished, "w") as archive:
            for name, content in contents.items():
                with archive.open(_entry(name), "w", force_zip64=True) as file:
                    file.writelines(content())
        unfinished.replace(target)
    finally:
        unfinished.unlink(missing_ok=True)


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, ZIP_TIME)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.create_system = 3
    entry.external_attr = 0o644 << 16
    return entry


def _write_folder(contents: Mapping[str, Callable[[], Iterator[bytes]]], target: Path, replace: bool) -> None:
    if target.exists() and not target.is_dir():
        raise BadInput(f"{target} is a file; give a folder, or a name that ends in .zip")
    if target.exists() and any(target.iterdir()) and not replace:
        raise BadInput(f"{target} is not empty; choose another folder, or say that it may be replaced")
    target.mkdir(parents=True, exist_ok=True)
    for name, content in contents.items():
        unfinished = target / f".{name}.part"
        try:
            with unfinished.open("wb") as file:
                file.writelines(content())
            unfinished.replace(target / name)
        finally:
            unfinished.unlink(missing_ok=True)
    for name in TABLES:
        if f"{name}.csv" not in contents:
            (target / f"{name}.csv").unlink(missing_ok=True)
