"""From what was typed to dates: what must hold whatever the rules say."""

from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest

from footring.marks.datecode_pack import pack_schemes
from footring.packs import load_pack
from footring.reasoning.date_mark import date_mark
from footring.reasoning.prior import read_prior

MARK = "QUILLOW & TARN / MADE IN ENGLAND"
OWN = pack_schemes(load_pack(Path(str(files("footring.demo").joinpath("pack")))).tables)


def decorated(*args, **named):
    return date_mark(*args, schemes=OWN, **named).dated.dates["decorated"]


def same(one, two):
    return np.allclose(one.density, two.density, rtol=0, atol=1e-12)


def test_not_looked_at_changes_nothing():
    assert same(decorated(MARK), decorated(MARK, date_code=None, label="", numeral=None))


def test_looked_for_and_absent_is_not_the_same_as_not_looked_at():
    assert decorated("none").median < decorated(None).median


def test_a_code_given_twice_counts_once():
    once = decorated(f"{MARK} / C4", date_code="C4")
    assert same(once, decorated(MARK, date_code="C4"))


def test_a_missing_code_rules_nothing_out():
    """A date code may be missing on late short issues: common practice, no source."""
    span = slice(1932 - 1780, 1940 - 1780)
    assert decorated(MARK, date_code="none").density[span].sum() > 0.5 * decorated(MARK).density[span].sum()


def test_a_mark_said_twice_is_said_once():
    assert same(decorated(f"{MARK} / {MARK}"), decorated(MARK))


def test_a_label_moves_an_answer_less_than_a_mark():
    """A label may be left over from a sister line: common practice, no source."""
    plain, marked, labelled = decorated(MARK), decorated(f"{MARK} / (c) 1958"), decorated(MARK, label="(c) 1958")
    before = slice(0, 1950 - 1780)
    assert marked.density[before].sum() < labelled.density[before].sum() <= plain.density[before].sum() + 1e-9


def test_a_doubtful_reading_moves_an_answer_less():
    sure, doubtful, none = (decorated(mark).density[: 1947 - 1780].sum() for mark in (
        "MADE IN OCCUPIED JAPAN", "MADE IN OCCUPIED JAPAN ~0.5", "QUILLOW",
    ))  # fmt: skip
    assert sure < doubtful < none


@pytest.mark.parametrize("made", ["1936", "between 1936 and 1939", "[..1940]", "1936 or 1938"])
def test_what_is_known_bounds_the_answer(made):
    answer = decorated(MARK, made=made)
    first, last = answer.window
    inside = (answer.years >= (first or 0)) & (answer.years <= (last or 9999))
    assert answer.density[~inside].sum() == 0


def test_the_prior_can_be_replaced_and_is_named(tmp_path):
    table = tmp_path / "mine.csv"
    table.write_text("country,year,height\n,1780,1\n,1979,1\n,1980,1000\n", encoding="utf-8")
    finding = date_mark(MARK, prior=read_prior(table))
    assert finding.dated.dates["decorated"].median >= 1980
    assert finding.provenance["prior"] == "mine.csv"


def test_what_is_known_with_doubt_bounds_nothing():
    answer = decorated(MARK, made="1936 ~0.6")
    assert answer.window == (None, None)
    assert answer.density[1936 - 1780] > 10 * decorated(MARK).density[1936 - 1780]
    assert answer.density[1950 - 1780] > 0


def test_a_label_that_fights_may_have_moved():
    """Labels get moved and re-used: common practice, no source."""
    (fight,) = date_mark(made="before 1930", label="www.ormsley.example").dated.conflicts
    assert "label moved" in fight.explanation
