from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.marks.number_words import countries_in, find_numbers


def ids(text, countries=()):
    return [(claim.number, *(row["id"] for row in claim.rows)) for claim in find_numbers(text, countries)]


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("ORMSLEY / ENGLAND / Rd. No 314901/ M428 / 160", "314901"),
        ("Rd No 314901 / 16", "314901"),
        ("Rd No / 314901", "314901"),
        ("RD 314901", "314901"),
        ("R.D. NO. 314901", "314901"),
        ("Rº Dº 314901", "314901"),
        ("RdNo314901", "314901"),
        ("Regd. Nº 314 901", "314 901"),
        ("REG'D DESIGN 314,901", "314,901"),
        ("Reg. Des. No. 314901", "314901"),
        ("REGISTERED DESIGN NUMBER 314901.", "314901"),
        ("Rd No 31?9?1", "31?9?1"),
        ("Rd No 3149...", "3149..."),
        ("Rd No 5", "5"),
    ],
)
def test_british_registered_designs(text, number):
    assert ids(text) == [(number, "RD-NO")]


@pytest.mark.parametrize(
    ("text", "number", "row"),
    [
        ("U.S. PATENT No. 1,180,881", "1,180,881", "US-PAT"),
        ("U. S. PAT'D 1180881", "1180881", "US-PAT"),
        ("DES. PAT. 115804", "115804", "US-DES"),
        ("DESIGN PATENT NO. D-96,481", "96,481", "US-DES"),
        ("PAT. D-175422", "175422", "US-DES"),
        ("PAT. D 175422", "175422", "US-DES"),
        ("PAT. DES. 96481", "96481", "US-DES"),
        ("REG. U.S. PAT. OFF. No. 200,000", "200,000", "US-TM-OFFICE"),
        ("BRITISH PATENT 345678", "345678", "GB-PAT"),
        ("D.R.G.M. 123456", "123456", "DE-DRGM"),
        ("D.R.G.M. No 123456", "123456", "DE-DRGM"),
        ("D.R.P. 123456", "123456", "DE-DRP"),
        ("BREVETÉ S.G.D.G. 12345", "12345", "FR-DEPOSE"),
        ("CANADIAN PATENT 123456", "123456", "OTHER-PAT"),
        ("AUST. REGD. DESIGN 12345", "12345", "OTHER-RD"),
        ("PAT. APP. 123456", "123456", "PAT-APPLIED"),
        ("PATENT PENDING No 123456", "123456", "PAT-APPLIED"),
    ],
)
def test_the_wording_that_begins_first_has_the_number(text, number, row):
    assert ids(text) == [(number, row)]


@pytest.mark.parametrize(
    "text",
    [
        "314901",
        "No 314901",
        "GRAND 314901",
        "Rd 1898",
        "PATENTED 1928",
        "PATENTED JUNE 5 1928",
        "PAT. 6-3-1902",
        "Pat. 11.5.1902",
        "PAT. PEND. / 4170",
        "REGD. U.S. PAT. OFF.",
        "PATENT / 4170",
        "PAT. NO. 12345/09",
        "REG. NO. 12345A",
        "Rd No ???",
        "REGISTERED 314901",
    ],
)
def test_what_is_no_registered_number(text):
    assert ids(text) == []


def test_words_that_leave_the_country_open_are_settled_by_it():
    assert ids("PAT. NO. 2026107") == [("2026107", "PAT-US", "PAT-GB")]
    assert ids("PAT. NO. 2026107", {"us"}) == [("2026107", "PAT-US")]
    assert ids("PAT. NO. 2026107", {"gb"}) == [("2026107", "PAT-GB")]
    assert ids("PAT. NO. 2026107", {"other"}) == []
    assert ids("Rd No 314901", {"other"}) == [("314901", "RD-NO")]


def test_numbers_joined_on():
    found = ids("U.S. PATS. 2,026,107, 2,066,309 & D-96,481, 417")
    assert found == [("2,026,107", "US-PAT"), ("2,066,309", "US-PAT"), ("96,481", "US-DES")]
    assert [number for number, _ in ids("Rd Nos 314901 and 314902 and 16")] == ["314901", "314902"]


def test_countries():
    assert countries_in("MADE IN U.S.A. FOR ORMSLEY, ENGLAND") == {"us", "gb"}
    assert countries_in("BAVARIA") == {"other"}
    assert countries_in("NEW ENGLANDER / JAPANNED") == set()


@given(st.text(alphabet="RDEGISTNOPAUJ.'/:-,&? #0123456789Dº", max_size=120))
def test_any_text_is_read_and_numbers_stand_in_it(text):
    for claim in find_numbers(text):
        assert claim.number in text
        assert claim.rows


def test_long_runs_take_no_long_time():
    for filler in (".", " ", "PAT.", "R.D.", "1,", "?"):
        find_numbers("PAT. NO. " + filler * (8000 // len(filler)))
