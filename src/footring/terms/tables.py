"""Reading the small sourced tables that ship inside the package."""

from __future__ import annotations

import csv
import io
from functools import cache
from importlib.resources import files


@cache
def read_table(package: str, name: str) -> tuple[dict[str, str], ...]:
    """Rows of `tables/<name>` in a package of this project, as text, in file order.

    Parameters
    ----------
    package : str
        Dotted name of the package that holds the `tables` folder ("footring.marks").
    name : str
        File name ("wording.csv").

    Examples
    --------
    >>> read_table("footring.reasoning", "gaps.csv")[0]["gap"]
    'lag'
    """
    text = files(package).joinpath("tables", name).read_text(encoding="utf-8")
    return tuple(csv.DictReader(io.StringIO(text, newline="")))
