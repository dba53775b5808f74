from __future__ import annotations

import csv
from pathlib import Path

import pytest

from footring.reasoning.mean_date import mean_ceramic_date
from footring.terms.errors import BadInput, UnknownName

PUBLISHED = Path(__file__).parents[1] / "published"


def read(name):
    with (PUBLISHED / name).open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


EXPECTED = read("mean_dates.csv")
COUNTED = read("mean_dates_counts.csv")
SITES = [pytest.param(row, id=row["key"]) for row in EXPECTED]


def mean_of(example, assemblage):
    rows = [row for row in COUNTED if (row["example"], row["assemblage"]) == (example, assemblage)]
    counts = {row["type"]: float(row["count"]) for row in rows}
    return mean_ceramic_date(counts, {row["type"]: float(row["midpoint"]) for row in rows})


@pytest.mark.parametrize("row", SITES)
def test_every_site_has_the_mean_recomputed_from_its_counts(row):
    assert mean_of(row["example"], row["assemblage"]) == pytest.approx(float(row["recomputed"]), abs=1e-6)


def test_the_twelve_published_means_are_met_as_a_set():
    """kairos test data after Peeples & Schachner 2012: its names are not in the order of its values."""
    rows = [row for row in EXPECTED if row["example"] == "zuni12" and row["status"] == "opened"]
    ours = sorted(mean_of(row["example"], row["assemblage"]) for row in rows)
    assert ours == pytest.approx(sorted(float(row["published"]) for row in rows), abs=0.002)
    assert len(rows) == 12


CADDO = [
    pytest.param(
        row,
        id=row["assemblage"],
        marks=[pytest.mark.xfail(strict=True, reason=row["note"])] if row["assemblage"] == "41CE19" else [],
    )
    for row in EXPECTED
    if row["example"] == "caddo49"
]


@pytest.mark.parametrize("row", CADDO)
def test_published_caddo_means(row):
    """R. Z. Selden Jr., mean ceramic dates of 49 sites."""
    assert mean_of("caddo49", row["assemblage"]) == pytest.approx(float(row["published"]), abs=1e-6)


def test_a_type_spelt_two_ways_is_not_counted_as_zero():
    """What went wrong upstream at 41CE19: six of 44 vessels counted but not dated."""
    rows = [row for row in COUNTED if row["assemblage"] == "41CE19"]
    midpoints = {row["type"]: float(row["midpoint"]) for row in rows}
    counts = {row["type"]: float(row["count"]) for row in rows}
    counts["pennington punctinc"] = counts.pop("penningtonpunctinc")
    with pytest.raises(UnknownName, match="'pennington punctinc' has no date: is it 'penningtonpunctinc'"):
        mean_ceramic_date(counts, midpoints)


def test_a_type_counted_zero_times_needs_no_date_and_changes_nothing():
    assert mean_ceramic_date({"plain": 2, "mottled": 0}, {"plain": 1930.5}) == 1930.5


def test_no_pieces_no_mean():
    assert mean_ceramic_date({}, {}) is None
    assert mean_ceramic_date({"plain": 0}, {}) is None


@pytest.mark.parametrize("count", [-1, float("nan"), float("inf")])
def test_impossible_counts_are_named(count):
    with pytest.raises(BadInput, match="type 'plain': a count is zero or more"):
        mean_ceramic_date({"plain": count}, {"plain": 1930})


def test_an_impossible_date_is_named():
    with pytest.raises(BadInput, match="type 'plain': the middle date is a year"):
        mean_ceramic_date({"plain": 1}, {"plain": float("nan")})
