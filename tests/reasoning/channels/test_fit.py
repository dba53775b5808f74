"""Rates learned: found again where they are known, the same in any order, one piece left out exactly."""

import json
import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.reasoning.channels import Rates, compile_channels, fit_rates, rates_from, tally_readings, tally_without
from footring.reasoning.channels.rates import default_rate, rate_names
from footring.reference import compile_reference, extend
from footring.rows.collection import Attribution, Correction, Part, Piece, Reading
from footring.terms.errors import BadInput, UnknownName
from tests.reasoning.channels.pottery import THINGS


def of(piece, name, value=None, n=0, **more):
    return Reading(f"r.{piece}.{name}.{n}", piece=piece, name=name, value=value, absent=value is None, **more)


def settled(piece, **cell):
    if cell.get("form") in ("f.cup", "f.wplate"):
        cell["line"] = "l.w"
    return Attribution(f"a.{piece}", piece=piece, line=cell.pop("line", "l.o"), weight=1.0, basis="confirmed", **cell)


def reference(pieces, attributions, readings, **more):
    return compile_reference(
        {**THINGS, "pieces": [Piece(p) for p in pieces], "attributions": attributions, "readings": readings, **more}
    )


def known_habits(count=1200):
    """Pieces read by someone whose habits are known: 20 % misread, 5 % unknown words, 10 % trims not seen..."""
    draw = random.Random(7)
    pieces, attributions, readings = [], [], []
    for k in range(count):
        piece = f"p.{k}"
        form, other = draw.sample(["round dish", "round covered dish", "dinner plate"], 2)
        cell = {"round dish": "f.dish", "round covered dish": "f.covered", "dinner plate": "f.plate"}
        pieces.append(piece)
        attributions.append(
            settled(
                piece,
                form=cell[form],
                size="s.8" if form == "dinner plate" else None,
                trim="t.gold",
                glaze="g.sedge",
                mark_in_clay="m.i",
            )
        )
        luck = draw.random()
        word = other if luck < 0.2 else "basket" if luck < 0.25 else form
        readings += [
            of(piece, "form", word),
            of(piece, "trim", "gold line" if draw.random() > 0.1 else None),
            of(
                piece,
                "glaze",
                f"Lab({60 + draw.gauss(0, 6):.2f},{-10 + draw.gauss(0, 2):.2f},{20 + draw.gauss(0, 2):.2f})",
            ),
            of(piece, "mark", misread("QUILLOW & TARN / OSSEL FORD", 0.05, draw)),
            of(piece, "mark_kind", "impressed"),
        ]
        if form == "dinner plate":
            readings.append(of(piece, "across", f"{215 * (1 + draw.gauss(0.02, 0.03)):.2f} mm"))
    return reference(pieces, attributions, readings)


def misread(text, share, draw):
    return "".join(draw.choice("XZWK") if c.isalpha() and draw.random() < share else c for c in text)


@pytest.fixture(scope="module")
def fitted():
    return fit_rates(known_habits())


@pytest.mark.parametrize(
    ("reading", "rate", "true", "within"),
    [
        ("form", "misread", 0.2, 0.04),
        ("form", "unknown", 0.05, 0.02),
        ("trim", "missed", 0.1, 0.025),
        ("trim", "absence", 0.1, 0.03),
        ("mark", "substitution", 0.05 * 1.0, 0.01),
        ("mark", "missed", 0.0, 0.003),
        ("mark", "in_clay", 1.0, 0.06),
        ("glaze", "batch_lightness", np.sqrt(36 - 1.5**2), 0.4),
        ("glaze", "batch_a", np.sqrt(4 - 1.5**2), 0.2),
        ("across", "log_mean", np.log(215 * 1.02), 0.01),
        ("trade_size", "offset_mean", np.log(215 * 1.02 / (8 * 25.4)), 0.01),
    ],
)
def test_rates_are_found_again(fitted, reading, rate, true, within):
    assert fitted.of(reading, rate) == pytest.approx(true, abs=within)


def test_what_was_misread_for_what_is_kept(fitted):
    assert set(fitted.misread["form"]) == {"f.dish", "f.covered", "f.plate"}
    of_dish = fitted.misread["form"]["f.dish"]
    assert of_dish["round covered dish"] + of_dish["dinner plate"] == pytest.approx(80, abs=25)
    assert of_dish["basket"] == pytest.approx(20, abs=12)
    assert set(fitted.words["form"]) == {"round dish", "round covered dish", "dinner plate", "basket"}


def test_a_word_in_nobody_s_list_points_to_what_it_was_typed_of():
    pieces = [f"p.{k}" for k in range(40)]
    known = reference(
        pieces,
        [settled(p, form="f.cup" if k < 20 else "f.plate") for k, p in enumerate(pieces)],
        [of(p, "form", "can" if k < 20 else "flat thing") for k, p in enumerate(pieces)],
    )
    before, after = (
        compile_channels(known, rates).vocabulary("form").p("can") for rates in (Rates(), fit_rates(known))
    )
    cup, jar = known.find("forms", "f.cup"), known.find("forms", "f.jar")
    assert before[cup] == pytest.approx(before[jar])
    assert after[cup] > 1.3 * after[jar]


def test_the_own_spread_of_a_form_is_found_again(fitted):
    channels = compile_channels(known_habits(2), fitted)
    middle, square, _ = channels.measures["across"]._expected
    at = channels.reference.find("sizes", "s.8")
    assert middle[at] == pytest.approx(215 * 1.02, rel=0.005)
    assert np.sqrt(square[at]) / middle[at] == pytest.approx(0.03, abs=0.004)


def test_learned_channels_fit_better_than_the_default_ones(fitted):
    """Log loss of the form on other pieces with the same habits, the prior of the three forms alike."""
    held = known_habits(300)
    draw, loss = random.Random(99), {}
    truths = [draw.choice(["f.dish", "f.covered", "f.plate"]) for _ in range(400)]
    names = {"f.dish": "round dish", "f.covered": "round covered dish", "f.plate": "dinner plate"}
    typed = [
        names[t] if draw.random() > 0.25 else draw.choice([n for n in names.values() if n != names[t]]) for t in truths
    ]
    from footring.marks.readings import Reading as Typed

    for label, rates in (("default", Rates()), ("learned", fitted)):
        channels, total = compile_channels(held, rates), 0.0
        rows = [held.find("forms", f) for f in names]
        for truth, word in zip(truths, typed, strict=True):
            (((_, (factor,)),),) = channels.factors([Typed("form", word)])
            p = np.exp(factor.log[rows])
            total -= np.log(p[list(names).index(truth)] / p.sum())
        loss[label] = total / len(truths)
    assert loss["learned"] < loss["default"] - 0.1


def test_nothing_known_gives_the_defaults():
    assert fit_rates(compile_reference(THINGS)) == Rates()


def test_an_unsettled_piece_teaches_words_but_no_misreading():
    rates = fit_rates(reference(["p.1"], [], [of("p.1", "form", "cup"), of("p.1", "line", "Wherry")]))
    assert rates.words == {"form": {"cup": 1.0}, "line": {"wherry": 1.0}}
    assert rates.misread == {}
    assert rates.of("form", "misread") == default_rate("form", "misread")


def test_two_confirmed_answers_settle_nothing():
    both = [settled("p.1", form="f.cup"), replace(settled("p.1", form="f.dish"), id="a.2")]
    rates = fit_rates(reference(["p.1"], both, [of("p.1", "form", "dinner plate")]))
    assert rates.misread == {}


def test_a_part_is_settled_by_its_own_attribution():
    parts = [Part("p.1.lid", piece="p.1", name="lid")]
    lid = Attribution("a.lid", piece="p.1", part="p.1.lid", line="l.w", weight=1.0, basis="confirmed")
    readings = [
        of("p.1", "line", "Wherry", part="p.1.lid"),
        of("p.1", "line", "Ormsley", n=1),
        of("p.1", "lid.line", "Larder", n=2),
    ]
    rates = fit_rates(reference(["p.1"], [settled("p.1"), lid], readings, parts=parts))
    assert rates.misread == {}
    assert rates.of("line", "misread") < default_rate("line", "misread")


def test_a_doubtful_misreading_counts_for_less():
    def misreadings(**more):
        rates = fit_rates(
            reference(["p.1"], [settled("p.1", form="f.cup")], [of("p.1", "form", "storage jar", **more)])
        )
        return sum(rates.misread.get("form", {}).get("f.cup", {}).values())

    assert misreadings() == pytest.approx(1.0)
    assert 0.0 <= misreadings(sure=0.5) < 0.6


def test_corrections_teach_what_is_taken_for_what_but_not_how_often():
    """They are of readings that someone found wrong."""
    rates = fit_rates(
        reference(
            ["p.1"],
            [],
            [of("p.1", "form", "storage jar")],
            corrections=[Correction("c.1", reading="r.p.1.form.0", value="coffee cup")],
        )
    )
    assert rates.misread == {"form": {"f.cup": {"storage jar": 1.0}}}
    assert rates.of("form", "misread") == default_rate("form", "misread")


def test_a_reading_that_was_replaced_counts_no_more():
    old, new = of("p.1", "form", "storage jar"), of("p.1", "form", "coffee cup", n=1, supersedes="r.p.1.form.0")
    rates = fit_rates(reference(["p.1"], [settled("p.1", form="f.cup")], [old, new]))
    assert rates.misread == {} and rates.words == {"form": {"coffee cup": 1.0}}


def test_a_number_is_learned_from_where_one_number_fits():
    pieces = [f"p.{k}" for k in range(100)]
    attributions = [settled(p, line="l.w", decoration="d.heron") for p in pieces]
    rates = fit_rates(
        reference(pieces, attributions, [of(p, "number", "1I80" if int(p[2:]) % 2 else "1180") for p in pieces])
    )
    assert rates.of("number", "substitution") > 2 * default_rate("number", "substitution")


VALUES = {
    "form": ["coffee cup", "cup", "storage jar", "nappy", "tureen", None],
    "trim": ["gold line", "green edge", None],
    "glaze": ["Sedge", "Lab(58,-9,21)", "#8a9a6a"],
    "across": ["213.5 mm", "8 1/2 in", "280 mm"],
    "mark": ["QUILLOW & TARN / OSSEL FORD", "QUILOW TARN", "ORMSLEY", None],
    "feature": ["lid seat: no ledge", "lid seat: a ledge inside the rim", "rim: wavy"],
    "number": ["417", "418", None],
}


@st.composite
def collections(draw):
    pieces = [f"p.{k}" for k in range(draw(st.integers(1, 4)))]
    attributions = [
        settled(p, form=draw(st.sampled_from(["f.plate", "f.dish", None])), trim="t.none", glaze="g.sedge", size="s.8", decoration="d.heron", mark_in_clay="m.i")
        for p in pieces
        if draw(st.booleans())
    ]  # fmt: skip
    attributions = [replace(a, size=None) if a.form != "f.plate" else a for a in attributions]
    readings = []
    for k in range(draw(st.integers(0, 10))):
        name = draw(st.sampled_from(sorted(VALUES)))
        sure = draw(st.sampled_from([None, 0.6]))
        readings.append(of(draw(st.sampled_from(pieces)), name, draw(st.sampled_from(VALUES[name])), n=k, sure=sure))
    return pieces, attributions, readings


@settings(max_examples=25, deadline=None)
@given(collections(), st.randoms())
def test_the_order_of_rows_changes_nothing(drawn, luck):
    pieces, attributions, readings = drawn
    turned = {table: luck.sample(rows, len(rows)) for table, rows in THINGS.items()}
    other = compile_reference(
        {
            **turned,
            "pieces": [Piece(p) for p in reversed(pieces)],
            "attributions": attributions[::-1],
            "readings": luck.sample(readings, len(readings)),
        }
    )
    first, second = fit_rates(reference(*drawn)), fit_rates(other)
    assert first == second and first.digest == second.digest


@settings(max_examples=25, deadline=None)
@given(collections())
def test_a_piece_left_out_is_as_if_nobody_had_met_it(drawn):
    pieces, attributions, readings = drawn
    without = reference(
        pieces,
        [a for a in attributions if a.piece != pieces[0]],
        [r for r in readings if r.piece != pieces[0]],
    )
    whole = reference(*drawn)
    assert fit_rates(whole, without_piece=pieces[0]) == fit_rates(without)
    channels = compile_channels(whole)
    tally = tally_readings(channels)
    assert rates_from(tally_without(tally, channels, pieces[0])) == fit_rates(without)


@settings(max_examples=10, deadline=None)
@given(collections())
def test_grown_equals_compiled(drawn):
    pieces, attributions, readings = drawn
    grown = extend(reference(pieces, attributions, readings[:1]), {"readings": readings[1:]})
    assert fit_rates(grown) == fit_rates(reference(*drawn))


def test_an_unknown_piece_is_told():
    with pytest.raises(UnknownName, match=r"table pieces has no row with the id 'p\.9'"):
        fit_rates(compile_reference(THINGS), without_piece="p.9")


def test_how_outside_pieces_are_read_is_learned_from_those_nobody_settled():
    """400 unsettled pieces, 160 of them from outside, of which 3 words in 10 are the reference's, others' 19 in 20."""
    draw, pieces, readings = random.Random(3), [f"p.{k}" for k in range(400)], []
    known = {"line": "Ormsley", "form": "nappy", "glaze": "Sedge", "decoration": "Fern", "trim": "gold line"}
    for k, piece in enumerate(pieces):
        share = 0.3 if k < 160 else 0.95
        readings += [of(piece, name, word if draw.random() < share else "blorp") for name, word in known.items()]
        readings.append(of(piece, "mark", "BRACKHOPE / NETHER VOSS" if k < 160 else "QUILLOW & TARN / OSSEL FORD"))
    rates = fit_rates(reference(pieces, [], readings))
    assert rates.of("unsettled", "outside") == pytest.approx(0.4, abs=0.03)
    for name in known:
        assert rates.of(name, "outside_known") == pytest.approx(0.3, abs=0.1)


# ---- kept as JSON


def test_json_keeps_everything(fitted):
    text = json.dumps(fitted.to_json())
    again = Rates.from_json(json.loads(text))
    assert again == fitted and again.digest == fitted.digest
    assert Rates().digest != fitted.digest


def test_json_of_something_else_is_told():
    with pytest.raises(
        BadInput, match=r"rates of the format None; expected 'footring rates 1', as Rates\.to_json gives"
    ):
        Rates.from_json({})


def test_every_rate_asked_for_has_a_default():
    assert rate_names("name", "share_") and rate_names("name", "among_")
    with pytest.raises(KeyError, match="wobble"):
        Rates().of("form", "wobble")
