"""A line typed as one would say it. What each means is the trade's own usage: common practice, no source."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import footring.demo
from footring import compile_reference, load_pack
from footring.marks.readings import Reading
from footring.reasoning.explain_evidence import told_as
from footring.reasoning.model import compile_model
from footring.reasoning.typed import understood
from footring.reasoning.typed_clauses import LONGEST

MODEL = compile_model(compile_reference(load_pack(Path(footring.demo.__file__).parent / "pack").tables))

FIRST_MEANING = {
    "417": ["number=417"],
    "417 green printed": ["numeral=417", "numeral_kind=green printed"],
    "green printed 417": ["numeral=417", "numeral_kind=green printed"],
    "impressed 417": ["numeral=417", "numeral_kind=impressed"],
    "no. 417": ["number=417"],
    "No 417": ["number=417"],
    "pattern 417": ["number=417"],
    "number on the foot: none": ["number=none"],
    "417 ~0.6": ["number=417 ~0.6"],
    "3/417": ["number=3/417"],
    "417 M": ["number=417 M"],
    "41?": ["numeral=41?"],
    "999": ["numeral=999"],
    "184 mm": ["across=184 mm"],
    "9 1/8 in": ["across=9 1/8 in"],
    "18,4 cm": ["across=18,4 cm"],
    "184 mm high": ["height=184 mm"],
    "6 in tall": ["height=6 in"],
    "height: 6 in": ["height=6 in"],
    "holds 1 1/2 imp pt": ["capacity=1 1/2 imp pt"],
    "250 ml": ["capacity=250 ml"],
    "24s": ["trade_size=24s"],
    "half pint": ["trade_size=half pint"],
    "size 36s": ["trade_size=36s"],
    "size 8 in": ["across=8 in"],
    "no date code": ["date_code=none"],
    "date code none": ["date_code=none"],
    "without a date code": ["date_code=none"],
    "date code C4": ["date_code=C4"],
    "unmarked": ["mark=none"],
    "no mark": ["mark=none"],
    "no edge line": ["trim=none"],
    "edge line: none": ["trim=none"],
    "no label": ["label=none"],
    "no ribs": ["feature=wall: no ribs"],
    "three ribs under the rim": ["feature=wall: three ribs under the rim"],
    "knob of the lid: flattened, no ring": ["feature=knob of the lid: flattened, no ring"],
    "Ormsley": ["line=Ormsley"],
    "Omsley": ["line=Omsley"],
    "green edge line": ["trim=green edge line"],
    "a green edge line": ["trim=green edge line"],
    "reed heron": ["decoration=reed heron"],
    "the Stork": ["decoration=the Stork"],
    "muffin dish": ["form=muffin dish"],
    "covered dish": ["form=covered dish"],
    "sedge": ["glaze=sedge"],
    "glaze #8a5a33": ["glaze=#8a5a33"],
    "mottled": ["effect=mottled"],
    "hand painted": ["technique=hand painted"],
    "hotel body": ["body=hotel body"],
    "made for Marlpit Hotels": ["customer=Marlpit Hotels"],
    "by Quillow & Tarn Works": ["maker=Quillow & Tarn Works"],
    "made in England": ["country=England"],
    "made 1936": ["made=1936"],
    "mark QUILLOW & T?RN": ["mark=QUILLOW & T?RN"],
    "mark: A, B": ["mark=A, B"],
    "QUILLOW & T?RN / MADE IN ENGLAND": ["mark=QUILLOW & T?RN / MADE IN ENGLAND"],
    '"Quillow, Tarn"': ["mark=Quillow, Tarn"],
    "impressed QUILLOW & TARN": ["mark=impressed QUILLOW & TARN"],
    "Rd No 586120": ["mark=Rd No 586120"],
    "label SOLD BY THE CLUB": ["label=SOLD BY THE CLUB"],
    "not sure: heron": ["decoration=heron ~0.7"],
    "heron?": ["decoration=heron ~0.7"],
    "perhaps sedge": ["glaze=sedge ~0.5"],
    "lid: sedge": ["lid.glaze=sedge"],
    "lid: not sure: sedge": ["lid.glaze=sedge ~0.7"],
    "on the lid 417": ["lid.number=417"],
    "number=417 ~0.7": ["number=417 ~0.7"],
    "lid.glaze=Sedge": ["lid.glaze=Sedge"],
    "mark=none": ["mark=none"],
}


def readings(text: str) -> list[list[str]]:
    """What each clause means first, as typed on the command line."""
    return [[told_as(r) for r in one.meanings[0].readings] for one in understood(MODEL, text) if one.meanings]


@pytest.mark.parametrize("text", FIRST_MEANING)
def test_the_first_meaning(text):
    assert readings(text) == [FIRST_MEANING[text]]


def test_several_things_on_one_line():
    assert readings("Ormsley covered dish with reed heron and green edge line, 214 mm; no date code") == [
        ["line=Ormsley"], ["form=covered dish"], ["decoration=reed heron"], ["trim=green edge line"],
        ["across=214 mm"], ["date_code=none"],
    ]  # fmt: skip


def test_other_meanings_are_offered_in_order():
    names = {
        text: [m.readings[0].name for m in understood(MODEL, text)[0].meanings] for text in ("8 in", "Bulrush", "C4")
    }
    assert names["8 in"] == ["across", "trade_size", "height"]
    assert set(names["Bulrush"]) >= {"number", "decoration"}
    assert set(names["C4"]) == {"numeral", "date_code", "number"}
    for text in names:
        shares = [m.share for m in understood(MODEL, text)[0].meanings]
        assert shares == sorted(shares, reverse=True) and sum(shares) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("184 mmm", "'mmm' is not a unit of length"),
        ("200 hands", "'hands' is not a unit of length"),
        ("across: wide", "length 'wide': not a number with a unit"),
        ("glaze: Lab(1,2)", "expected three numbers"),
        ("made soon", "write it in EDTF"),
        ("colour=blue", "no reading is called 'colour': did you mean mark_colour?"),
        ("no green edge line", "say what was looked for and not found as a whole"),
        ("no", "was not understood"),
        ("not sure", "“not sure” was not understood"),
        ("😀", "“😀” was not understood"),
        ("Ormsley zigzag", "“zigzag” was not understood"),
        ("417 green", "“green” counts with how the figure was put there"),
        ("x" * 500, f"only the first {LONGEST} characters are read"),
    ],
)
def test_what_is_not_understood_is_said(text, says):
    assert [one.problem for one in understood(MODEL, text) if one.problem and says in one.problem]


def test_words_for_nothing_known_are_offered_as_anything():
    (one,) = understood(MODEL, "bottle vase")
    assert one.problem == "“bottle vase” is not in your reference: say what it is"
    assert Reading("form", "bottle vase") in [m.readings[0] for m in one.meanings]


@pytest.mark.parametrize("text", ["", "  ", ",,;", "\n"])
def test_nothing_typed_is_nothing_read(text):
    assert understood(MODEL, text) == ()


def test_an_empty_reference_still_understands_figures_and_sizes():
    empty = compile_reference({})
    assert [one.meanings[0].says for one in understood(empty, "417 impressed, 184 mm")] == [
        "the figure 417, impressed", "184 mm across",
    ]  # fmt: skip


@given(
    st.text(max_size=60)
    | st.lists(st.sampled_from('no lid: 417 mark = ~0.7 ? , ; mm green plate " base. none'.split())).map(" ".join)
)
@settings(max_examples=300, deadline=None)
def test_odd_text_never_raises_and_what_is_offered_can_be_used(text):
    for one in understood(MODEL, text):
        assert one.meanings or one.problem
        for meaning in one.meanings:
            assert MODEL.channels.factors(meaning.readings) is not None
