"""All the kinds of date code, as rows: real ones where a source was read, else of an invented pottery."""

import pytest

from footring.marks.datecodes import build_schemes, builtin_schemes, decode
from footring.terms.errors import BadInput

POTTERY = "Quillow & Tarn"  # invented, and so is every scheme below that bears its name


def invented(fields, tokens=(), **scheme):
    row = {"id": "s", "maker": POTTERY, "span_from": 1904, "span_to": 1968, "source": "invented", **scheme}
    return build_schemes(
        [row],
        [{"scheme": "s", "position": i, **field} for i, field in enumerate(fields, 1)],
        [{"scheme": "s", "status": "invented", **token} for token in tokens],
    )


def dates(code, schemes=None, **how):
    found = decode(code, builtin_schemes() if schemes is None else schemes, **how)
    return sorted({e for r in found for *_, e in r.spans})


def of(maker):
    return [scheme for scheme in builtin_schemes() if maker in scheme.maker]


YEAR2 = {"kind": "number", "name": "year", "gives": "year2", "width": 2}
CYPHERS = [
    {"field": "cypher", "token": t, "span_from": 1930 + i, "span_to": 1930 + i}
    for i, t in enumerate(("anchor", "bell"))
]
HALVES = [
    {"field": "half", "token": "A", "value": "months 1-6"},
    {"field": "half", "token": "B", "value": "months 7-12"},
    {"field": "half", "token": "C", "value": "months 1-3"},
]

CASES = [
    ("1 century from the span", of("Copeland"), "S over 02", ["1902-09"]),
    ("2 variable width", of("Taylor"), "10621", ["1962-10"]),
    ("3 month letters that are not initials", of("Copeland"), "Y over 88", ["1888-05"]),
    ("4 cyclic letters", of("Wedgwood"), "TOT", ["1865-06", "1891-06"]),
    ("5 skipped letters, case", of("Worcester"), "a", ["1890"]),
    ("5 out of order", of("Worcester"), "O", ["1889"]),
    ("6 cycle by another character", of("Wedgwood"), "3OT", ["1917"]),
    ("6 parts that contradict", of("Wedgwood"), "4OT", []),
    ("7 cumulative count", of("Rookwood"), "RP + 8 flames", ["1894"]),
    ("8 reset by a new sign", of("Worcester"), "star, 4 dots each side", ["1924"]),
    ("9 a symbol a year", invented([{"kind": "token", "name": "cypher"}], CYPHERS), "bell", ["1931"]),
    ("10 numerals with offset", of("Derby"), "XII", ["1949"]),
    ("11 number with offset", of("Walker"), "5-49", ["1971"]),
    ("12 place in a text", of("Copenhagen"), "dot over the 13th letter", ["1947"]),
    ("12 letters repeat", of("Copenhagen"), "bar above N", ["1944", "1949"]),
    ("13 missing element", of("Syracuse"), "91 with the fourth dot missing", ["1962-04"]),
    ("16 no code in the right style", of("Worcester"), "none", []),
    ("17 half year", invented([YEAR2, {"kind": "token", "name": "half"}], HALVES), "27B", ["[1927-07..1927-12]"]),
    ("17 quarter", invented([YEAR2, {"kind": "token", "name": "half"}], HALVES), "27C", ["[1927-01..1927-03]"]),
    ("18 dots for the month", of("KPM"), "Q + 3 dots", ["1916-03"]),
    ("18 dots not read", of("KPM"), "Q", ["1916"]),
    ("19 handbooks disagree", of("Copenhagen"), "two bars above R A", ["[2000..2004]", "[2000..2005]"]),
]


@pytest.mark.parametrize(("schemes", "code", "expected"), [case[1:] for case in CASES], ids=[c[0] for c in CASES])
def test_kinds(schemes, code, expected):
    assert dates(code, schemes) == expected


def test_14_the_order_of_the_fields_tells_the_plant():
    court, fayette = decode("8-GG", of("Syracuse")), decode("GG-8", of("Syracuse"))
    assert court[0].fields == {"plant": "Court Street"}
    assert fayette[0].fields == {"plant": "Fayette Street"}
    assert court[0].spans == fayette[0].spans == ((1952, 1952, "1952-08"),)


def test_15_frame_and_technique_are_part_of_the_token():
    rows = [
        {
            "id": "ring",
            "maker": POTTERY,
            "span_from": 1910,
            "span_to": 1919,
            "frame": "circle",
            "technique": "impressed",
        },
        {"id": "bare", "maker": POTTERY, "span_from": 1920, "span_to": 1929, "frame": "plain", "technique": "printed"},
    ]
    field = {"position": 1, "kind": "number", "name": "year", "gives": "year", "width": 1}
    schemes = build_schemes(
        rows, [{**field, "scheme": "ring", "base": 1910}, {**field, "scheme": "bare", "base": 1920}], []
    )
    assert dates("4", schemes) == ["1914", "1924"]
    assert dates("4", schemes, frame="circle") == ["1914"]
    assert dates("4", schemes, frame="plain") == ["1924"]
    assert dates("4", schemes, technique="incised") == ["1914"]
    assert dates("4", schemes, technique="stamped") == ["1924"]


def test_16_no_code_is_a_token_only_with_the_style_of_its_mark():
    worcester = of("Worcester")
    assert dates("none", worcester, style="ROYAL WORCESTER ENGLAND / crown") == ["1891", "[1942..1948]"]
    assert dates("none", worcester, style="ROYAL WORCESTER / MADE IN ENGLAND") == ["[1942..1948]"]
    assert dates("none", worcester) == []


def test_20_fields_that_are_no_date_are_kept():
    assert decode("11M53", of("Wedgwood"))[0].fields == {"potter": "M"}
    assert decode("14 flames XXI, 369E", of("Rookwood"))[0].fields == {"shape": "369", "size": "E"}
    assert decode("5-49", of("Walker"))[0].fields == {"first number": "5"}


def test_21_outside_the_span_is_a_contradiction_and_no_date():
    (reading,) = decode("91-C", of("Syracuse"))
    assert reading.spans == ()
    assert reading.problems == ("outside the scheme's span: a contradiction, not a date",)


def test_a_skipped_letter_is_probably_a_misreading():
    reading = next(r for r in decode("F", of("Worcester")) if r.problems)
    assert (reading.spans, reading.problems) == ((), ("letter F was skipped: probably a misreading",))


def test_a_lost_sign_makes_later_years_less_likely_ones():
    (reading,) = decode("12 flames", of("Rookwood"))
    assert reading.spans == ((1898, 1898, "1898"),)
    assert [(first, last) for _, first, last in reading.later] == [(1899, 1899), (1900, 1900)]
    weights = [weight for weight, *_ in reading.later]
    assert 0 < weights[1] < weights[0] < 0.2


def test_the_numeral_decides_over_a_miscount():
    (reading,) = decode("16 flames over XVII", of("Rookwood"))
    assert reading.spans == ((1917, 1917, "1917"),)
    assert reading.problems == ("flames: 16 read where 14 is expected: a miscount or a misreading",)


@pytest.mark.parametrize(
    ("maker", "code", "expected"),
    [
        ("Rookwood", "RP + ? flames", ["[1886..1900]"]),
        ("Rookwood", "14 flames + X?", ["1911", "1915", "1920", "1940"]),
        ("Rookwood", "14 flames + XX?", ["1921", "1925", "1930"]),
        ("Wedgwood", "TO?", [f"{year}-06" for year in range(1860, 1908)]),
        ("Wedgwood", "?M53", ["[1953-01..1953-09]"]),
        ("Wedgwood", "11M5?", [f"195{year}-11" for year in range(10)]),
        ("Wedgwood", "3?", ["[1930..1939]"]),
        ("Copenhagen", "bar above ?", ["[1935..1949]"]),
    ],
)
def test_an_unreadable_character_is_every_one_that_fits(maker, code, expected):
    assert dates(code, of(maker)) == expected


@pytest.mark.parametrize(
    "code",
    ["star, 4 dots each side", "star + 8 dots", "* ••••••••", "star 4+4 dots", "★ with eight dots", "Star, 8 points"],
)
def test_signs_as_words_or_as_signs(code):
    assert dates(code, of("Worcester")) == ["1924"]


def test_small_letters_are_read_as_capitals_only_where_nothing_else_reads_them():
    assert decode("tot", of("Wedgwood"))[0].problems == ("read as capitals",)
    assert dates("a", of("Worcester")) == ["1890"]
    assert dates("A", of("Worcester")) == ["1867"]


@pytest.mark.parametrize("code", ["", "   "])
def test_nothing_is_refused(code):
    with pytest.raises(BadInput, match="the date code is empty: type what stands there"):
        decode(code, builtin_schemes())


def test_too_long_is_refused():
    with pytest.raises(BadInput, match="201 characters is too long: at most 200 are read"):
        decode("1" * 201, builtin_schemes())


def test_all_faults_of_the_rows_are_told_together():
    schemes = [
        {"id": "a", "maker": POTTERY, "span_from": 1930, "span_to": 1920, "weight": "heavy"},
        {"id": "a", "maker": POTTERY, "span_from": "x", "span_to": 1920, "alternative_of": "zz", "scan": "all"},
    ]
    fields = [
        {"scheme": "a", "position": 1, "kind": "runes", "name": "r", "gives": "luck"},
        {"scheme": "b", "position": 1, "kind": "number", "name": "n"},
        {"scheme": "a", "position": 2, "kind": "count", "name": "c", "min": 9, "max": 3, "width": "0"},
    ]
    tokens = [{"scheme": "a", "field": "none such", "token": "X", "value": "month 13"}]
    with pytest.raises(BadInput, match="cannot be used") as caught:
        build_schemes(schemes, fields, tokens)
    for text in (
        "'1930' to '1920' is no span",
        "weight is 'heavy', expected a number",
        "'x' to '1920' is no span",
        "alternative_of names 'zz', which is no scheme",
        "scan is 'all', expected one of part, line, across, apart",
        "its id is empty or given twice",
        "kind is 'runes', expected one of literal",
        "gives is 'luck'",
        "there is no scheme 'b'",
        "a field of kind count needs sign",
        "min 9 and max 3 are no range",
        "width is '0', expected 1 to 4",
        "tokens of a/none such: there is no such field",
        "value is 'month 13', expected such as 'month 6'",
    ):
        assert text in str(caught.value)
