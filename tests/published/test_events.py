"""Laws, orders and habits behind words on a mark, against `events.csv`: what was read in the texts named in each row.

Only rows whose date was opened ("opened", or the year of it) are held against their dates; the others are listed to
show that they are there and carry the tolerance of memory.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from footring.marks.foot import Foot
from footring.marks.transcription import parse_mark
from footring.marks.wording import evidence, rules
from footring.terms.tables import read_table

with (Path(__file__).parent / "events.csv").open(encoding="utf-8", newline="") as lines:
    EVENTS = list(csv.DictReader(lines))
DATED = [row for row in EVENTS if row["date_status"] == "opened" or row["date_status"].startswith("year opened")]
TABLE = {row["id"]: row for row in read_table("footring.marks", "wording.csv")}
RULES = {rule.id: rule for rule in rules()}
USED = [row for row in DATED if row["id"] in RULES and row["bound"] != "note"]


def test_what_is_here():
    assert (len(EVENTS), len(DATED), len(USED)) == (30, 25, 18)
    assert all(row["status"] == "opened" and row["source"] for row in EVENTS)


@pytest.mark.parametrize("row", DATED, ids=lambda row: row["id"])
def test_the_table_has_the_dates_as_published(row):
    ours = TABLE[row["id"]]
    assert (ours["from"], ours["to"], ours["status"]) == (row["from"], row["to"], "opened")


@pytest.mark.parametrize("row", USED, ids=lambda row: row["id"])
def test_the_rule_says_what_was_published(row):
    rule = RULES[row["id"]]
    foot = Foot(parse_mark(rule.row["example"]))
    item = next(item for item in evidence(foot) if item.rule == row["id"])
    assert item.source and item.status == "opened"
    first, last = (int(row[edge]) if row[edge] else None for edge in ("from", "to"))
    at = item.likelihood(np.array([y for y in (first, last) if y is not None]))
    assert at == pytest.approx(1.0)
    outside = [y for y in (first and first - 60, last and last + 60) if y is not None]
    assert item.likelihood(np.array(outside)) == pytest.approx(item.floor)


@pytest.mark.parametrize("row", [row for row in EVENTS if row not in DATED], ids=lambda row: row["id"])
def test_dates_from_memory_are_wider_than_their_row(row):
    rule = RULES.get(row["id"])
    if rule is None:
        assert TABLE[row["id"]]["unused"]
        return
    sides = [
        (rule.window.first, rule.window.soft_before, "soft_before"),
        (rule.window.last, rule.window.soft_after, "soft_after"),
    ]
    for edge, soft, column in sides:
        told = float(rule.row[column] or 0)
        assert edge is None or soft >= max(2 * told, told + 2)
