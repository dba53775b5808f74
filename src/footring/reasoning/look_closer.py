"""More ways to look at one thing."""

from __future__ import annotations

from footring.reasoning.reading_words import reading_rows
from footring.terms.tables import read_table


def look_closer(reading: str) -> tuple[str, ...]:
    """Short notes on how else to look, in their order; empty where there are none.

    Parameters
    ----------
    reading : str
        Its name as `NextReading` gives it; of a feature the name before the colon.

    Examples
    --------
    >>> look_closer("in_clay")[0]
    'Dust a little flour or talc over it and wipe once: what is in the clay stays white. Not on crazed glaze.'
    """
    root = reading.partition(":")[0]
    return tuple(row["how"] for row in read_table("footring.reasoning", "look_closer.csv") if row["reading"] == root)


def looked_at(reading: str) -> str:
    """What is looked at, in words.

    Examples
    --------
    >>> looked_at("trim"), looked_at("feature: lid seat")
    ('the edge', 'the lid seat')
    """
    root, _, place = reading.partition(": ")
    return f"the {place}" if place else reading_rows()[root]["look"]
