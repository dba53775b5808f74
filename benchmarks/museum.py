"""Dates of museum pieces nobody here invented, beside two comparisons fitted in the same run.

    python benchmarks/museum.py [FILE.csv] [--rows]

For each record the mark as the museum transcribed it, the form and the country go in, as `footring date --batch`
would take them; the museum's own years are what the answer is held against. Records of one acquisition lot came
together, so the lot is what counts. The comparisons never see the lot they are asked about:

constant      one distribution for everything: the other lots' years, each lot counting once, smoothed over ten years
by country    the same among the other lots of that country, backed off to the constant

Error is the distance of the median from the middle of the museum's years; log score the mean natural logarithm of
the probability of a year, taken over the museum's years; a row is covered when the middle of the museum's years lies
in the 90 % set. Records whose museum date is that of a design are left out of the averages.

Data: see NOTICE.
"""

from __future__ import annotations

import argparse
import csv
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.date_mark import date_mark
from footring.reasoning.intervals import highest_density_set, median_year

Floats = NDArray[np.float64]
Record = Mapping[str, str]
YEARS = np.arange(1780, 2011)
GOLD = Path(__file__).parents[1] / "tests" / "gold" / "museum_marked.csv"


@dataclass(frozen=True)
class Score:
    error: float
    log_score: float
    covered: float
    width: float
    median: int


def main() -> None:
    arguments = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    arguments.add_argument("file", nargs="?", default=GOLD, type=Path)
    arguments.add_argument("--rows", action="store_true", help="list the rows that go wrong")
    given = arguments.parse_args()
    with given.file.open(encoding="utf-8", newline="") as lines:
        records = [row for row in csv.DictReader(lines) if row["date_kind"] == "unspecified"]
    methods: dict[str, Callable[[Record], Floats]] = {
        "Footring": footring_density,
        "constant": Comparison(records, by_country=False),
        "by country": Comparison(records, by_country=True),
    }
    scores = {name: [score(record, method(record)) for record in records] for name, method in methods.items()}
    print(f"{len(records)} records, {len({r['group_key'] for r in records})} lots, {given.file.name}")
    show(records, scores)
    if given.rows:
        worst_rows(records, scores["Footring"])


def footring_density(record: Record) -> Floats:
    """Probability of each year that the piece was finished, from mark, form and country alone."""
    named = {name: record[name] for name in ("form", "country") if record[name]}
    answer = date_mark(record["mark_text"], **named).dated.dates["decorated"]
    return np.interp(YEARS, answer.years, answer.density)


class Comparison:
    """A smoothed distribution of the other lots' years, for all or by country."""

    def __init__(self, records: Sequence[Record], *, by_country: bool) -> None:
        self.by_country = by_country
        self.lots: dict[tuple[str, str], list[Floats]] = defaultdict(list)
        for record in records:
            self.lots[record["group_key"], record["country"]].append(spread(record))
        apart = (YEARS[:, None] - YEARS[None, :]) / 10.0
        self.kernel = np.exp(-0.5 * apart**2)
        self.kernel /= self.kernel.sum(axis=0)

    def __call__(self, record: Record) -> Floats:
        others = {key: lot for key, lot in self.lots.items() if key[0] != record["group_key"]}
        everything = self._density(list(others.values()))
        if not self.by_country:
            return everything
        here = [lot for key, lot in others.items() if key[1] == record["country"]]
        return (len(here) * self._density(here) + everything) / (len(here) + 1) if here else everything

    def _density(self, lots: Sequence[Sequence[Floats]]) -> Floats:
        mean = self.kernel @ np.mean([np.mean(lot, axis=0) for lot in lots], axis=0)
        return np.asarray(0.98 * mean / mean.sum() + 0.02 / len(YEARS))


def years_of(record: Record) -> Floats:
    return ((YEARS >= int(record["earliest"])) & (YEARS <= int(record["latest"]))).astype(float)


def spread(record: Record) -> Floats:
    inside = years_of(record)
    return inside / inside.sum()


def score(record: Record, density: Floats) -> Score:
    middle = (int(record["earliest"]) + int(record["latest"])) / 2
    spans = highest_density_set(YEARS, density, 0.9)
    median = median_year(YEARS, density)
    return Score(
        error=abs(median - middle),
        log_score=float(np.log(density @ spread(record))),
        covered=float(any(first - 0.5 <= middle <= last + 0.5 for first, last in spans)),
        width=float(sum(last - first + 1 for first, last in spans)),
        median=median,
    )


def show(records: Sequence[Record], scores: Mapping[str, Sequence[Score]]) -> None:
    sizes: dict[str, int] = defaultdict(int)
    for record in records:
        sizes[record["group_key"]] += 1
    largest = max(sizes, key=lambda lot: sizes[lot])
    by_row = np.ones(len(records))
    by_lot = np.array([1 / sizes[r["group_key"]] for r in records])
    ways = {
        "by row": by_row,
        "by lot": by_lot,
        "by lot, without the largest": np.where([r["group_key"] == largest for r in records], 0, by_lot),
    }
    constant = {name: np.array([s.error for s in scores["constant"]]) @ w / w.sum() for name, w in ways.items()}
    for way, weights in ways.items():
        print(f"\n{way}\n  {'':12}{'error, years':>22}{'log score':>26}{'90 % covers':>20}{'its width':>11}")
        for name, of_method in scores.items():
            cells = [interval(records, of_method, weights, field) for field in ("error", "log_score", "covered")]
            width = weighted_median([s.width for s in of_method], weights)
            print(f"  {name:12}{cells[0]:>22}{cells[1]:>26}{cells[2]:>20}{width:>11.0f}")
        ours = np.array([s.error for s in scores["Footring"]]) @ weights / weights.sum()
        print(f"  error is {100 * ours / constant[way]:.0f} % of the constant's")


def interval(records: Sequence[Record], scores: Sequence[Score], weights: Floats, field: str) -> str:
    """Weighted mean with a 95 % bootstrap interval over lots, seeded."""
    values = np.array([getattr(s, field) for s in scores])
    lots, index = np.unique([r["group_key"] for r in records], return_inverse=True)
    of_lot = np.bincount(index, values * weights), np.bincount(index, weights)
    draws = np.random.default_rng(1).integers(0, len(lots), (2000, len(lots)))
    means = of_lot[0][draws].sum(axis=1) / of_lot[1][draws].sum(axis=1)
    low, high = np.percentile(means, [2.5, 97.5])
    mean = of_lot[0].sum() / of_lot[1].sum()
    places = 1 if field == "error" else 2
    return (
        f"{mean:.{places}f} ({low:.{places}f}-{high:.{places}f})"
        if field != "log_score"
        else (f"{mean:.2f} ({low:.2f} to {high:.2f})")
    )


def weighted_median(values: Sequence[float], weights: Floats) -> float:
    order = np.argsort(values)
    reached = np.cumsum(weights[order]) / weights.sum()
    return float(np.asarray(values)[order][np.searchsorted(reached, 0.5)])


def worst_rows(records: Sequence[Record], scores: Sequence[Score]) -> None:
    print("\nrows whose middle lies outside the 90 % set, one line a lot, mark and answer")
    seen: dict[tuple[str, str, int], int] = defaultdict(int)
    for record, scored in zip(records, scores, strict=True):
        if not scored.covered:
            seen[record["group_key"], record["mark_text"], scored.median] += 1
            if seen[record["group_key"], record["mark_text"], scored.median] == 1:
                print(
                    f"{record['group_key']:24}{record['earliest']}-{record['latest']}  answered {scored.median}"
                    f"  {record['country']}\n    {record['mark_text'][:150]}"
                )


if __name__ == "__main__":
    main()
