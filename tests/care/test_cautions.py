"""Cautions: what a mark forbids comes first, a maker's claim never clears a piece, and nothing is ever called fit for use."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.care.cautions import cautions
from footring.marks.foot import Foot, MarkPart
from footring.marks.transcription import parse_mark
from footring.terms.tables import read_table

TABLE = read_table("footring.care", "cautions.csv")
NEVER = re.compile(r"\b(safe|safely|passes|passed|genuine|authenticated|worth|harmless|cleared|no danger)\b", re.I)


def _texts(text="", years=None, **told):
    return [caution.text for caution in cautions(Foot(parse_mark(text), **told), years)]


def _triggers(text="", years=None, **told):
    return " | ".join(caution.trigger for caution in cautions(Foot(parse_mark(text), **told), years))


NOTICES = [row for row in TABLE if row["first"] == "yes" and row["where"] == "mark"]


@pytest.mark.parametrize("row", NOTICES, ids=lambda row: row["id"])
def test_every_notice_in_a_mark_is_shown_first(row):
    for words in row["words"].split("|"):
        for mark in (
            words,
            f"QUILLOW & TARN / LARDER / {words} / MADE IN ENGLAND",
            words.lower(),
            words.replace(" ", " / "),
        ):
            told = cautions(Foot((MarkPart(mark),)), (2000, 2010))
            assert told[0].first, (mark, told[0])
            assert row["text"] in [caution.text for caution in told if caution.first], mark


def test_a_notice_spread_over_several_parts_is_read():
    assert _texts('printed: "NOT FOR", "FOOD USE"')[0].startswith("The mark says that the piece is not for food")


def test_a_notice_with_an_unreadable_letter_is_read():
    assert _texts("M?Y POISON FOOD")[0].startswith("The mark says that the piece is not for food")


def test_a_bowl_of_an_oven_line_may_carry_a_not_for_oven_mark():  # common practice, no source
    told = cautions(Foot(parse_mark("LARDER OVENWARE / NOT FOR OVEN"), form="bowl"))
    assert told[0].first and "not for the oven" in told[0].text and "whatever other pieces" in told[0].text


@pytest.mark.parametrize("claim", ["OVENPROOF", "OVEN-TO-TABLE", "FIREPROOF", "FREEZER TO OVEN", "FEUERFEST"])
def test_an_oven_claim_is_repeated_with_its_caution(claim):
    (caution,) = [
        c for c in cautions(Foot(parse_mark(f"LARDER / {claim}"))) if "an oven claim in the mark" in c.trigger
    ]
    assert f'"{claim}"' in caution.trigger
    assert "neither the line nor a base's lid" in caution.text and "crazed" in caution.text
    assert not caution.first


@pytest.mark.parametrize("claim", ["MICROWAVE SAFE", "DISHWASHER SAFE", "LEAD FREE", "BLEIFREI", "BS 4860"])
def test_other_claims_are_the_makers(claim):
    assert any(f'"{claim}"' in c.trigger and "the maker's" in c.text for c in cautions(Foot(parse_mark(claim))))


@pytest.mark.parametrize("mark", ["NOT OVENPROOF", "NOT DISHWASHER SAFE", "NOT MICROWAVE SAFE", "DO NOT MICROWAVE"])
def test_a_notice_is_not_read_as_a_claim(mark):
    assert "claim in the mark" not in _triggers(mark)


def test_no_oven_claim_is_said_as_such():
    assert "no oven claim read" in _triggers("QUILLOW & TARN")
    assert "no oven claim read" in _triggers("NOT OVENPROOF")
    assert "no oven claim read" not in _triggers("OVENPROOF")
    assert "an oven claim" not in _triggers("FIRED IN TARN'S OVEN")


@pytest.mark.parametrize(
    ("years", "shown"), [(None, True), ((1950, 1960), True), ((1985, 1995), True), ((1992, 2000), False)]
)
def test_before_1992_or_undated(years, shown):  # FDA Talk Paper T91-70, 12 November 1991
    assert ("made before 1992" in _triggers(years=years)) == shown


@pytest.mark.parametrize(
    ("years", "shown"), [(None, True), ((1930, 1940), True), ((1900, 1920), False), ((1990, 2000), False)]
)
def test_uranium_glazes_of_their_years(years, shown):
    assert any("uranium" in text for text in _texts(years=years)) == shown


@pytest.mark.parametrize(
    ("told", "trigger"),
    [
        ({"form": "pitcher"}, "a form for pouring or keeping"),
        ({"form": "nursery plate"}, "nursery ware"),
        ({"notes": ("base drilled",)}, "a drilled base"),
        ({"notes": ("hairline by the handle",)}, "damage or crazing noted"),
        ({"notes": ("rim restored",)}, "a repair noted"),
        ({"notes": ("platinum line",)}, "metal trim"),
    ],
)
def test_what_was_noted_of_the_piece(told, trigger):
    assert trigger in _triggers(**told)
    assert trigger not in _triggers()


def test_a_drilled_base_comes_first():
    assert cautions(Foot(notes=("base drilled",)))[0].first


def test_the_minimum_is_always_there():
    always = [row["text"] for row in TABLE if row["where"] == "always"]
    assert len(always) >= 5
    assert set(always) <= set(_texts("OVENPROOF / LEAD FREE", (2000, 2005)))
    assert any("not an assessment" in text and "laboratory" in text and "authority decide" in text for text in always)


@pytest.mark.parametrize("row", TABLE, ids=lambda row: row["id"])
def test_never_a_clearance_and_always_a_source(row):
    assert not NEVER.search(row["text"]), row["text"]
    assert row["source"] and row["trigger"]
    assert row["status"] in ("opened", "memory", "common practice, no source")


@given(st.text(max_size=80), st.none() | st.tuples(st.integers(1780, 1900), st.integers(1900, 2010)))
def test_any_mark_gets_cautions_with_the_first_ones_first(text, years):
    told = cautions(Foot(parse_mark(text)), years)
    assert told
    assert [c.first for c in told] == sorted((c.first for c in told), reverse=True)
    assert all(c.source for c in told)
