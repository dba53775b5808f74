"""The check on makers of museum pieces: its table, its packs, and that nothing of a lot is known when it is asked."""

import csv

import pytest

from benchmarks import museum_makers as check
from footring.reference import compile_reference

RECORDS = check.read_records()
FEW = [record for record in RECORDS if record.maker in ("richard-ginori", "rookwood", "grueby", "pillivuyt", "longwy")]


def test_the_table_has_every_maker_of_the_records_once_and_says_from_where():
    with (check.GOLD / "museum_makers.csv").open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    with (check.GOLD / "museum_marked.csv").open(encoding="utf-8", newline="") as lines:
        given = {row["maker"] for row in csv.DictReader(lines)}
    assert sorted(row["maker"] for row in rows) == sorted(given)
    assert all(row["named_as"] and row["source"] and row["status"] == "opened" for row in rows)
    assert [row["maker"] for row in rows if row["key"] and row["named_as"] not in row["maker"].lower()] == [
        "Ken Friedman"
    ]


def test_the_records_make_a_pack_without_fault():
    reference = compile_reference(check.pack(RECORDS))
    assert reference.counts.per_cell("confirmed", unselected=True).sum() == len(RECORDS)


def test_a_lot_is_asked_about_by_what_the_others_tell():
    """Rookwood and Richard-Ginori are in several lots; no other has anything of Grueby."""
    lot = "cooperhewitt:1983-88"
    asked = [i for i, record in enumerate(FEW) if record.lot == lot]
    assert {check.truth(FEW[i], FEW) for i in asked} == {"rookwood", check.OUTSIDE}
    for answers in (check.footring_answers(FEW), check.ngram_answers(FEW)):
        for i, answer in enumerate(answers):
            assert sum(answer.values()) == pytest.approx(1.0, abs=1e-6)
            assert check.truth(FEW[i], FEW) in answer
            assert ("grueby" in answer) == (i not in asked)


def test_figures_of_answers_that_can_be_counted_by_hand():
    truths, lots = ["a", "outside", "outside", "b"], ["1", "1", "2", "2"]
    sure = [{"a": 0.5, "outside": 0.5 - 1e-9, "b": 0.0}, {"a": 0.0, "outside": 1.0}, {"a": 0.25, "outside": 0.75}]
    answers = [*sure, {"a": 0.9, "outside": 0.1, "b": 0.0}]
    loss, first, known, area = check.figures(truths, [answers], lots, by_lot=False)
    assert loss.value == pytest.approx((0.6931472 + 0.0 + 0.2876821 + 20.7232658) / 4)
    assert (first.value, known.value, area.value) == (0.75, 0.5, 1.0)
    same = check.figures(truths, [answers, answers], lots, by_lot=True)
    assert [tuple(of) for of in same] == [(0.0, 0.0, 0.0)] * 3
