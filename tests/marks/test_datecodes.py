"""Date codes on a foot: found, turned into evidence, misread; hostile input."""

import random
import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.marks.datecode_reading import confusable
from footring.marks.datecodes import builtin_schemes, decode, evidence, misreadings, notes, readings
from footring.marks.foot import Foot, MarkPart
from footring.marks.transcription import parse_mark
from footring.terms.errors import BadInput

YEARS = np.arange(1780, 2011)


def marked(text, **foot):
    return Foot(parts=parse_mark(text), **foot)


def apart(code, maker="Wedgwood", **part):
    return Foot(maker=maker, date_codes=(MarkPart(code, **part),))


def spans(foot):
    return [(w.first, w.last) for item in evidence(foot) for w in item.windows if w.weight == 1]


# Transcriptions of museum records: Cooper Hewitt, Smithsonian Design Museum, CC0.
MUSEUM = [
    ("Impressed on bottom, underglazed: RP cipher with 14 flames, IV beneath 905 C.", 1904, ("potted",)),
    ('Impressed on base: Rookwood cipher with 14 flames over "XXI; 369E; incised + ', 1921, ("potted",)),
    (
        'Marks on base, stamped; Rookwood reversed R back to back with P insignia with 16 flames, over "XVII" above "956C,"',
        1917,
        ("potted",),
    ),
    ('On base, in green: "D" stamp; "WEDGWOOD / MADE IN / ENGLAND"; impressed: "WEDGWOOD / 11M53"', 1953, ("potted",)),
    ('in red overglaze: "AnH9984 / A"; impressed: "WEDGWOOD 12WF3[0?]"; in black: "K"', 1930, ("potted",)),
    ('incised: "11h35 / MADE IN ENGLAND / WEDGWOOD"', 1935, ("potted",)),
]


@pytest.mark.parametrize(("text", "year", "speaks_of"), MUSEUM)
def test_codes_are_found_in_transcriptions(text, year, speaks_of):
    (item,) = evidence(marked(text))
    assert [(w.first, w.last) for w in item.windows if w.weight == 1] == [(year, year)]
    assert item.speaks_of == speaks_of
    assert item.kind == "date code"
    assert item.source
    assert YEARS[item.likelihood(YEARS).argmax()] == year


def test_a_slip_of_the_reader_is_weaker_than_a_code_read_right():
    # Cooper Hewitt, CC0: "WEDGWOOD/ID54", I read for 1.
    (item,) = evidence(marked('Impressed date code, "WEDGWOOD/ID54"'))
    assert {(w.first, w.last) for w in item.windows} == {(1954, 1954)}
    assert max(w.weight for w in item.windows) == 0.5
    months = {edtf for one in readings(marked("WEDGWOOD / ID54")) for *_, edtf in one.spans}
    assert "1954-01" in months
    (right,) = evidence(marked("WEDGWOOD / 1D54"))
    assert right.likelihood(YEARS).max() == 1 > item.likelihood(YEARS).max()


def test_a_numeral_read_from_the_other_side_is_possible():
    # Cooper Hewitt, CC0: the vase transcribed with IV is dated 1906 by the museum.
    (item,) = evidence(marked(MUSEUM[0][0]))
    at = dict(zip(YEARS.tolist(), item.likelihood(YEARS).tolist(), strict=True))
    assert at[1904] == 1 > at[1906] > 5 * at[1905]


@pytest.mark.parametrize(
    "text",
    [
        "WEDGWOOD / MADE IN ENGLAND",
        "WEDGWOOD / ENGLAND / N.W.",
        'in blue: "TRADE MARK; OAKLANDS. / WEDGWOOD"; "1"; "V"; "I"; "S"',
        "WEDGWOOD & CO / TOT",  # another firm
        "QUILLOW & TARN / TOT",  # invented
        "KPM / 95",  # not Berlin's
        "SYRACUSE, N.Y. / 8-GG",  # a town
        "",
    ],
)
def test_what_is_no_date_code_gives_nothing(text):
    assert evidence(marked(text)) == []


def test_a_code_given_twice_counts_once():
    foot = Foot(parts=parse_mark("WEDGWOOD / TOT"), date_codes=(MarkPart("TOT"),))
    one, other = evidence(foot)
    assert one.family == other.family
    together = np.minimum(one.likelihood(YEARS), other.likelihood(YEARS))
    assert together == pytest.approx(one.likelihood(YEARS))
    assert len(readings(foot)) == 1


def test_part_of_a_code_given_whole_is_no_second_code():
    foot = Foot(parts=parse_mark("RP cipher with 14 flames"), date_codes=(MarkPart("14 flames XXI"),))
    assert [item.reading for item in evidence(foot)] == ["14 flames XXI"]
    assert spans(foot) == [(1921, 1921)]


def test_windows_are_a_set():
    assert spans(apart("TOT")) == [(1865, 1865), (1891, 1891)]
    (item,) = evidence(apart("V", "Royal Crown Derby"))
    assert {(1904, 1904), (1942, 1942)} <= {(w.first, w.last) for w in item.windows if w.weight == 1}
    assert item.rule == "derby-numeral, derby-cipher"


def test_handbooks_that_disagree_keep_their_weights():
    (item,) = evidence(apart("3 teeth from the right", "Villeroy & Boch Mettlach"))
    weights = {(w.first, w.last): w.weight for w in item.windows if w.weight > 0.1}
    assert weights == {(1881, 1886): 0.4, (1893, 1893): 0.6, (1893, 1904): 0.4}


@pytest.mark.parametrize(
    ("technique", "speaks_of"),
    [
        ("impressed", ("potted",)),
        ("incised", ("potted",)),
        ("printed", ("decorated",)),
        ("painted", ("decorated",)),
        (None, ("potted",)),
    ],
)
def test_in_the_clay_speaks_of_the_potting(technique, speaks_of):
    (item,) = evidence(apart("TOT", technique=technique))
    assert item.speaks_of == speaks_of


def test_a_doubtful_character_may_be_any_other():
    (item,) = evidence(apart("12WF3[0?]"))
    assert max((w.weight, w.first) for w in item.windows) == (1.0, 1930)
    likelihood = item.likelihood(YEARS)
    assert 0.25 < likelihood[YEARS == 1936][0] < 0.35
    assert likelihood[YEARS == 1946][0] < 0.05


def test_a_lost_dot_leaves_the_year_after_likelier_than_the_year_before():
    (item,) = evidence(apart("5 dots", "Royal Worcester"))
    before, here, after = item.likelihood(np.array([1895, 1896, 1897]))
    assert before < after < here
    assert before == item.floor


def test_no_code_counts_only_where_it_was_looked_for_and_the_style_is_known():
    none = (MarkPart("", absent=True),)
    style = parse_mark("ROYAL WORCESTER / ENGLAND")
    (item,) = evidence(Foot(parts=style, date_codes=none))
    assert [(w.first, w.last) for w in item.windows] == [(1891, 1891), (1942, 1948)]
    assert evidence(Foot(maker="Royal Worcester", date_codes=none)) == []
    assert evidence(Foot(parts=style)) == []
    assert evidence(Foot(maker="Wedgwood", date_codes=none)) == []


def test_a_skipped_letter_leaves_the_letters_it_may_be():
    (item,) = evidence(apart("F", "Royal Worcester"))
    assert {(w.first, w.last) for w in item.windows} == {(1871, 1871), (1879, 1879)}  # E and P


def test_a_contradiction_is_shown_and_only_a_slip_explains_it():
    foot = apart("91-C", "Syracuse China")
    assert any("contradiction" in problem for r in readings(foot) for problem in r.problems)
    assert spans(foot) == []
    assert [(w.first, w.weight) for item in evidence(foot) for w in item.windows] == [
        (1962, pytest.approx(0.3)),  # 91-G
        (1968, 0.5),  # 97-C
    ]


def test_what_could_not_be_used_is_said():
    assert notes(apart("TOT", None)) == [
        "date code 'TOT': the maker is not known, so no scheme was tried; give the maker"
    ]
    assert notes(apart("TOT", "Quillow & Tarn")) == ["date code 'TOT': no date-code scheme of Quillow & Tarn is known"]
    assert notes(apart("bell", "Wedgwood")) == ["date code 'bell': no scheme of Wedgwood reads it"]
    assert notes(apart("TOT")) == []
    assert evidence(apart("TOT", None)) == evidence(apart("TOT", "Quillow & Tarn")) == []


def test_the_maker_may_stand_in_the_mark():
    foot = Foot(parts=parse_mark("COPELAND / ENGLAND"), date_codes=(MarkPart("S over 02"),))
    assert spans(foot) == [(1902, 1902)]


def test_misreadings_are_near_codes_that_the_scheme_dates():
    scheme = next(s for s in builtin_schemes() if s.id == "wedgwood-figures")
    near = dict(misreadings("IHS3", scheme))
    assert near == {}  # two slips away
    near = dict(misreadings("1H83", scheme))
    assert near.keys() >= {"1H33", "7H83"}
    assert all(decode(code, [scheme])[0].spans for code in near)
    assert all(0 < weight < 0.5 for weight in near.values())


def test_confusions_go_both_ways():
    pairs = {(a, b): weight for a, b, weight in confusable()}
    assert {(b, a): weight for (a, b), weight in pairs.items()} == pairs
    assert ("0", "O") in pairs
    assert ("IV", "VI") in pairs


@given(
    st.sampled_from(["TOT", "11M53", "star + 3 dots", "14 flames XXI", "8-GG", "bar over the 5th letter"]), st.randoms()
)
def test_an_unreadable_character_only_widens(code, rng):
    at = rng.choice([i for i, c in enumerate(code) if c.isupper() or c.isdigit()])
    whole = {year for r in decode(code, builtin_schemes()) for a, b, _ in r.spans for year in range(a, b + 1)}
    hidden = decode(code[:at] + "?" + code[at + 1 :], builtin_schemes())
    assert whole <= {year for r in hidden for a, b, _ in r.spans for year in range(a, b + 1)} or "th" in code


def test_parts_of_a_mark_may_come_in_any_order():
    parts = parse_mark('"WEDGWOOD"; "ENGLAND"; "11M53"; "K"')
    backward = evidence(Foot(parts=parts[::-1]))
    assert [item.windows for item in backward] == [item.windows for item in evidence(Foot(parts=parts))]


HOSTILE = [
    "6+6 dots " * 20, "I" * 200, "?" * 200, "dot " * 50, "1-" * 100, "star + " * 25, "14 flames " * 20, "XIV" * 60,
    "([[?]" * 30, "•" * 200, "9" * 200, "\u0660\u0661" * 50, "½⅓Ⅻ" * 20, "\x00\x01", "a\u0301" * 90, "R in circle " * 16,
]  # fmt: skip


@pytest.mark.parametrize("code", HOSTILE, ids=range(len(HOSTILE)))
def test_hostile_codes_are_quick(code):
    start = time.perf_counter()
    decode(code, builtin_schemes())
    assert time.perf_counter() - start < 0.25


@pytest.mark.parametrize("text", ["? " * 5_000, "14 flames " * 1_000, "6+6 dots, " * 1_000, "S 02 / " * 1_400])
@pytest.mark.parametrize("maker", ["Rookwood", "Royal Worcester", "Copeland", "Wedgwood"])
def test_hostile_marks_are_quick(text, maker):
    start = time.perf_counter()
    evidence(Foot(parts=(MarkPart(text),), maker=maker))
    assert time.perf_counter() - start < 2


@pytest.mark.slow
def test_ten_thousand_random_codes_raise_nothing_but_bad_input():
    rng = random.Random(7)
    pieces = [
        *"ABCIOVXWTZ0123456789?-+/.*•[]() ",
        "dot",
        " dots ",
        " flames ",
        "star",
        "above",
        "letter",
        "th ",
        "missing",
        "none",
        "é",
        "Ⅳ",
    ]
    for _ in range(10_000):
        code = "".join(rng.choices(pieces, k=rng.randint(0, 12)))
        try:
            found = decode(code, builtin_schemes())
        except BadInput as error:
            assert "date code is empty" in str(error)
            continue
        for one in found:
            assert bool(one.spans) or one.problems
            assert all(1800 <= a <= b <= 2010 for a, b, _ in one.spans)


def test_one_code_takes_under_a_millisecond():
    codes = ["TOT", "star, 4 dots each side", "14 flames XXI", "8-GG", "9621", "bar over the 5th letter", "S over 02"]
    decode("TOT", builtin_schemes())
    times = []
    for code in codes * 20:
        start = time.perf_counter()
        decode(code, builtin_schemes())
        times.append(time.perf_counter() - start)
    assert sorted(times)[len(times) // 2] < 1e-3
