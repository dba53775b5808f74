"""Date codes and lettering over the years: what sums to one, what counts once, what must not move."""

from dataclasses import replace
from importlib.resources import files
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from footring.marks.evidence import Evidence, Window
from footring.marks.foot import MarkPart
from footring.marks.readings import feet, read_reading
from footring.packs import load_pack
from footring.reasoning.code_chance import SIGNS, base_rate, code_chance, codes_in_use, slips, valid_chance
from footring.reasoning.code_years import date_code_years, reference_schemes
from footring.reasoning.date_mark import date_foot
from footring.reasoning.gaps import gaps
from footring.reasoning.mark_years import date_rules, new_mark_years
from footring.reasoning.prior import default_prior
from footring.reference import compile_reference

YEARS = np.arange(1780, 2011)
PACK = load_pack(Path(str(files("footring.demo").joinpath("pack")))).tables
REFERENCE = compile_reference(PACK)
SCHEMES = reference_schemes(REFERENCE)
RULES = date_rules(REFERENCE, YEARS, default_prior())
MARK = "QUILLOW & TARN / MADE IN ENGLAND"
ENGLAND = REFERENCE.find("marks", "ossel.m-england")
VALID = [letter + month for letter in "ABCDEFGH" for month in ("", *map(str, range(1, 13)))]


def at(year):
    return year - YEARS[0]


def foot(**named):
    read = (read_reading(name.replace("__", "."), value) for name, value in named.items())
    return feet(r for r in read if r)[None]


def dates(**named):
    return RULES.piece_dates(foot(**named))


# --- codes


def test_the_demo_scheme_dates_c4_to_1934():
    """C is 1934 in the demo's ledger, and 4 its April: invented."""
    chance = valid_chance("C4", SCHEMES[0], YEARS)
    assert chance[at(1934)] == pytest.approx(1 / 13) and chance.sum() == chance[at(1934)]
    assert codes_in_use(SCHEMES[0], 1934, 1).tolist() == [13]


def test_valid_codes_add_up_to_one_in_each_year_of_the_span():
    total = sum(valid_chance(code, SCHEMES[0], YEARS) for code in VALID)
    inside = (YEARS >= 1932) & (YEARS <= 1939)
    assert total[inside] == pytest.approx(1) and (total[~inside] == 0).all()


def test_what_is_read_adds_up_to_one_with_slips_and_what_reads_as_anything():
    """Over every string that a valid code can be read as, by the right reading or one slip."""
    scheme, inside = SCHEMES[0], (YEARS >= 1932) & (YEARS <= 1939)
    strings = {*VALID, *(other for code in VALID for other in slips(code))}
    total = sum(code_chance(code, scheme, YEARS) - scheme.floor * base_rate(code) for code in strings)
    assert total[inside] == pytest.approx(1 - scheme.floor)


def test_strings_that_are_no_code_add_up_to_what_their_lengths_do():
    total = sum(base_rate("".join(signs)) for n in (1, 2) for signs in product(SIGNS, repeat=n))
    assert total == pytest.approx(1 - 0.6**2)


def test_an_unreadable_character_is_summed_over():
    slow = sum(valid_chance(f"C{sign}", SCHEMES[0], YEARS) for sign in SIGNS)
    assert code_chance("C?", SCHEMES[0], YEARS)[at(1934)] == pytest.approx(
        0.99 * slow[at(1934)] + 0.01 * base_rate("C?")
    )
    assert base_rate("C?") == pytest.approx(sum(base_rate(f"C{sign}") for sign in SIGNS))


@pytest.mark.parametrize("code", ["C?", "??", "[C?]4", "C[4?]"])
def test_what_could_not_be_read_well_still_says_the_years_it_may_be(code):
    chance = code_chance(code, SCHEMES[0], YEARS)
    assert chance.argmax() in range(at(1932), at(1940)) and chance[at(1950)] < chance.max() / 10
    assert chance.max() <= 1


def test_a_misread_character_is_possible():
    """6 and G are taken for each other (tables/confusable.csv, from memory): 62 may be G2, of 1938."""
    chance = code_chance("62", SCHEMES[0], YEARS)
    assert chance.argmax() == at(1938)
    assert chance[at(1938)] < code_chance("G2", SCHEMES[0], YEARS)[at(1938)] / 10


def test_a_code_and_none_add_up_to_one_on_every_kind_of_mark():
    """Codes of the scheme with their slips, and every string at its base rate."""
    scheme = SCHEMES[0]
    read, absent = (
        date_code_years(code, False, REFERENCE, SCHEMES, YEARS)["mark_printed"]
        for code in (MarkPart("C4"), MarkPart("", absent=True))
    )
    strings = {*VALID, *(other for code in VALID for other in slips(code))}
    total, seen = absent.by_year[ENGLAND].copy(), 0.0
    for text in sorted(strings):
        total += date_code_years(MarkPart(text), False, REFERENCE, SCHEMES, YEARS)["mark_printed"].by_year[ENGLAND]
        seen += base_rate(text)
    inside = (YEARS >= 1932) & (YEARS <= 1939)
    rest = np.where(inside, 0.85 * 0.9 * scheme.floor + 0.15 * 0.02, 0.02) * (1 - seen)
    assert total + rest == pytest.approx(1)
    assert read.otherwise / base_rate("C4") + absent.otherwise == pytest.approx(1)
    assert read.new / base_rate("C4") + absent.new == pytest.approx(1)


def test_outside_its_span_a_scheme_leaves_the_base_rate():
    code = date_code_years(MarkPart("C4"), False, REFERENCE, SCHEMES, YEARS)["mark_printed"]
    assert code.by_year[ENGLAND][at(1950)] == pytest.approx(code.otherwise)
    assert code.by_year[ENGLAND][at(1934)] > 1000 * code.otherwise
    assert code.dates[ENGLAND] == ("decorated",)


def test_absence_of_a_code_speaks_against_the_years_of_the_scheme_and_rules_nothing_out():
    found = dates(mark=MARK, date_code="none").codes
    assert set(found) == {"mark_in_clay", "mark_printed"}
    by_year = found["mark_printed"].by_year[ENGLAND]
    assert 0.1 < by_year[at(1934)] < by_year[at(1950)] == pytest.approx(found["mark_printed"].otherwise)


def test_a_doubtful_code_says_less():
    sure, doubtful = (dates(date_code=code).codes["mark_printed"].by_year[ENGLAND] for code in ("C4", "C4 ~0.5"))
    assert sure[at(1934)] > doubtful[at(1934)] > doubtful[at(1935)] > 0


def with_scheme(**changes):
    """The demo's reference with its scheme or its England mark changed."""
    tables = {name: list(table.rows()) for name, table in PACK.items()}
    for table, row_id, values in changes.values():
        tables[table] = [replace(row, **values) if row.id == row_id else row for row in tables[table]]
    return date_rules(compile_reference(tables), YEARS, default_prior())


def test_a_code_in_the_mark_counts_once_with_the_same_code_apart():
    rules = with_scheme(scan=("date_code_schemes", "ossel.letters", {"scan": "part"}))
    marked, apart, both = (
        rules.piece_dates(foot(**read)).codes["mark_printed"].by_year[ENGLAND]
        for read in ({"mark": f"{MARK} / C4"}, {"mark": MARK, "date_code": "C4"}, {"mark": f"{MARK} / C4", "date_code": "C4"})
    )  # fmt: skip
    assert np.array_equal(apart, both)
    assert marked / marked.max() == pytest.approx(apart / apart.max())
    found = rules.piece_dates(foot(mark=f"{MARK} / C4")).codes["mark_printed"]
    assert (found.otherwise, found.outside) == (1.0, 1.0)


def test_what_is_part_of_a_recorded_mark_is_no_code():
    lettering = {"lettering": "QUILLOW & TARN / B1 / MADE IN ENGLAND"}
    changes = {
        "scan": ("date_code_schemes", "ossel.letters", {"scan": "part"}),
        "mark": ("marks", "ossel.m-england", lettering),
    }
    assert with_scheme(scan=changes["scan"]).piece_dates(foot(mark="QUILLOW / B1")).codes != {}
    assert with_scheme(**changes).piece_dates(foot(mark="QUILLOW / B1")).codes == {}


def test_a_printed_code_that_dates_the_potting_reaches_the_decorating_by_the_lag():
    rules = with_scheme(dates=("date_code_schemes", "ossel.letters", {"dates": "potted"}))
    decorated = rules.piece_dates(foot(date_code="C4")).codes["mark_printed"]
    potted = RULES.piece_dates(foot(date_code="C4")).codes["mark_printed"].by_year[ENGLAND]
    assert decorated.by_year[ENGLAND] == pytest.approx(gaps(len(YEARS)).lag @ potted)
    assert decorated.dates[ENGLAND] == ("potted",)


def test_a_code_belongs_to_the_kind_of_mark_whose_scheme_reads_it():
    rules = with_scheme(mark=("marks", "ossel.m-england", {"technique": "impressed"}))
    assert set(rules.piece_dates(foot(date_code="C4")).codes) == {"mark_in_clay"}
    assert set(dates(date_code="C4").codes) == {"mark_printed"}


# --- lettering


def test_a_new_marks_lettering_has_its_base_rate_as_mean():
    prior = default_prior().density(YEARS)
    rule = Evidence("E", "", ("decorated",), (Window(1921, None, 3),), 0.1, "f", "wording", "law", "R", "", "memory")
    found = new_mark_years([rule, replace(rule, speaks_of=("potted",))], YEARS, prior)
    assert found["decorated"] @ prior == pytest.approx(1)
    assert found["potted"] @ (prior @ gaps(len(YEARS)).lag) == pytest.approx(1)


@given(st.floats(0.1, 0.9), st.integers(1850, 1920))
def test_an_implied_rule_of_one_family_moves_nothing(floor, year):
    prior = default_prior().density(YEARS)
    tight = Evidence("E", "", ("decorated",), (Window(1921, None),), 0.05, "f", "wording", "law", "R", "", "memory")
    implied = replace(tight, windows=(Window(year, None),), floor=floor)
    one, two = (new_mark_years(items, YEARS, prior)["decorated"] for items in ([tight], [tight, implied]))
    assert np.array_equal(one, two)


def test_wording_moves_a_new_mark_and_nothing_that_holds_whatever_the_mark():
    found = dates(mark="TARN BROTHERS / MADE IN OCCUPIED JAPAN", mark_kind="printed")
    assert found.new["mark_printed"].argmax() in range(at(1945), at(1953))
    assert all((height == 1).all() for height in found.own.values()) and found.evidence == ()


def test_a_year_or_a_registration_is_on_the_piece_whatever_its_mark():
    found = dates(mark="QUILLOW / Rd No 314901 / 1924", mark_kind="printed")
    assert {item.kind for item in found.evidence} == {"year", "registration"}
    assert found.own["decorated"].argmax() == at(1924)
    assert found.own["decorated"][: at(1898)].max() < 1e-6
    assert "mark_printed" not in found.new


def test_a_year_in_the_lettering_of_a_recorded_mark_is_no_evidence_of_its_own():
    rules = with_scheme(mark=("marks", "ossel.m-england", {"lettering": "QUILLOW & TARN / ENGLAND / 1924"}))
    found = rules.piece_dates(foot(mark="QUILLOW & TARN / ENGLAND / 1924", mark_kind="printed"))
    assert found.evidence == () and (found.own["decorated"] == 1).all()
    assert found.new["mark_printed"].argmax() == at(1924)


def test_what_is_known_from_elsewhere_and_labels_hold_whatever_the_mark():
    found = dates(made="1936", label="MADE IN OCCUPIED JAPAN")
    assert found.own["decorated"].argmax() == at(1936)
    assert found.own["sold"].argmax() in range(at(1945), at(1953)) and found.new == {}


def test_not_looked_at_says_nothing():
    found = dates(form="jug")
    assert not found.speaks and found.outside.log == 0 and found.new == {} and found.codes == {}
    assert found.outside.density["decorated"] == pytest.approx(default_prior().density(YEARS))


@pytest.mark.parametrize(
    "read",
    [
        {"mark": MARK, "mark_kind": "printed", "date_code": "C4"},
        {"mark": "TARN / Rd No 314901", "country": "Japan", "made": "1936~"},
        {"mark": "none"},
    ],
)
def test_outside_the_dates_are_those_of_the_general_rules(read):
    found = dates(**read).outside.density
    whole = date_foot(foot(**read), default_prior(), SCHEMES).dated.dates
    for date in whole:
        assert found[date] == pytest.approx(whole[date].density)


def test_lettering_alone_is_as_likely_outside_as_its_channel_says():
    assert dates(mark="TARN BROTHERS / MADE IN OCCUPIED JAPAN", mark_kind="printed").outside.log == pytest.approx(0)
    assert dates(mark=MARK, date_code="C4").outside.log == pytest.approx(np.log(0.15 * base_rate("C4")))


def test_bounds_that_contradict_one_another_are_softened():
    found = dates(mark="Rd No 314901", made="1850")
    assert np.isfinite(found.outside.log) and found.outside.density["decorated"].sum() == pytest.approx(1)


def test_the_order_of_readings_changes_nothing():
    read = {"mark": MARK, "mark_kind": "printed", "date_code": "C4", "made": "1934", "label": "ENGLAND"}
    one, other = dates(**read), dates(**dict(reversed(read.items())))
    assert all(np.array_equal(one.own[date], other.own[date]) for date in one.own)
    assert one.outside.log == other.outside.log and np.array_equal(one.new["mark_printed"], other.new["mark_printed"])
