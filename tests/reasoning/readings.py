"""What was read off a piece of the invented pottery, typed as on the command line."""

from __future__ import annotations

from footring.marks.readings import Reading, read_reading


def read_off(*typed: str) -> list[Reading]:
    """Each `name=value`; what says nothing is left out."""
    found = [read_reading(*one.split("=", 1)) for one in typed]
    return [reading for reading in found if reading is not None]


READ = read_off(
    "mark=QUILLOW & TARN / MADE IN ENGLAND", "number=417", "glaze=Clear", "form=covered dish", "trim=gold line",
    "across=213 mm", "decoration=Reed Heron ~0.8", "date_code=36", "label=none",
)  # fmt: skip
