"""Wording rules: each fires on its own example, no trap is taken for a mark, and what one implies is not counted twice."""

import itertools
import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.marks.foot import Foot, MarkPart
from footring.marks.transcription import parse_mark
from footring.marks.wording import MEMORY_FLOOR_LIMIT, evidence, rules
from footring.terms.tables import read_table

YEARS = np.arange(1780, 2011)
TABLE = read_table("footring.marks", "wording.csv")
COUNTRIES = read_table("footring.marks", "country_words.csv")
TRAPS = read_table("footring.marks", "traps.csv")
RULES = {rule.id: rule for rule in rules()}


def _fired(text, **told):
    return [item.rule for item in evidence(Foot(parse_mark(text), **told))]


def _lowest(items, date="decorated"):
    """Likelihood over the years as the reasoning takes it: the lowest of each family, families multiplied."""
    families = {}
    for item in items:
        if date in item.speaks_of:
            families.setdefault(item.family, []).append(item.likelihood(YEARS))
    return np.prod([np.minimum.reduce(of) for of in families.values()] or [np.ones(len(YEARS))], axis=0)


# ---- the table


def test_every_event_is_a_row_and_says_why_when_it_is_not_used():
    assert len(TABLE) == len({row["id"] for row in TABLE}) == 85
    for row in TABLE:
        usable = bool(row["words"] or row["regex"] or row["on"] == "absent")
        assert usable != bool(row["unused"]), row["id"]
        assert row["says"] and row["status"] in ("opened", "memory"), row["id"]
        assert not usable or (row["family"] and row["example"] and (row["from"] or row["to"])), row["id"]


@pytest.mark.parametrize("row", [row for row in TABLE if row["status"] == "memory"], ids=lambda row: row["id"])
def test_memory_says_so_and_is_wider(row):
    assert row["says"].endswith("(from memory)")
    rule = RULES.get(row["id"])
    if rule:
        told = float(row["soft_before"] or 0)
        assert rule.window.first is None or rule.window.soft_before == max(2 * told, told + 2)
        assert rule.share <= max(MEMORY_FLOOR_LIMIT, float(row["floor"] or 0))
        opened = [
            r
            for r in rules()
            if r.row["strength"] == row["strength"]
            and "memory" not in r.row["date_status"]
            and r.row["status"] == "opened"
            and not r.row["floor"]
        ]
        assert row["floor"] or all(rule.share == pytest.approx(min(2 * r.share, 0.3)) for r in opened)


@pytest.mark.parametrize("rule", rules(), ids=lambda rule: rule.id)
def test_every_rule_fires_on_its_example(rule):
    assert rule.id in _fired(rule.row["example"])


@pytest.mark.parametrize("rule", [rule for rule in rules() if rule.row["words"]], ids=lambda rule: rule.id)
@pytest.mark.parametrize("change", ["lower", "breaks", "title"])
def test_case_and_line_breaks_make_no_difference(rule, change):
    example = rule.row["example"]
    text = {"lower": example.lower(), "title": example.title(), "breaks": example.replace(" ", " / ")}[change]
    part = MarkPart(text, lettering=rule.on != "description")
    assert rule.id in [item.rule for item in evidence(Foot((part,)))]


@pytest.mark.parametrize(
    "word", sorted({len(rule.row["example"]): rule.id for rule in rules() if rule.row["words"]}.values())
)
def test_one_unreadable_letter_in_a_long_wording_is_forgiven(word):
    example = RULES[word].row["example"]
    for i, c in enumerate(example):
        if len(example) >= 10 and c.isalpha():
            part = MarkPart(example[:i] + "?" + example[i + 1 :], lettering=RULES[word].on != "description")
            assert word in [item.rule for item in evidence(Foot((part,)))]


@pytest.mark.parametrize("text", ["?????", "??????? ??????", "...", "G?????Y", "MA?? I? ??????D"])
def test_a_mark_of_unreadable_letters_says_nothing(text):
    assert _fired(text) == []


# ---- countries and traps


@pytest.mark.parametrize("row", COUNTRIES, ids=lambda row: row["word"])
def test_made_in_any_country(row):
    assert "MADE-IN-CONV" in _fired(f"QUILLOW & TARN / MADE IN {row['word']}")


@pytest.mark.parametrize(
    "row", [row for row in COUNTRIES if not row["only_after_made_in"]], ids=lambda row: row["word"]
)
def test_the_american_rule_asks_for_english_words_of_other_countries(row):
    english = row["in_english"] == "yes" and row["country"] != "United States"
    assert ("US-ORIGIN-1891" in _fired(f"QUILLOW & TARN / {row['word']}")) == english


@pytest.mark.parametrize("row", TRAPS, ids=lambda row: row["id"])
def test_no_trap_is_taken_for_a_mark(row):
    assert [item.reading for item in evidence(Foot(parse_mark(row["example"]))) if item.family == row["family"]] in (
        [],
        ["U.S.A."],
    )


@pytest.mark.parametrize(
    ("text", "rule", "fires"),
    [
        ("Royal Doulton England", "US-ORIGIN-1891", True),
        ("Royal Copenhagen / Denmark", "US-ORIGIN-1891", True),
        ("Royal Copenhagen / Denmark", "UK-ROYALNAME", False),
        ("Bank of England", "US-ORIGIN-1891", False),
        ("Bank of England / Quillow & Tarn / England", "US-ORIGIN-1891", True),
        ("New England Pottery", "US-ORIGIN-1891", False),
        ("Bone China / England", "US-ORIGIN-1891", True),
        ("English Bone China", "US-ORIGIN-1891", False),
        ("English Bone China", "UK-BONECHINA", True),
        ("Syracuse China", "US-ORIGIN-1891", False),
        ("Real Ironstone China", "US-ORIGIN-1891", False),
        ("Made in China", "US-ORIGIN-1891", True),
        ("CHINA", "US-ORIGIN-1891", False),
        ("Turkey pattern", "US-ORIGIN-1891", False),
        ("Dresden", "US-ORIGIN-1891", False),
        ("A. England", "US-ORIGIN-1891", False),
        ("A. England / England", "US-ORIGIN-1891", True),
        ("Mrs. Holland", "US-ORIGIN-1891", False),
        ("France & Sons", "US-ORIGIN-1891", False),
        ("Old Japan", "JP-JAPAN", False),
        ("By Royal Appointment", "UK-ROYALNAME", False),
        ("By Royal Appointment / Royal Quillow", "UK-ROYALNAME", True),
        ("Limited Edition", "UK-LTD", False),
        ("Quillow & Tarn Ltd.", "UK-LTD", True),
        ("Fired in Tarn's oven", "OVENPROOF", False),
        ("Ovenware Pottery", "OVENPROOF", False),
        ("Not ovenproof", "OVENPROOF", False),
        ("Ovenproof", "OVENPROOF", True),
        ("Do not microwave", "MICROWAVE", False),
        ("T. M. 1931", "US-TM-SIGN", False),
        ("MEISSEN / BAVARIA", "US-COUNTRY-IS-STATE", True),
        ("BAVARIA / GERMANY", "US-COUNTRY-IS-STATE", False),
        ("AUSTRIA", "AT-AUSTRIA", False),
        ("CARLSBAD / AUSTRIA", "AT-AUSTRIA", True),
        ("20 cm", "METRIC-UK", False),
        ("MADE IN ENGLAND / 20 cm", "METRIC-UK", True),
        ("Ital?a", "US-ORIGIN-1891", False),
        ("CECHOSLOVAKIA", "CZ-CZECHOSLOVAKIA", True),
    ],
)
def test_what_is_a_mark_and_what_is_a_name(text, rule, fires):  # common practice, no source
    assert (rule in _fired(text)) == fires


def test_a_country_known_apart_from_the_mark_is_no_wording():
    assert _fired("QUILLOW & TARN", country="United Kingdom") == []


# ---- absent and not looked at


def test_absence_counts_only_when_said_and_then_weakly():
    assert evidence(Foot()) == []
    assert _fired("QUILLOW & TARN") == []
    (item,) = evidence(Foot(parse_mark("none")))
    assert item.rule == "US-ORIGIN-ABSENT"
    assert item.likelihood(YEARS).min() >= 0.5
    assert "US-ORIGIN-ABSENT" not in [
        e.rule for e in evidence(Foot(parse_mark("printed mark none; impressed: ENGLAND")))
    ]


# ---- what it bears on


@pytest.mark.parametrize(
    ("technique", "date"),
    [("impressed", "potted"), ("raised", "potted"), ("printed", "decorated"), (None, "decorated"), ("label", "sold")],
)
def test_the_date_is_that_of_the_part(technique, date):
    # a label may be left over from a sister line: it speaks of the sale alone (common practice, no source)
    (part,) = (MarkPart("ENGLAND", technique=technique),)
    assert {item.speaks_of for item in evidence(Foot((part,)))} == {(date,)}


def test_a_warning_label_speaks_of_the_sale_however_it_was_put_on():
    (item,) = evidence(Foot((MarkPart("PROPOSITION 65", technique="printed"),)))
    assert item.speaks_of == ("sold",)


def test_one_rule_counts_once_for_a_date_and_again_for_another():
    twice = Foot((MarkPart("ENGLAND"), MarkPart("ENGLAND"), MarkPart("ENGLAND", technique="impressed")))
    found = [item.speaks_of for item in evidence(twice) if item.rule == "US-ORIGIN-1891"]
    assert sorted(found) == [("decorated",), ("potted",)]


# ---- implied wording


def test_an_implied_wording_is_never_the_tighter_one():
    pairs = [
        (a, b)
        for a, b in itertools.permutations([rule for rule in rules() if rule.on != "absent"], 2)
        if a.family == b.family
        and b.row["example"] != a.row["example"]
        and b.row["example"] in a.row["example"]
        and b.id in _fired(a.row["example"])
    ]
    assert {(a.id, b.id) for a, b in pairs} >= {("MADE-IN-CONV", "US-ORIGIN-1891"), ("US-ZIP4", "US-ZIP")}
    for a, b in pairs:
        here, implied = (rule.evidence("", 0, ("decorated",)).likelihood(YEARS) for rule in (a, b))
        assert (implied >= here - 1e-12).all(), (a.id, b.id)


IMPLIED = [
    ("MADE IN OCCUPIED JAPAN", "JAPAN"),
    ("MADE IN OCCUPIED JAPAN", "MADE IN JAPAN"),
    ("MADE IN ENGLAND", "ENGLAND"),
    ("MADE IN WEST GERMANY", "GERMANY"),
    ("MADE IN WEST GERMANY", "MADE IN GERMANY"),
    ("MADE IN GERMANY US ZONE", "GERMANY"),
    ("MADE IN CZECHOSLOVAKIA", "CZECHOSLOVAKIA"),
    ("BRITISH HONG KONG", "HONG KONG"),
    ("NORTHERN IRELAND", "IRELAND"),
    ("MADE IN U.S.A.", "U.S.A."),
    ("TRENTON, N.J. 08601-1234", "TRENTON, N.J. 08601"),
]


@pytest.mark.parametrize(("wording", "implied"), IMPLIED)
def test_adding_what_the_mark_implies_changes_nothing(wording, implied):
    alone, both = (evidence(Foot(tuple(MarkPart(text) for text in texts))) for texts in ([wording], [wording, implied]))
    assert np.abs(_lowest(both) - _lowest(alone)).max() <= 1e-12


# ---- any mark


PARTS = st.lists(
    st.builds(
        MarkPart,
        st.sampled_from([row["example"] for row in TABLE if row["example"]]) | st.text(max_size=20),
        lettering=st.booleans(),
        technique=st.sampled_from([None, "impressed", "printed", "label"]),
    ),
    max_size=5,
)


@settings(max_examples=300)
@given(PARTS.flatmap(lambda parts: st.tuples(st.just(parts), st.permutations(parts))))
def test_the_order_of_parts_changes_nothing(both):
    def told(parts):
        return {(e.rule, e.speaks_of, e.windows, e.floor, e.family) for e in evidence(Foot(tuple(parts)))}

    assert told(both[0]) == told(both[1])


@pytest.mark.parametrize(
    "piece", ["MADE IN ", "?", " ", "...", "U.S.A. ", "(C) ", "A, CA ", "PAT. APR. ", "JOHN ", "20 CM "]
)
def test_hostile_lettering_takes_linear_time(piece):
    foot = Foot((MarkPart((piece * 10_000)[:10_000]),))
    evidence(Foot((MarkPart(piece),)))
    began = time.perf_counter()
    evidence(foot)
    assert time.perf_counter() - began < 2
