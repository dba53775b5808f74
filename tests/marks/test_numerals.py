"""Figures sorted by kind. The figures of the table are common practice, no source: what is checked is what a collector
expects of plain cases, and what must hold whatever the figures."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.marks.foot import Foot, MarkPart
from footring.marks.numerals import numerals, sort_numeral
from footring.marks.transcription import parse_mark
from footring.terms.tables import read_table

ROWS = read_table("footring.marks", "numeral_kinds.csv")
KINDS = {row["kind"] for row in ROWS}


def _likeliest(text, **told):
    kinds = sort_numeral(text, **told)
    return max(kinds, key=kinds.get)


def test_every_value_has_a_figure_for_every_kind():
    assert KINDS == set("decoration,mould,size,capacity,worker,gilder,date,registration,later pencil".split(","))
    for feature, value in {(row["feature"], row["value"]) for row in ROWS}:
        told = [row["kind"] for row in ROWS if (row["feature"], row["value"]) == (feature, value)]
        assert sorted(told) == sorted(KINDS), (feature, value)
    assert all(0 < float(row["p"]) <= 1 for row in ROWS)
    assert math.isclose(sum(float(row["p"]) for row in ROWS if row["feature"] == "prior"), 1.0)


@pytest.mark.parametrize(
    ("text", "told", "kind"),
    [
        ("417", {"before": "Dec. "}, "decoration"),
        ("257", {"before": "DEK. ", "colour": "black"}, "decoration"),
        ("396", {"before": "Form ", "colour": "black"}, "mould"),
        ("151", {"before": "Mod ", "technique": "impressed"}, "mould"),
        ("2447", {"technique": "impressed"}, "mould"),
        ("314901", {"before": "Rd. No "}, "registration"),
        ("12", {"after": " oz"}, "capacity"),
        ("8", {"after": " in."}, "size"),
        ("7", {"technique": "painted", "colour": "gold"}, "gilder"),
        ("49", {"technique": "pencilled", "colour": "black"}, "later pencil"),
        ("12-62", {"colour": "green"}, "date"),
        ("D501", {"technique": "painted", "colour": "red"}, "decoration"),
    ],
)
def test_plain_cases(text, told, kind):  # common practice, no source
    assert _likeliest(text, **told) == kind


ANY = st.none() | st.sampled_from(["impressed", "painted", "gold", "black", "lid", "jug", "nonsense"])


@given(st.text(max_size=8), ANY, ANY, ANY, ANY, st.text(max_size=30), st.text(max_size=30))
def test_chances_sum_to_one(text, technique, colour, place, form, before, after):
    kinds = sort_numeral(text, technique=technique, colour=colour, place=place, form=form, before=before, after=after)
    assert set(kinds) == KINDS
    assert math.isclose(math.fsum(kinds.values()), 1.0)


def test_what_the_table_does_not_hold_changes_nothing():
    assert sort_numeral("417", technique="quilled", colour="plaid", place="ear", form="wherry") == sort_numeral("417")


def test_two_features_multiply_as_bayes_says():
    """Slow twin: prior times one figure a feature, straight from the table."""
    table = {(row["kind"], row["feature"], row["value"]): float(row["p"]) for row in ROWS}
    told = [("technique", "impressed"), ("shape", "3 digits")]
    heights = {
        kind: table[kind, "prior", ""] * math.prod(table[kind, feature, value] for feature, value in told)
        for kind in KINDS
    }
    total = sum(heights.values())
    assert sort_numeral("417", technique="impressed") == pytest.approx({k: h / total for k, h in heights.items()})


def test_every_figure_of_a_foot_is_found():
    mark = 'Printed in black: "ORMSLEY / Dec. 417 / 3/417 / 22S-B-1"; impressed: "1 1/2 / 88A"; crown with 14 flames'
    foot = Foot(
        parse_mark(mark), numerals=(MarkPart("12", technique="painted", colour="gold"), MarkPart("", absent=True))
    )
    found = numerals(foot)
    assert [n.text for n in found] == ["417", "3/417", "22S-B-1", "1 1/2", "88A", "12"]
    assert found[-1].part is None
    assert max(found[-1].kinds, key=found[-1].kinds.get) == "gilder"


@given(st.text(max_size=60))
def test_no_lettering_raises(text):
    for numeral in numerals(Foot((MarkPart(text),))):
        assert any(c.isdigit() for c in numeral.text)
