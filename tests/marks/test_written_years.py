"""Years written out, and figures that are no dates. The chances are common practice, no source; what is checked is what
each context must come to, and the formula against a slow twin. Museum dates: Cooper Hewitt, CC0 1.0."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.marks.foot import Foot, MarkPart
from footring.marks.transcription import parse_mark
from footring.marks.written_years import FIRST, LAST, evidence, written_years
from footring.terms.tables import read_table

YEARS = np.arange(FIRST, LAST + 1)
CONTEXTS = read_table("footring.marks", "year_contexts.csv")


def _only(text, **told):
    (item,) = evidence(Foot(parse_mark(text), **told))
    return item


@pytest.mark.parametrize(
    ("text", "year"),
    [
        ('On underside: in stamp, overglaze black: "ITALIA / RICHARD GINORI / PITTORIA / DI DOCCIA / 1924"', 1924),
        ('On underside, impressed: "(?)/Rookwood/1885/205/A.R."', 1885),
        ('On underside, written in black ink: "E. SOTTSASS / A [trident form] S / 1988"', 1988),
        ('On base, in white: "8. 2. 88 / BAyLE"', 1988),
        ('"Val Cushing/1986/Alfred N.Y."', 1986),
    ],
)
def test_museum_pieces_dated_by_the_year_on_them(text, year):
    likelihood = _only(text).likelihood(YEARS)
    assert YEARS[likelihood.argmax()] == year
    assert np.median(likelihood) < 0.05


@pytest.mark.parametrize(
    "text", ["impressed: 1716", "impressed: 2447", "QUILLOW & TARN / 417", "Dec. 3708", "3/417", ""]
)
def test_figures_outside_the_years_say_nothing(text):
    assert evidence(Foot(parse_mark(text))) == []


@pytest.mark.parametrize(
    "text", ["impressed: 1900", 'Shallow impressed "1900(?)".', "Form 1900", "Dec. No. 1924", "1924 PIECES"]
)
def test_shape_and_pattern_numbers_that_look_like_years_say_almost_nothing(text):
    item = _only(text)
    assert item.floor > 0.1
    flat = np.full(len(YEARS), 1 / len(YEARS))
    posterior = flat * item.likelihood(YEARS)
    assert (posterior / posterior.sum()).max() < 0.05


@pytest.mark.parametrize(
    ("text", "year"),
    [
        ("EST. 1904", 1904),
        ('"EST.", "1886", "ERPHILA", "CZECHO-SLOVAKIA"', 1886),
        ("FOUNDED 1904 / QUILLOW & TARN", 1904),
        ("SINCE 1904", 1904),
        ("GEGR. 1832", 1832),
        ("Gegründet 1832", 1832),
        ("DEPUIS 1886", 1886),
        ("CH. PILLVUYT & CIE. / PARIS / EXP. 1867 / MEDAILLE D'OR", 1867),
        ("1867 MEDAILLE D'OR", 1867),
    ],
)
def test_founding_and_exhibition_years_are_earliest_only(text, year):
    likelihood = _only(text).likelihood(YEARS)
    assert (likelihood[YEARS >= year] == 1.0).all()
    assert (likelihood[YEARS < year] <= 0.05 + 1e-12).all()


@pytest.mark.parametrize("text", ["(c) 1986 MADE IN JAPAN", "© 1986", "COPYRIGHT QUILLOW & TARN 1986", "Copr. 1986"])
def test_a_copyright_year_dates_the_design(text):
    item = _only(text)
    assert item.speaks_of == ("pattern_designed",)
    assert item.likelihood(np.array([1986, 1950])) == pytest.approx([1.0, item.floor])


def test_an_anniversary_is_no_year_of_founding_only():
    first, last = evidence(Foot(parse_mark("QUILLOW & TARN / 1904-1954 / 50 YEARS")))
    assert (first.windows[0].first, first.windows[0].last) == (1904, None)
    assert (last.windows[0].first, last.windows[0].last) == (1954, 1954)
    assert evidence(Foot(parse_mark("50 JAHRE / QUILLOW"))) == []


@pytest.mark.parametrize(
    ("text", "years"),
    [
        ("QUILLOW '84", {1884, 1984}),
        ("8. 2. 88", {1888, 1988}),
        ("12-62", {1862, 1962}),
        ("1/1979", {1979}),
        ("08-00", {1800, 1900, 2000}),
        ("9/05/05", {1805, 1905, 2005}),
    ],
)
def test_short_years_keep_every_century(text, years):
    item = _only(text)
    assert {window.first for window in item.windows} == years
    heights = {window.first: window.weight for window in item.windows}
    assert max(heights, key=heights.get) in range(1900, 2000)


@pytest.mark.parametrize(
    "text", ["192-2-10", "22S-B-1", "740 / 3", "1/5174 / 53", "K / 3 / 21", "C7-13", "14-62", "0-50", "3.5 cm"]
)
def test_other_numbers_with_dashes_are_no_dates(text):
    assert evidence(Foot((MarkPart(text),))) == []


@pytest.mark.parametrize(("technique", "date"), [("incised", "potted"), ("painted", "decorated"), ("label", "sold")])
def test_the_year_dates_what_it_was_written_in(technique, date):
    (item,) = evidence(Foot((MarkPart("QUILLOW / 1931", technique=technique),)))
    assert item.speaks_of == (date,)


def test_a_date_said_twice_counts_once():
    assert len(evidence(Foot((MarkPart("QUILLOW / 1931"), MarkPart("QUILLOW / 1931"))))) == 1


def test_descriptions_and_absent_parts_hold_no_years():
    assert evidence(Foot((MarkPart("drawing of 1931", lettering=False), MarkPart("", absent=True)))) == []


def test_the_formula():
    """Slow twin: draw the figure's kind, then the figure, and see how likely the one read is at each year."""
    (year,) = written_years(Foot(parse_mark("QUILLOW & TARN / 1924")))
    p, values = year.p, len(YEARS)
    read = np.array([p * (y == 1924) + (1 - p) / values for y in YEARS])
    assert evidence(Foot(parse_mark("QUILLOW & TARN / 1924")))[0].likelihood(YEARS) == pytest.approx(read / read.max())


def test_every_context_is_sourced_and_the_last_of_each_form_fits_anything():
    assert all(0 <= float(row["p"]) <= 1 and row["status"] for row in CONTEXTS)
    for form in ("year", "day month short year", "apostrophe short year", "month short year"):
        last = [row for row in CONTEXTS if row["form"] == form][-1]
        assert not (last["before"] or last["after"] or last["technique"] or last["alone"])


@settings(max_examples=500)
@given(
    st.text(max_size=80)
    | st.lists(st.sampled_from("1924 '84 8.2.88 EST. No. (c) / 12-62 ... ? - JAHRE ¹ ٣".split(" ")), max_size=12).map(
        " ".join
    )
)
def test_no_lettering_raises(text):
    for item in evidence(Foot((MarkPart(text),))):
        assert 0 < item.floor < 1
        assert item.likelihood(YEARS).max() <= 1
