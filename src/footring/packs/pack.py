"""What reading a pack gives."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.rows.table import RowTable

Progress = Callable[[str, int, int], None]
"""Told what is being read, how many bytes are done, and how many there are in all."""


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """Where the rows of a table stand.

    Parameters
    ----------
    file : str
        The file, or the workbook and its sheet.
    lines : int64 array, shape (rows,)
        Line on which each row begins, from 1.
    columns : dict of str to int
        Number of each column in the file, from 1; a column that is not in the file is not here.
    """

    file: str
    lines: NDArray[np.int64]
    columns: dict[str, int]


@dataclass(frozen=True, slots=True, eq=False)
class Pack:
    """A pack as read.

    Parameters
    ----------
    path : str
        Where it was read from.
    tables : mapping of str to RowTable
        Each table that has a file, rows in the order of the file.
    about : mapping
        What datapackage.json says beside the tables (`name`, `title`, `licenses` ...).
    places : mapping of str to Places
        Where each table's rows stand.
    """

    path: str
    tables: Mapping[str, RowTable]
    about: Mapping[str, Any] = field(default_factory=dict)
    places: Mapping[str, Places] = field(default_factory=dict)
