"""CIEDE2000 against the published test pairs (Sharma 2005, Table 1)."""

import csv
from pathlib import Path

import pytest

from footring.reasoning.channels.colour import ciede2000

ROWS = list(csv.DictReader(Path(__file__).with_name("ciede2000.csv").read_text(encoding="utf-8").splitlines()))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["pair"])
def test_pair(row):
    assert row["status"] == "opened"
    one, other = (tuple(float(row[f"{axis}{n}"]) for axis in "Lab") for n in "12")
    expected = [float(row["dE00"])]
    if row["pair"] == "14":
        expected.append(4.7461)  # hues just opposite: either way round, by rounding
    for pair in ((one, other), (other, one)):
        assert min(abs(float(ciede2000(*pair)) - e) for e in expected) <= float(row["tolerance"])


def test_all_pairs_are_there():
    assert len(ROWS) == 34
