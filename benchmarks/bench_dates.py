"""Dates a second, single and in a batch, on museum marks."""

from __future__ import annotations

import csv
import statistics
import time
from pathlib import Path

from footring.reasoning.date_mark import date_mark

GOLD = Path(__file__).parents[1] / "tests" / "gold" / "museum_marked.csv"


def main() -> None:
    with GOLD.open(encoding="utf-8", newline="") as lines:
        records = list(csv.DictReader(lines))
    date_mark("QUILLOW & TARN")
    took = []
    for record in records:
        start = time.perf_counter()
        date_mark(record["mark_text"], country=record["country"], form=record["form"])
        took.append(time.perf_counter() - start)
    took.sort()
    print(
        f"dates: {len(records)} museum marks, {len(records) / sum(took):.0f} a second; "
        f"median {1e3 * statistics.median(took):.1f} ms, p95 {1e3 * took[int(0.95 * len(took))]:.1f} ms"
    )


if __name__ == "__main__":
    main()
