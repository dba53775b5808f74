"""Marks as typed and as museums write them.

`transcriptions.csv`: transcriptions of Cooper Hewitt, Smithsonian Design Museum and Williams College Museum of Art
(CC0 1.0); the parts expected were read off each transcription by hand.
`tests/gold/museum_marked.csv`: all transcriptions of the same data, with Carnegie Museum of Art (CC0 1.0).
"""

import csv
import time
from itertools import groupby
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.marks.foot import IN_CLAY, ON_TOP
from footring.marks.transcription import MOST_CHARACTERS, parse_mark, technique_named
from footring.terms.errors import BadInput
from footring.terms.tables import read_table

HERE = Path(__file__).parent
GLAZE = {"under": True, "over": False, "": None}


def _rows(path):
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


EXPECTED = [list(of) for _, of in groupby(_rows(HERE / "transcriptions.csv"), key=lambda row: row["object_id"])]
MUSEUM = [row["mark_text"] for row in _rows(HERE.parent / "gold" / "museum_marked.csv")]


@pytest.mark.parametrize("rows", EXPECTED, ids=lambda rows: rows[0]["object_id"])
def test_a_museum_transcription_gives_these_parts(rows):
    found = parse_mark(rows[0]["mark_text"])
    assert [
        (p.text, p.lettering, p.technique, p.colour, p.place, p.under_glaze, p.doubtful, p.absent) for p in found
    ] == [
        (
            row["part"],
            row["lettering"] == "yes",
            row["technique"] or None,
            row["colour"] or None,
            row["place"] or None,
            GLAZE[row["glaze"]],
            row["doubtful"] == "yes",
            row["absent"] == "yes",
        )
        for row in rows
    ]


def test_every_museum_transcription_is_read():
    assert len(MUSEUM) == 305
    for text in MUSEUM:
        parts = parse_mark(text)
        assert parts, text
        nested = "La luna" in text or "LINTHORPE" in text
        assert all(nested or '"' not in part.text for part in parts), text
        assert all(part.technique in IN_CLAY | ON_TOP | {"label", None} for part in parts), text


@pytest.mark.parametrize("text", sorted({text for text in MUSEUM if text.count('"') == 2}))
def test_quoted_lettering_is_kept_letter_for_letter(text):
    quoted = text.split('"')[1]
    letters = [c for c in quoted.split("[")[0] if c.isalnum()]
    read = [c for part in parse_mark(text) if part.lettering for c in part.text if c.isalnum()]
    assert "".join(letters) in "".join(read)


# ---- as typed


def test_a_mark_as_typed_is_one_part_as_it_stands():
    (part,) = parse_mark("QUILLOW & T?RN / ORMSLEY / MADE IN ENGLAND")
    assert part.text == "QUILLOW & T?RN / ORMSLEY / MADE IN ENGLAND"
    assert (part.lettering, part.technique, part.colour, part.place, part.under_glaze) == (True, None, None, None, None)


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("ORMSLEY\nMADE IN ENGLAND", [("ORMSLEY / MADE IN ENGLAND", True, None)]),
        ("HAND PAINTED / MADE IN JAPAN", [("HAND PAINTED / MADE IN JAPAN", True, None)]),
        ("PRINTED IN ENGLAND", [("PRINTED IN ENGLAND", True, None)]),
        ("Impressed 417", [("417", True, "impressed")]),
        ("impressed: 417", [("417", True, "impressed")]),
        ("QUILLOW & TARN; impressed: 417", [("QUILLOW & TARN", True, None), ("417", True, "impressed")]),
        ("QUILLOW & TARN / crown / WHERRY", [("QUILLOW & TARN / WHERRY", True, None), ("crown", False, None)]),
        ("crown over QUILLOW & TARN", [("crown over QUILLOW & TARN", False, None), ("QUILLOW & TARN", True, None)]),
        ('LARDER 10 1/2"', [('LARDER 10 1/2"', True, None)]),
        ("3/417", [("3/417", True, None)]),
        ("QUILLOW ... / 4?7", [("QUILLOW ... / 4?7", True, None)]),
        ("RP cipher with 14 flames, XXI", [("RP cipher with 14 flames, XXI", False, None)]),
    ],
)
def test_typed_marks(text, parts):
    assert [(p.text, p.lettering, p.technique) for p in parse_mark(text)] == parts


@pytest.mark.parametrize("text", ["none", "None.", "unmarked", "no mark", "Base: none"])
def test_looked_for_and_absent(text):
    (part,) = parse_mark(text)
    assert part.absent and part.text == ""


def test_absence_of_one_kind_says_nothing_of_another():
    absent, present = parse_mark("printed mark none; impressed 12")
    assert (absent.absent, absent.technique) == (True, "printed")
    assert (present.absent, present.text, present.technique) == (False, "12", "impressed")


@pytest.mark.parametrize("text", ["", "   ", "\n"])
def test_nothing_typed_is_not_looked_at(text):
    assert parse_mark(text) == ()


# ---- words of the table


@pytest.mark.parametrize(
    "row",
    [row for row in read_table("footring.marks", "mark_words.csv") if row["kind"] == "technique"],
    ids=lambda row: row["word"],
)
def test_every_technique_word_is_read_beside_a_quote(row):
    assert technique_named(row["word"]) == row["value"]
    assert parse_mark(f'{row["word"]}: "ORMSLEY"')[0].technique == row["value"]


@pytest.mark.parametrize("colour", ["green", "blue green", "dark brown", "greenish-black"])
@pytest.mark.parametrize(("glaze", "under"), [("underglaze", True), ("overglaze", False), ("", None)])
def test_colour_and_glaze(colour, glaze, under):
    (part,) = parse_mark(f'On base, printed in {colour} {glaze}: "ORMSLEY"')
    assert (part.technique, part.place, part.under_glaze) == ("printed", "base", under)
    assert part.colour == colour.replace("greenish-", "greenish ")


def test_an_unknown_technique_says_what_was_expected():
    with pytest.raises(BadInput, match="no way of marking is called 'quilled': expected impressed, incised"):
        technique_named("quilled")


def test_curly_quotes_are_quotes():
    curly, straight = "\u201cORMSLEY\u201d; impressed: \u201e417\u201c", '"ORMSLEY"; impressed: "417"'
    assert parse_mark(curly) == parse_mark(straight)


# ---- anything typed


def test_too_long_a_mark_says_how_much_is_read():
    with pytest.raises(BadInput, match=r"a mark of 10,001 characters is too long: at most 10,000"):
        parse_mark("A" * (MOST_CHARACTERS + 1))


WORDS = [row["word"] for row in read_table("footring.marks", "mark_words.csv")]
PIECES = st.sampled_from(
    [
        '"',
        "\u201c",
        "\u201d",
        "'",
        ":",
        ";",
        " / ",
        "/",
        "||",
        "(",
        ")",
        "[",
        "]",
        "[?]",
        "(?)",
        "?",
        "...",
        ". ",
        ", ",
        " ",
        "\n",
        "ORMSLEY",
        "417",
        "none",
        "\x00",
        "ß",
        "\u0130",
        "\U0001f3fa",
        *WORDS,
    ]
)


@settings(max_examples=10_000)
@given(st.lists(PIECES | st.text(max_size=4), max_size=30).map("".join))
def test_no_mark_raises(text):
    for part in parse_mark(text):
        assert part.text or part.absent
        assert not (part.absent and part.text)


HOSTILE = [
    '"',
    '("',
    '"a; ',
    '"a; "',
    "a: ",
    "[?]",
    " / ",
    'in red "A" ',
    "A ",
    "(",
    ". A",
    "base ",
    '"a. On b ',
    '" / x',
    "||",
    "[",
    "1 [?]",
    "crown, ",
    "A" * 3 + "/",
    "?",
    "\u0130",
    "of the ",
    "A-",
]


@pytest.mark.parametrize("piece", HOSTILE)
def test_hostile_marks_take_linear_time(piece):
    whole = (piece * MOST_CHARACTERS)[:MOST_CHARACTERS]
    parse_mark(piece)
    began = time.perf_counter()
    parse_mark(whole)
    assert time.perf_counter() - began < 1.5
