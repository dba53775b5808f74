"""Every date-code row and example that was read in a source, decoded from the tables."""

import csv
from collections import defaultdict
from pathlib import Path

import pytest

from footring.marks.datecode_dates import between, edtf, merged
from footring.marks.datecodes import DateCodeReading, builtin_schemes, decode

PUBLISHED = Path(__file__).parent.parent / "published"
# The source of each row is in its column `source`; rows whose status begins with "opened" were read there.
ROWS = list(csv.DictReader((PUBLISHED / "datecode_rows.csv").read_text("utf-8").splitlines()))
EXAMPLES = list(csv.DictReader((PUBLISHED / "datecode_examples.csv").read_text("utf-8").splitlines()))

SHORT = {"Villeroy & Boch Mettlach": "Mettlach", "Copeland / Spode": "Copeland"}


def schemes_of(factory: str):
    named = [s for s in builtin_schemes() if SHORT.get(factory, factory) in s.maker]
    assert named, factory
    return named


def of_most_weight(readings: list[DateCodeReading]) -> list[DateCodeReading]:
    """Where handbooks disagree, the reading of the one whose rows these are."""
    most = max((r.weight for r in readings if r.alternative_of), default=0)
    return [r for r in readings if not r.alternative_of or r.weight == most]


def years(readings) -> set[int]:
    return {year for r in readings for first, last, _ in r.spans for year in range(first, last + 1)}


def by_code() -> dict[tuple[str, str, str], list[dict[str, str]]]:
    codes = defaultdict(list)
    for row in ROWS:
        codes[row["factory"], row["code"], row["style"]].append(row)
    return codes


@pytest.mark.parametrize(("code", "rows"), by_code().items(), ids=lambda x: "-".join(x) if isinstance(x, tuple) else "")
def test_a_code_gives_just_the_dates_of_its_rows(code, rows):
    factory, text, style = code
    found = of_most_weight(decode(text, schemes_of(factory), style=style or None))
    spans = merged(between(row["date_from"], row["date_to"]) for row in rows)
    expected = {year for first, last in spans for year in range(first // 12, last // 12 + 1)}
    assert years(found) == expected
    if any("-" in row["date_from"] for row in rows):
        assert [e for r in found for *_, e in r.spans] == [edtf(span) for span in spans]


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row["code"])
def test_examples_whole(row):
    found = decode(row["code"], schemes_of(row["factory"]))
    assert ";".join(sorted(e for r in of_most_weight(found) for *_, e in r.spans)) == row["expected"]


def test_every_row_that_was_opened_is_there():
    statuses = [row["status"] for row in ROWS]
    assert len(ROWS) == 271
    assert sum(status.startswith("opened") for status in statuses) == 265
    assert {s for s in statuses if not s.startswith("opened")} == {
        "derived from the cycle (row cut off in the opened table)"
    }


def test_what_was_derived_says_so():
    assert decode("TON", schemes_of("Wedgwood"))[0].status == "derived from the cycle"
    assert decode("TOO", schemes_of("Wedgwood"))[0].status == "opened"
    assert decode("bar below letter 5", schemes_of("Royal Copenhagen"))[0].status.startswith("derived")


def test_handbooks_that_disagree_are_both_shown():
    one, other = decode("3 teeth from the right", schemes_of("Mettlach"))
    assert [e for *_, e in one.spans] == ["1893"]
    assert [e for *_, e in other.spans] == ["[1881..1886]", "[1893..1904]"]
    assert one.alternative_of == (other.scheme,)
    assert one.weight > other.weight
    assert {e for r in decode("two bars above R and A", schemes_of("Royal Copenhagen")) for *_, e in r.spans} == {
        "[2000..2004]",
        "[2000..2005]",
    }


# Marks as transcribed by a museum: Cooper Hewitt, Smithsonian Design Museum, CC0 (the objects' own records).
MUSEUM = [
    ("Wedgwood", "11M53", "1953-11"),
    ("Wedgwood", "2S53", "1953-02"),
    ("Wedgwood", "6M54", "1954-06"),
    ("Wedgwood", "9S54", "1954-09"),
    ("Wedgwood", "11h35", "1935-11"),
    ("Rookwood", "RP cipher with 12 flames, 856 C", "1898"),
    ("Rookwood", "Rookwood cipher with 14 flames / XXI; 369E", "1921"),
    ("Rookwood", "RP cipher with 14 flames, XVI beneath", "1916"),
]


@pytest.mark.parametrize(("factory", "code", "expected"), MUSEUM)
def test_museum_transcriptions(factory, code, expected):
    assert [e for r in decode(code, schemes_of(factory)) for *_, e in r.spans] == [expected]


def test_a_code_later_than_its_railway_is_told_plainly():
    # rrcommissary.com: 5-49 on ware of a railway gone since 1964; the contradiction is for the reasoning to find.
    (reading,) = decode("5-49", schemes_of("Walker China"))
    assert reading.spans == ((1971, 1971, "1971"),)
    assert reading.problems == ()


def test_no_row_is_said_to_be_opened_that_was_derived():
    tokens = {
        (token.text, year): token.status
        for scheme in schemes_of("Wedgwood")
        for way in scheme.ways
        for field in way
        for found in field.tokens.values()
        for token in found
        for first, last in token.dates or ()
        if field.name == "year letter"
        for year in range(first // 12, last // 12 + 1)
    }
    for row in ROWS:
        if row["published_scheme"].startswith("third letter"):
            status = tokens[row["published_token"], int(row["date_from"])]
            assert status.startswith("opened") == row["status"].startswith("opened")
