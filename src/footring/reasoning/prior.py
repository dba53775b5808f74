"""How often ware of each year is met, before anything is read: a small table that can be read and replaced."""

from __future__ import annotations

import csv
import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from footring.terms.errors import BadInput
from footring.terms.tables import read_table

Knots = tuple[tuple[int, float], ...]


@dataclass(frozen=True, slots=True)
class YearPrior:
    """Relative heights at a few years, by country; straight lines between them, level outside.

    Parameters
    ----------
    name : str
        What a finding's provenance calls it.
    digest : str
        Changes with any knot.
    knots : mapping of country to tuple of (year, height)
        The empty country stands for every country without knots of its own.
    """

    name: str
    digest: str
    knots: Mapping[str, Knots]

    def density(self, years: NDArray[np.int64], country: str | None = None) -> NDArray[np.float64]:
        """p(decorated) on a grid, summing to 1.

        Examples
        --------
        >>> p = default_prior().density(np.arange(1780, 2011))
        >>> float(p.sum().round(12)), bool(p[130] > p[20])
        (1.0, True)
        """
        knots = self.knots.get((country or "").casefold(), self.knots[""])
        height = np.interp(years, [year for year, _ in knots], [height for _, height in knots])
        return np.asarray(height / height.sum())


@cache
def default_prior() -> YearPrior:
    """The prior that ships with Footring (`reasoning/tables/prior_years.csv`)."""
    return _build(read_table("footring.reasoning", "prior_years.csv"), "prior_years.csv of this version")


def read_prior(path: str | Path) -> YearPrior:
    """A prior of your own: a CSV with the columns country, year, height.

    Raises
    ------
    BadInput
        If the file cannot be read, a column is missing, or a year or height is no number.
    """
    try:
        with Path(path).open(encoding="utf-8-sig", newline="") as lines:
            return _build(list(csv.DictReader(lines)), Path(path).name)
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise BadInput(f"cannot read the prior {path}: {error}") from error


def _build(rows: Iterable[Mapping[str, str]], name: str) -> YearPrior:
    knots: dict[str, list[tuple[int, float]]] = {}
    for line, row in enumerate(rows, start=2):
        try:
            knot = int(row["year"]), float(row["height"])
            country = (row["country"] or "").casefold()
        except (KeyError, TypeError, ValueError) as error:
            raise BadInput(
                f"{name}, line {line}: expected the columns country, year (1890) and height (0.9); {error}"
            ) from error
        if not (1000 <= knot[0] <= 2999 and 0 < knot[1] < np.inf):
            raise BadInput(f"{name}, line {line}: expected a year 1000-2999 and a height above 0, given {knot}")
        knots.setdefault(country, []).append(knot)
    if "" not in knots:
        raise BadInput(f"{name}: expected at least one row with an empty country, for every country not named")
    settled = {country: tuple(sorted(of_country)) for country, of_country in sorted(knots.items())}
    return YearPrior(name, hashlib.blake2b(repr(settled).encode(), digest_size=8).hexdigest(), settled)
