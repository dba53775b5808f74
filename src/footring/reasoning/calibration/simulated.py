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
OF_INSIDE, OF_ALL = ("line", "form", "decoration", "joint"), ("outside", "unrecorded")
"""What the oracle is asked of pieces that are not from outside, and of all."""
TRUTH = ("id", *(f"{name}_id" for name in JOINT), "potted", *OF_ALL)


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
        The columns `TRUTH` of truth.csv, empty where there is none.
    oracle : mapping of attribute to Oracle
        Empty when there is no oracle.csv; nobody asked it of selected pieces.
    selected : bool array, shape (pieces,)
        Pieces from channels where somebody chose, after all the others.
    """

    reference: Reference
    readings: Sequence[list[Reading]]
    truth: Mapping[str, tuple[str, ...]]
    oracle: Mapping[str, Oracle]
    selected: Flags

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

    def only(self, which: Flags) -> Simulated:
        """With some of the pieces, and what the oracle said of all of them."""
        at = np.flatnonzero(which).tolist()
        truth = {name: tuple(of[i] for i in at) for name, of in self.truth.items()}
        oracle = {name: Oracle(of.log_p[which], of.p[which]) for name, of in self.oracle.items()}
        oracle = {} if self.selected[which].any() else oracle
        return Simulated(self.reference, [self.readings[i] for i in at], truth, oracle, self.selected[which])


def read_simulated(folder: str | Path, *, most: int | None = None) -> Simulated:
    """Read and compile what `footring simulate --out` wrote.

    Parameters
    ----------
    folder : path
        With pack/, pieces.csv, truth.csv and, where there are any, selected.csv, selected_truth.csv and oracle.csv.
    most : int, optional
        How many of the pieces to read, from the first; and how many of the selected ones.

    Raises
    ------
    BadInput
        If a file is not there or does not fit the others; the text names it.
    """
    home = Path(folder)
    plain = _asked(home / "pieces.csv", home / "truth.csv", most)
    chosen = _asked(home / "selected.csv", home / "selected_truth.csv", most) if _holds(home / "selected.csv") else []
    pieces = plain + chosen
    truth = {name: tuple(of[name] for _, of in pieces) for name in TRUTH}
    oracle = _oracle(home / "oracle.csv", [of for _, of in plain], len(pieces))
    reference = compile_reference(load_pack(home / "pack").tables)
    return Simulated(reference, [read for read, _ in pieces], truth, oracle, np.arange(len(pieces)) >= len(plain))


def _holds(path: Path) -> bool:
    """Whether there is such a file, and anything in it."""
    return path.exists() and path.stat().st_size > 0


def _asked(path: Path, of_truth: Path, most: int | None) -> list[tuple[list[Reading], dict[str, str]]]:
    """Readings of each piece, and its row of truth."""
    pieces, truth = _rows(path, ("id",))[:most], {row["id"]: row for row in _rows(of_truth, TRUTH)}
    unknown = [row["id"] for row in pieces if row["id"] not in truth]
    if unknown:
        more = f" and {len(unknown) - 1} more" if len(unknown) > 1 else ""
        raise BadInput(f"{of_truth}: expected a row for each piece of {path.name}, given none for {unknown[0]}{more}")
    return [(_readings(row, path), _told(truth[row["id"]], of_truth)) for row in pieces]


def _told(row: dict[str, str], path: Path) -> dict[str, str]:
    for name in OF_ALL:
        if row[name] not in ("0", "1"):
            raise BadInput(f"{path}, {row['id']}: expected 0 or 1 for {name}, given {row[name]!r}")
    if row["outside"] == "0" and not row["potted"].isdecimal():
        raise BadInput(f"{path}, {row['id']}: expected a year for potted, given {row['potted']!r}")
    return row


def _rows(path: Path, needed: Sequence[str]) -> list[dict[str, str]]:
    try:
        with path.open(encoding="utf-8", newline="") as lines:
            reader = csv.DictReader(lines, strict=True)
            heading, rows = reader.fieldnames or (), list(reader)
    except OSError as error:
        raise BadInput(f"cannot read {path}: {error.strerror}; expected what footring simulate wrote") from error
    except (UnicodeDecodeError, csv.Error) as error:
        raise BadInput(f"{path} cannot be read as CSV: {error}") from error
    missing = [name for name in needed if name not in heading]
    if missing or not rows:
        raise BadInput(f"{path}: expected rows with the column{'s'[: len(missing) > 1]} {', '.join(missing or needed)}")
    return _whole(path, rows)


def _whole(path: Path, rows: list[dict[str, str]]) -> list[dict[str, str]]:
    for number, row in enumerate(rows, 2):
        if None in row or None in row.values():
            raise BadInput(f"{path}, row {number}: expected as many cells as in the heading")
    return rows


def _readings(row: Mapping[str, str], path: Path) -> list[Reading]:
    try:
        read = [read_reading(name, value) for name, value in row.items() if name != "id"]
    except BadInput as error:
        raise BadInput(f"{path}, {row['id']}: {error}") from error
    return [reading for reading in read if reading and reading.part is None]


def _oracle(path: Path, truth: Sequence[Mapping[str, str]], pieces: int) -> dict[str, Oracle]:
    """What it said of the first of so many pieces, those with a row of truth; NaN for the others."""
    if not path.exists():
        return {}
    place = {row["id"]: k for k, row in enumerate(truth)}
    found: dict[str, Oracle] = {}
    for row in _rows(path, ("id", "attribute", "log_p", "p")):
        oracle = found.setdefault(row["attribute"], Oracle(np.full(pieces, np.nan), np.full(pieces, np.nan)))
        if row["id"] in place:
            oracle.log_p[place[row["id"]]] = _number(row["log_p"], path)
            oracle.p[place[row["id"]]] = _number(row["p"], path)
    for name in (name for name in (*OF_INSIDE, *OF_ALL) if name in found):
        _said_of_all(name, found[name], truth, path)
    return found


def _said_of_all(name: str, of: Oracle, truth: Sequence[Mapping[str, str]], path: Path) -> None:
    for row, log_p, p in zip(truth, of.log_p, of.p, strict=False):
        if np.isnan(p) if name in OF_ALL else np.isnan(log_p) and row["outside"] == "0":
            raise BadInput(f"{path}: expected what the oracle says of every piece, given no {name} of {row['id']}")


def _number(cell: str, path: Path) -> float:
    try:
        return float(cell) if cell else float("nan")
    except ValueError as error:
        raise BadInput(f"{path}: expected a number, given {cell!r}") from error
