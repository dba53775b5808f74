"""The folder that `footring simulate` writes: a pack, pieces to ask about, what is true, and what the oracle said."""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from footring.marks.readings import Reading, read_reading
from footring.packs import load_pack
from footring.reasoning.calibration.arrays import Flags, Floats
from footring.reference import TREATMENT, Reference, compile_reference
from footring.terms.errors import BadInput

JOINT = ("line", "form", *TREATMENT)
"""What has to be right at once for the joint answer."""


@dataclass(frozen=True, slots=True, eq=False)
class Oracle:
    """What the oracle gave to the truth of one attribute.

    Parameters
    ----------
    log_p : float64 array, shape (pieces,)
        Natural logarithm; NaN where it was not asked.
    p : float64 array, shape (pieces,)
        Its probability that it is so, for `outside` and `unrecorded`; NaN elsewhere.
    """

    log_p: Floats
    p: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Simulated:
    """Test pieces of an invented factory, with what is known of them.

    Parameters
    ----------
    reference : Reference
        Compiled from the pack.
    readings : sequence, length pieces, of list of Reading
        What was read off each itself, a lid beside it apart.
    truth : mapping of column to tuple of str, length pieces
        As in truth.csv, empty where there is none.
    oracle : mapping of attribute to Oracle
        Empty when there is no oracle.csv.
    """

    reference: Reference
    readings: Sequence[list[Reading]]
    truth: Mapping[str, tuple[str, ...]]
    oracle: Mapping[str, Oracle]

    def __len__(self) -> int:
        return len(self.readings)

    @property
    def outside(self) -> Flags:
        """Pieces of a factory that is not in the reference, shape (pieces,)."""
        return np.asarray(np.array(self.truth["outside"]) == "1")

    @property
    def unrecorded(self) -> Flags:
        """Pieces of a known line whose cell no piece and no document names, shape (pieces,)."""
        return np.asarray(np.array(self.truth["unrecorded"]) == "1")


def read_simulated(folder: str | Path, *, most: int | None = None) -> Simulated:
    """Read and compile what `footring simulate --out` wrote.

    Parameters
    ----------
    folder : path
        With pack/, pieces.csv, truth.csv and, where there is one, oracle.csv.
    most : int, optional
        How many of the pieces to read, from the first.

    Raises
    ------
    BadInput
        If a file is not there or does not fit the others; the text names it.
    """
    home = Path(folder)
    pieces = _rows(home / "pieces.csv", ("id",))[:most]
    ids = [row["id"] for row in pieces]
    truth = _truth(home / "truth.csv", ids)
    reference = compile_reference(load_pack(home / "pack").tables)
    return Simulated(reference, [_readings(row, home) for row in pieces], truth, _oracle(home / "oracle.csv", ids))


def _rows(path: Path, needed: Sequence[str]) -> list[dict[str, str]]:
    try:
        with path.open(encoding="utf-8", newline="") as lines:
            reader = csv.DictReader(lines, strict=True)
            rows = list(reader)
    except OSError as error:
        raise BadInput(f"cannot read {path}: {error.strerror}; expected what footring simulate wrote") from error
    except (UnicodeDecodeError, csv.Error) as error:
        raise BadInput(f"{path} cannot be read as CSV: {error}") from error
    missing = [name for name in needed if name not in (reader.fieldnames or ())]
    if missing or not rows:
        raise BadInput(f"{path}: expected rows with the column{'s'[: len(missing) > 1]} {', '.join(missing or needed)}")
    return _whole(path, rows)


def _whole(path: Path, rows: list[dict[str, str]]) -> list[dict[str, str]]:
    for number, row in enumerate(rows, 2):
        if None in row or None in row.values():
            raise BadInput(f"{path}, row {number}: expected as many cells as in the heading")
    return rows


def _readings(row: Mapping[str, str], home: Path) -> list[Reading]:
    try:
        read = [read_reading(name, value) for name, value in row.items() if name != "id"]
    except BadInput as error:
        raise BadInput(f"{home / 'pieces.csv'}, {row['id']}: {error}") from error
    return [reading for reading in read if reading and reading.part is None]


def _truth(path: Path, ids: Sequence[str]) -> dict[str, tuple[str, ...]]:
    needed = ("id", *(f"{name}_id" for name in JOINT), "potted", "outside", "unrecorded")
    by_id = {row["id"]: row for row in _rows(path, needed)}
    unknown = [piece for piece in ids if piece not in by_id]
    if unknown:
        raise BadInput(f"{path}: the truth of {unknown[0]} is not there, nor of {len(unknown) - 1} more pieces")
    return {name: tuple(by_id[piece][name] for piece in ids) for name in next(iter(by_id.values()))}


def _oracle(path: Path, ids: Sequence[str]) -> dict[str, Oracle]:
    if not path.exists():
        return {}
    place = {piece: k for k, piece in enumerate(ids)}
    found: dict[str, Oracle] = {}
    for row in _rows(path, ("id", "attribute", "log_p", "p")):
        oracle = found.setdefault(row["attribute"], Oracle(np.full(len(ids), np.nan), np.full(len(ids), np.nan)))
        if row["id"] in place:
            oracle.log_p[place[row["id"]]] = _number(row["log_p"], path)
            oracle.p[place[row["id"]]] = _number(row["p"], path)
    return found


def _number(cell: str, path: Path) -> float:
    try:
        return float(cell) if cell else float("nan")
    except ValueError as error:
        raise BadInput(f"{path}: expected a number, given {cell!r}") from error
