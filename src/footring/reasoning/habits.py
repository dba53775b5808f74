"""Figures of habit: shares and rates believed before a reference says better."""

from __future__ import annotations

from functools import cache

from footring.terms.tables import read_table


@cache
def habit(what: str) -> float:
    """A figure of `tables/mark_habits.csv`.

    Examples
    --------
    >>> 0 < habit("coded") < 1
    True
    """
    rows = read_table("footring.reasoning", "mark_habits.csv")
    return next(float(row["value"]) for row in rows if row["what"] == what)
