from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.marks.foot import Foot, MarkPart
from footring.marks.registration import evidence, remarks

YEARS = np.arange(1780, 2011)


def foot(*texts, **named):
    return Foot(tuple(text if isinstance(text, MarkPart) else MarkPart(text) for text in texts), **named)


def test_a_registered_number_dates_the_design_and_bounds_the_mark():
    design, carried = evidence(foot("ORMSLEY / ENGLAND / Rd. No 314901/ M428 / 160"))
    assert design.speaks_of == ("form_designed", "pattern_designed")
    assert design.hard
    assert YEARS[design.likelihood(YEARS) > 0].tolist() == [1897, 1898]
    assert design.likelihood(YEARS)[YEARS == 1898] == 1
    assert carried.speaks_of == ("decorated",)
    assert YEARS[carried.likelihood(YEARS) > 0].min() == 1898
    assert carried.likelihood(YEARS)[YEARS > 1898].min() == 1  # protection ran out; the moulds did not
    assert design.family == carried.family == "registration: rd:314901"


def test_in_the_clay_it_speaks_of_the_form_and_the_potting():
    design, carried = evidence(foot(MarkPart("Rd No 314901", technique="impressed")))
    assert design.speaks_of == ("form_designed",)
    assert carried.speaks_of == ("potted",)


def test_one_number_given_twice_is_one_and_two_numbers_are_two():
    parts = [MarkPart("Rd No 314901", technique="impressed"), MarkPart("REGD DESIGN 314,901"), MarkPart("Rd No 3149?1")]
    once = evidence(foot(parts[0]))
    for order in (parts, parts[::-1]):
        design, *carried = evidence(foot(*order))
        assert design.speaks_of == once[0].speaks_of
        assert {e.speaks_of for e in carried} == {("potted",), ("decorated",)}
        assert {e.family for e in carried} == {once[0].family}
    two = evidence(foot("Rd No 314901 / Rd No 331707"))
    assert {e.family for e in two} == {"registration: rd:314901", "registration: rd:331707"}


@pytest.mark.parametrize(
    "part",
    [
        MarkPart("Rd No 31490?"),
        MarkPart("Rd No 314901", doubtful=True),
        MarkPart("Rd No 930000"),
        MarkPart("<IV 9/?/R/9>"),
        MarkPart("<IV 4/W/G/9>"),
        MarkPart("<IV 9/1/R/9>"),
        MarkPart("DES. PAT. 115804"),
    ],
)
def test_what_is_not_plain_or_from_memory_is_not_hard(part):
    (design,) = evidence(foot(part))
    assert 0 < design.floor <= 0.05


def test_diamonds():
    design, carried = evidence(foot(MarkPart("diamond: top 9, right C, bottom R, left 9, class IV", lettering=False)))
    assert design.hard
    assert YEARS[design.likelihood(YEARS) == 1].tolist() == [1870]
    assert carried.windows[0].first == 1870
    both = evidence(foot("<IV Z/15/?/K>"))[0]
    assert "1860-11-15 or 1860-12-15" in both.says


def test_a_class_that_is_not_ceramics_is_kept_with_a_warning():
    design = evidence(foot("<III 9/C/R/9>"))[0]
    assert "class III is glass, not ceramics" in design.says
    assert design.windows[0].last == 1870


def test_a_patent_may_be_older_than_the_form_that_uses_it():
    design, carried = evidence(foot("U.S. PATENT 640,168"))
    assert design.speaks_of == ("form_designed",)
    assert design.windows[0].last is None
    assert YEARS[design.likelihood(YEARS) > 0].min() == 1897  # filed up to three years before 1900
    assert carried.windows[0].first == 1900


def test_a_trade_mark_number_bounds_the_mark_softly():
    (mark,) = evidence(foot("TRADE MARK REG. No. 200,000", country="United States"))
    assert mark.speaks_of == ("decorated",)
    assert mark.floor > 0
    assert mark.windows[0].last is None
    assert mark.windows[0].first == 1914


def test_a_patent_of_an_unsaid_country_keeps_both_meanings_until_the_mark_says():
    (either,) = evidence(foot("PAT. NO. 2026107"))
    assert {w.first for w in either.windows} == {1935, 1915}
    assert evidence(foot("PAT. NO. 2026107 / MADE IN U.S.A."))[0].windows[0].first == 1935
    assert evidence(foot("PAT. NO. 2026107", "MADE IN ENGLAND"))[0].windows[0].first == 1915


def test_what_could_not_be_used_is_said():
    given_up = foot("D.R.G.M. 12345 / <IV 9/C/F/9>", "PAT. NO. 12345 / ENGLAND")
    assert evidence(given_up) == []
    said = remarks(given_up)
    assert said[0] == "D.R.G.M. 12345: a German utility model, not a British registered design"
    assert said[1] == "<IV 9/C/F/9>: F is no month letter of 1842-1883: perhaps E"
    assert said[2].startswith("PAT. NO. 12345: before the numbers of the table began")
    assert remarks(foot("Rd No 314901")) == ()


def test_numbers_given_apart_count_with_words_and_not_without():
    assert evidence(Foot(numerals=(MarkPart("314901"),))) == []
    assert evidence(Foot(numerals=(MarkPart("Rd No 314901"),)))[0].part is None


def test_absent_and_plain_parts_say_nothing():
    assert evidence(foot(MarkPart("", absent=True), MarkPart("ORMSLEY / 314901"))) == []


@given(st.permutations(["Rd No 314901", "<IV 9/C/R/9>", "DES. PAT. 30,000", "ORMSLEY"]))
def test_order_of_parts_changes_nothing(texts):
    found = evidence(foot(*texts))
    assert {(e.family, e.speaks_of, e.windows, e.floor) for e in found} == {
        (e.family, e.speaks_of, e.windows, e.floor)
        for e in evidence(foot("ORMSLEY", "DES. PAT. 30,000", "<IV 9/C/R/9>", "Rd No 314901"))
    }


@given(st.text(alphabet="RdNoPATDESGUK.?/<>IVCX -,0123456789", max_size=80))
def test_any_text_gives_likelihoods(text):
    for item in evidence(foot(text)):
        height = item.likelihood(YEARS)
        assert ((height >= 0) & (height <= 1)).all()
        assert height.any()
    remarks(foot(text))
