"""The table as text."""

import pytest

from footring.reasoning.calibration.bootstrap import Interval
from footring.reasoning.calibration.evaluation import MISSING, Evaluation, Judged
from footring.reasoning.calibration.table import Measured
from footring.reasoning.calibration.tell import PLAIN, SELECTED, tell, tell_rows

NAN = float("nan")
ROWS = [
    Measured("regret", Interval(0.05, 0.04, 0.06), most=0.04),
    Measured("gap closed", Interval(0.9, 0.8, 1.0), least=0.7),
    Measured("held", Interval(0.95, 0.94, 0.96), least=0.88, most=0.93),
    Measured("ahead", Interval(0.2, 0.1, 0.3), least=0.0, beyond_chance=True),
    Measured("area", Interval(0.9, 0.85, 0.95)),
    Measured("too few", Interval(NAN, NAN, NAN), most=0.03),
]


def test_each_row_says_what_is_to_reach_and_whether_it_is():
    lines = list(tell_rows(ROWS))
    assert [line.split("  ")[-1].split()[-1] for line in lines[1:5]] == ["MISSED", "reached", "MISSED", "reached"]
    for line, said in zip(
        lines[1:], ("<= 0.04", ">= 0.7", "0.88 to 0.93  MISSED", "above 0", "0.850 to 0.950", "not told"), strict=False
    ):
        assert said in line
    assert lines[5].endswith("0.850 to 0.950") and "too few to say" in lines[6]


def test_what_is_missed_is_named_below_with_how_far():
    lines = list(tell_rows(ROWS))
    assert lines[8:] == ["2 of 4 targets reached; missed:", "  regret, by 0.010", "  held, by 0.020"]
    assert list(tell_rows(ROWS[1:2]))[-1] == "1 of 1 targets reached."
    assert list(tell_rows(ROWS[4:5]))[-1] == "No targets."


@pytest.fixture
def judged():
    even = dict.fromkeys(("line", "form", "decoration", "joint"), 0.25)
    return Judged(1000, 20, {"Footring": even, "the oracle": {"line": 0.125}}, {"Footring": even}, ROWS)


def test_both_sets_are_told_apart(judged):
    told = tell(Evaluation(2000, judged, Judged(200, 7, {}, {}, ROWS[:1]), None))
    plain, selected = told.split(f"200 {SELECTED} to be told, 7 of them from outside.")
    assert plain.startswith("2000 pieces met.\n\n1000 " + PLAIN + " to be told, 20 of them from outside.")
    assert "the oracle                     0.125           -           -           -" in plain
    assert plain.count("targets reached") == selected.count("targets reached") == 1
    assert "Log loss" in plain and "Log loss" not in selected


def test_what_could_not_be_compared_with_is_told(judged):
    told = tell(Evaluation(2000, judged, None, MISSING))
    assert MISSING in told and SELECTED not in told
    assert MISSING not in tell(Evaluation(2000, judged, None, None))
