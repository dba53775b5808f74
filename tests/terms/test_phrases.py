"""What typed English means: common practice, no source, but for the rows of published/edtf.csv."""

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.terms.dates import parse_edtf
from footring.terms.errors import BadInput
from footring.terms.phrases import parse_when
from footring.terms.tables import read_table
from tests.terms.test_dates import edtf

PHRASES = {
    "between 1936 and 1939": "[1936..1939]",
    "between 1936-39": "[1936..1939]",
    "between c. 1936 and 1939": "[1936~..1939]",
    "late 1930s": "[1936~..1939]",
    "in the late 1930s": "[1936~..1939]",
    "1936 or 1937": "[1936,1937]",
    "1936, 1937, or 1938": "[1936,1937,1938]",
    "probably 1936 or 1937": "[1936?,1937?]",
    "1936? or 1937": "[1936?,1937]",
    "1936 or 37": "[1936,1937]",
    "1936 and 1938": "{1936,1938}",
    "1936-40": "[1936..1940]",
    "1936–1940": "[1936..1940]",
    "1936 - 1940": "[1936..1940]",
    "1936/37": "[1936..1937]",
    "c.1936-40": "[1936~..1940~]",
    "c. 1938": "1938~",
    "c1938": "1938~",
    "ca 1938": "1938~",
    "circa 1938": "1938~",
    "about 1938": "1938~",
    "probably 1938": "1938?",
    "1938 (?)": "1938?",
    "probably c. 1938": "1938%",
    "before 1940": "[..1940]",
    "pre-1940": "[..1940]",
    "by 1940": "[..1940]",
    "not after 1940": "[..1940]",
    "no later than 1940": "[..1940]",
    "1940 or earlier": "[..1940]",
    "perhaps before 1940": "[..1940?]",
    "before the 1930s": "[..1930]",
    "after 1936": "[1936..]",
    "post-1936": "[1936..]",
    "not before 1936": "[1936..]",
    "1936 or later": "[1936..]",
    "1936+": "[1936..]",
    "after the 1930s": "[1939..]",
    "after 1936 and before 1940": "[1936..1940]",
    "from 1930": "1930/..",
    "since c. 1930": "1930~/..",
    "until 1945": "../1945",
    "from 1930 to 1945": "1930/1945",
    "about 1930 to about 1945": "1930~/1945~",
    "1920 to probably 1929": "1920/1929?",
    "1880s to 1890s": "188X/189X",
    "1930s": "193X",
    "1930's": "193X",
    "1930s?": "193X?",
    "1930s-40s": "[193X..194X]",
    "mid 1950s": "[1953~..1957~]",
    "mid-1950s": "[1953~..1957~]",
    "early to mid 1950s": "[1950..1957~]",
    "1900s": "19XX",
    "early 1900s": "[1900..1935~]",
    "20th century": "19XX",
    "twentieth century": "19XX",
    "early 20th century": "[1900..1935~]",
    "mid-20th-century": "[1930~..1970~]",
    "late 19th or early 20th century": "[1865~..1899,1900..1935~]",
    "late 19th-early 20th century": "[1865~..1935~]",
    "first quarter of the 19th century": "[1800..1825]",
    "2nd half of the 19th century": "[1850..1900]",
    "turn of the 20th century": "[1895~..1905~]",
    "spring 1938": "1938-21",
    "winter 1938/39": "1938-24",
    "winter 1938": "[1938-01..1938-02,1938-12..1939-02]",
    "first quarter of 1938": "1938-33",
    "late 1938": "[1938-08~..1938-12]",
    "May 1938": "1938-05",
    "12 May 1938": "1938-05-12",
    "May 12th, 1938": "1938-05-12",
    "May or June 1938": "[1938-05,1938-06]",
    "Sept. 1938": "1938-09",
    "made in 1938": "1938",
}


@pytest.mark.parametrize(("typed", "expected"), PHRASES.items())
def test_phrases(typed, expected):
    assert str(parse_when(typed)) == str(parse_edtf(expected))
    assert parse_when(typed.upper()) == parse_when(typed) == parse_when(f"  {typed} ")


def test_a_short_range_can_have_lasted():
    assert str(parse_when("1936-40", lasted=True)) == "1936/1940"
    assert str(parse_when("early to mid 1950s", lasted=True)) == "1950/1957~"
    assert str(parse_when("between 1936 and 1940", lasted=True)) == "[1936..1940]"


@pytest.mark.parametrize("typed", ["1908-12", "1908–12"])
def test_a_month_that_may_be_a_year_takes_in_both(typed):
    assert str(parse_when(typed)) == "[1908..1912]"
    assert parse_when("1912-08") == parse_edtf("1912-08")


@settings(max_examples=200)
@given(edtf())
def test_edtf_is_read_as_edtf(text):
    canonical = str(parse_edtf(text))
    if len(canonical) == 7 and canonical[5:] > canonical[2:4]:
        return
    assert parse_when(canonical) == parse_edtf(canonical)


@given(
    st.integers(1000, 2990), st.integers(1, 9), st.sampled_from(["{} or {}", "{}-{}", "between {} and {}", "{} to {}"])
)
def test_no_year_is_dropped(first, more, form):
    read = parse_when(form.format(first, first + more))
    assert (read.first_year, read.last_year) == (first, first + more)


@given(st.sampled_from(sorted(PHRASES)), st.sampled_from(["probably", "possibly", "c.", "about"]))
def test_a_doubt_in_front_is_kept(typed, word):
    sure, doubted = parse_when(typed), parse_when(f"{word} {typed}")
    flags = (doubted.uncertain if word in ("probably", "possibly") else doubted.approximate) if doubted else ()
    assert any(flags)
    for edge, wider in ((sure.year_min, doubted.year_min), (doubted.year_max, sure.year_max)):
        assert edge is None or wider is None or wider <= edge


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("", "there is nothing to read; leave the date out"),
        ("   ", "there is nothing to read"),
        ("unknown", "date 'unknown': not understood; write it in EDTF"),
        ("n.d.", "not understood"),
        ("Art Deco", r'or in words such as "between 1936 and 1939", "late 1930s"'),
        ("'30s", "not understood"),
        ("38", "not understood"),
        ("12/05/1938", "not understood"),
        ("1936, 1937", "not understood"),
        ("winter 1938/40", "not understood"),
        ("31 June 1938", "June 1938 has no day 31"),
        ("1938-02-30", "February 1938 has no day 30"),
        ("1938-13", "there is no month 13"),
        ("1940-1936", r"it ends \(1936\) before it begins \(1940\)"),
        ("between 1940 and 1936", r"it ends \(1936\) before it begins \(1940\)"),
        ("from 1940 to 1936", r"it ends \(1936\) before it begins \(1940\)"),
        ("circa " * 40, "240 characters are too long"),
    ],
)
def test_bad_input(typed, why):
    with pytest.raises(BadInput, match=why):
        parse_when(typed)


def test_not_a_text():
    with pytest.raises(BadInput, match="date '1938': a date is given as text"):
        parse_when(1938)


WORDS = [row["phrase"] for row in read_table("footring.terms", "phrases.csv")]
SCRAPS = [
    *WORDS,
    "1938",
    "40",
    "1900s",
    "193X",
    "-",
    "/",
    "to",
    "and",
    "or",
    ",",
    "?",
    "[",
    "]",
    "..",
    "century",
    "19th",
    "winter",
]
scraps = st.lists(st.sampled_from(SCRAPS), max_size=8).flatmap(
    lambda parts: st.sampled_from(["", " "]).map(lambda gap: gap.join(parts))
)


@settings(max_examples=2000, deadline=1000)
@given(st.one_of(st.text(max_size=220), st.text("0123456789X?~%-/.,[]{}S ", max_size=40), scraps))
def test_any_text_is_read_or_refused(text):
    for read in (parse_when, parse_edtf):
        try:
            found = read(text)
        except BadInput as error:
            assert str(error).startswith("date ")
        else:
            assert parse_edtf(str(found)) == found


@pytest.mark.parametrize(
    "text", ["-" * 200, "1938-" * 40, "a," * 100, "between " * 25, "1 or " * 40, "c " * 100, " and " * 40]
)
def test_long_repetitions_are_quick(text):
    started = time.perf_counter()
    with pytest.raises(BadInput, match=r"^date "):
        parse_when(text)
    assert time.perf_counter() - started < 1.0
