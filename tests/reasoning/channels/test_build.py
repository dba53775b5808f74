"""From readings to factors: which slot each speaks of, absence, doubt, order, what cannot be read."""

import itertools

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from footring.marks.readings import NAMES, Reading, read_reading
from footring.reasoning.channels import SLOTS, Rates, compile_channels
from footring.reference import compile_reference, extend
from footring.rows.reference_things import Line
from footring.terms.errors import BadInput
from tests.reasoning.channels.pottery import REFERENCE, THINGS, readings, row

CHANNELS = compile_channels(REFERENCE)
SPOKEN_OF = {
    "maker=Quillow": "maker", "country=England": "maker", "line=Wherry": "line", "form=nappy": "form",
    "feature=lid seat: no ledge": "form", "trade_size=8 in": "size", "across=8 in": "size", "height=58 mm": "size",
    "capacity=90 ml": "size", "body=stoneware": "body", "glaze=Sedge": "glaze", "glaze=#8a9a6a": "glaze",
    "glaze=Lab(60,-10,20)": "glaze", "effect=runny": "glaze", "decoration=the Stork": "decoration",
    "technique=decal": "decoration", "placement=well": "decoration", "trim=gold line": "trim", "number=417": "number",
    "numeral=417": "number", "customer=Tarn Valley Railway": "customer", "label=silver oval": "label",
}  # fmt: skip
SAYS_NOTHING = ["date_code=G", "made=1930", "channel=fair", "piece_id=p.1", "mark_place=base", "numeral_kind=mould"]


def factors(*typed, channels=CHANNELS):
    """Every factor of every alternative."""
    found = channels.factors(readings(*typed))
    return [factor for alternatives in found for _, several in alternatives for factor in several]


def one(typed, channels=CHANNELS):
    (factor,) = factors(typed, channels=channels)
    return factor


def same(one, other):
    return len(one) == len(other) and all(
        w == v and len(a) == len(b) and all(_same(x, y) for x, y in zip(a, b, strict=True))
        for first, second in zip(one, other, strict=True)
        for (w, a), (v, b) in zip(first, second, strict=True)
    )


def _same(x, y):
    return (x.slot, x.none, x.new, x.outside) == (y.slot, y.none, y.new, y.outside) and np.array_equal(x.log, y.log)


@pytest.mark.parametrize(("typed", "slot"), SPOKEN_OF.items())
def test_each_reading_speaks_of_its_slot(typed, slot):
    factor = one(typed)
    assert factor.slot == slot
    assert factor.log.shape == (len(REFERENCE.tables[SLOTS[slot]]),)
    assert not factor.log.flags.writeable
    assert np.isfinite([*factor.log, factor.none, factor.new, factor.outside]).all()


def test_every_name_of_a_reading_is_heard_or_says_nothing():
    heard = {typed.split("=")[0] for typed in SPOKEN_OF} | {"mark", "mark_kind", "mark_colour", "numeral_place"}
    assert heard | {typed.split("=")[0] for typed in SAYS_NOTHING} == set(NAMES)


@pytest.mark.parametrize("typed", SAYS_NOTHING)
def test_what_says_nothing_has_no_factor(typed):
    assert factors(typed) == []


def test_the_right_row_is_likeliest():
    answers = {
        "maker=Quillow & Tarn Works": "q", "country=England": "q", "line=wherry": "l.w", "form=nappy": "f.dish",
        "form=covered dish": "f.covered", "feature=lid seat: no ledge": "f.dish", "trade_size=10 in": "s.10",
        "across=8 7/16 in": "s.8", "capacity=92 ml": "s.cup", "glaze=Reed": "g.reed", "glaze=Lab(22, 0, 1)": "g.coal",
        "effect=runny": "g.run", "decoration=the Stork": "d.heron", "technique=hand painted": "d.band",
        "placement=rim": "d.fern", "trim=gold line": "t.gold", "number=1I80": "n.3", "numeral=1180": "n.3",
        "label=QUILLOW & TARN hand fin...": "la.1", "label=paper strip": "la.2", "line=Whery": "l.w",
    }  # fmt: skip
    for typed, name in answers.items():
        factor = one(typed)
        assert int(factor.log.argmax()) == row(SLOTS[factor.slot], name), typed


# ---- absence


def test_absence_counts_once_looked_for_and_never_otherwise():
    factor = one("customer=none")
    assert factor.none > factor.log.max() and factor.none > factor.new
    assert CHANNELS.factors([]) == []
    assert read_reading("customer", "") is None


def test_plain_trim_and_undecorated_are_rows_of_their_own():
    for typed, name in (
        ("trim=none", "t.none"),
        ("decoration=none", "d.none"),
        ("technique=none", "d.none"),
        ("placement=none", "d.none"),
    ):
        factor = one(typed)
        best = row(SLOTS[factor.slot], name)
        assert int(factor.log.argmax()) == best and factor.log[best] == factor.none


def test_a_glaze_without_an_effect_is_plain():
    none, plain = one("effect=none"), one("effect=plain")
    assert np.array_equal(none.log, plain.log) and none.log[row("glazes", "g.run")] < none.log[row("glazes", "g.sedge")]


def test_no_mark_speaks_of_the_kind_looked_for():
    assert [f.slot for f in factors("mark=none", "mark_kind=impressed")] == ["mark_in_clay"]
    assert [f.slot for f in factors("mark=none", "mark_kind=printed")] == ["mark_printed"]
    assert [f.slot for f in factors("mark=none")] == ["mark_in_clay", "mark_printed"]


@pytest.mark.parametrize("typed", ["trim=gold line", "trim=none", "customer=none", "number=417", "mark=ORMSLEY"])
def test_absent_and_present_share_one_measure(typed):
    """p(absent) and p(something) make 1 for every row: what is read where something is, times its own chance."""
    name = typed.split("=")[0]
    absent = factors(f"{name}=none")[0]
    missed = CHANNELS.rates.of(name, "missed")
    nothing = 1 - CHANNELS.rates.of(name, "imagined")
    assert np.exp(absent.none) == pytest.approx(nothing)
    there = np.exp(absent.log) == pytest.approx(missed)
    assert there or np.exp(absent.log).max() == pytest.approx(nothing)


# ---- the sum over everything that may be read


@pytest.mark.parametrize(
    "reading", ["line", "form", "body", "decoration", "trim", "technique", "trade_size", "country"]
)
def test_words_known_and_unknown_sum_to_one(reading):
    words = CHANNELS.vocabulary(reading)
    known = sorted(set(words.named.words) - {"none"})  # typed, it is absence
    found = [one(f"{reading}={word}") for word in known]
    none = one(f"{reading}=none")
    rows = np.exp(none.log) + sum(np.exp(f.log) for f in found)
    share = 1 - np.exp(none.log)
    missing = (1 - rows) / share
    unknown = np.where(words.bare, 1 - CHANNELS.rates.of(reading, "new_known"), words.unknown)
    unknown += np.where(words.companies.alone, words.misread, 0.0)  # nothing else that it may be taken for
    told = words.named.nothing if reading == "technique" else np.zeros(len(rows), bool)
    assert (missing <= np.where(told, 1.0, unknown + words._misspelt + 0.001)).all()
    assert (missing >= 0.4 * unknown - 1e-9).all()
    for name in ("none", "new", "outside"):
        total = np.exp(getattr(none, name)) + sum(np.exp(getattr(f, name)) for f in found)
        assert 0 < total <= 1 + 1e-9


# ---- doubt


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(list(SPOKEN_OF)), st.sampled_from([0.1, 0.35, 0.7, 0.95]))
def test_a_doubtful_reading_is_a_mixture_with_the_base_rate(typed, p):
    sure, doubtful, other = one(typed), one(f"{typed} ~{p}"), one(f"{typed} ~0.5")
    base = 2 * np.exp(other.log) - np.exp(sure.log)
    assert np.allclose(base, base[0], rtol=1e-6, atol=1e-9 * np.exp(sure.log).max())
    assert np.allclose(np.exp(doubtful.log), p * np.exp(sure.log) + (1 - p) * base, rtol=1e-6, atol=1e-12)
    for name in ("none", "new", "outside"):
        mixed = p * np.exp(getattr(sure, name)) + (1 - p) * base[0]
        assert np.exp(getattr(doubtful, name)) == pytest.approx(mixed, rel=1e-5)


def test_a_doubtful_absence():
    sure, doubtful = one("trim=none"), one("trim=none ~0.6")
    base = CHANNELS.rates.of("trim", "absence")
    assert np.allclose(np.exp(doubtful.log), 0.6 * np.exp(sure.log) + 0.4 * base)


# ---- marks


def test_a_mark_of_unknown_technique_has_two_meanings():
    ((clay, printed),) = CHANNELS.factors(readings("mark=QUILLOW & TARN / OSSEL FORD"))
    assert np.exp(clay[0]) + np.exp(printed[0]) == pytest.approx(1.0)
    assert (clay[1][0].slot, printed[1][0].slot) == ("mark_in_clay", "mark_printed")
    assert int(clay[1][0].log.argmax()) == row("marks", "m.i")


def test_a_mark_with_its_kind_and_colour():
    ((alone,),) = CHANNELS.factors(
        readings("mark=QUILLOW & TARN", "mark_kind=rubber-stamped", "mark_colour=dark green")
    )
    assert alone[0] == 0.0
    mark, kind, colour = alone[1]
    assert {f.slot for f in alone[1]} == {"mark_printed"}
    assert [f.reading.name for f in (mark, kind, colour)] == ["mark", "mark_kind", "mark_colour"]
    assert int(kind.log.argmax()) == row("marks", "m.d")
    assert int(colour.log.argmax()) == row("marks", "m.g")


def test_two_marks_keep_their_own_kinds():
    found = CHANNELS.factors(
        readings(
            "mark=OSSEL FORD", "mark_kind=impressed", "mark.2=ORMSLEY", "mark_kind.2=printed", "mark_colour.2=black"
        )
    )
    assert sorted(tuple(f.slot for f in several) for a in found for _, several in a) == [
        ("mark_in_clay", "mark_in_clay"),
        ("mark_printed",) * 3,
    ]


def test_a_transcription_tells_of_several_marks():
    found = factors('mark=printed: "ORMSLEY"; impressed: "OSSEL FORD"')
    assert sorted(f.slot for f in found) == ["mark_in_clay", "mark_printed"]
    assert [f.slot for f in factors('mark=label: "paper strip"')] == ["label"]


def test_a_device_in_words():
    (factor,) = factors("mark=crown over shield", "mark_kind=stamped")[:1]
    assert int(factor.log.argmax()) == row("marks", "m.d")
    assert factor.log.max() > factor.new


def test_a_kind_of_mark_without_its_lettering_says_that_there_is_one():
    (mark, kind) = factors("mark_kind=impressed")
    assert mark.none < mark.log.min() and np.ptp(mark.log) < 0.1
    assert kind.log.argmax() == row("marks", "m.i")


def test_a_mark_that_the_reference_does_not_hold():
    factor = factors("mark=THRALE BROTHERS / MARROWBY", "mark_kind=printed")[0]
    assert factor.new > factor.log.max() and factor.outside > factor.log.max()
    known = factors("mark=ORMSLEY / QUILLOW & TARN", "mark_kind=printed")[0]
    assert known.log.max() > known.new + 3 and known.log.max() > known.outside + 3


def test_a_number_under_a_known_mark_does_not_make_it_another():
    factor = factors("mark=QUILLOW & TARN / OSSEL FORD / 1180 M", "mark_kind=impressed")[0]
    assert factor.log.argmax() == row("marks", "m.i") and factor.log.max() > factor.outside


# ---- figures


def test_a_figure_of_unknown_kind_says_less_than_a_number():
    number, numeral = one("number=417"), one("numeral=417")
    assert np.ptp(number.log) > np.ptp(numeral.log) > 0.5


def test_the_kind_of_a_figure_may_be_said():
    said = [
        factors("numeral=417", f"numeral_kind={kind}")[0]
        for kind in ("mould", "impressed", "painted", "pattern number")
    ]
    spread = [float(np.ptp(f.log)) for f in said]
    assert spread == sorted(spread)
    assert spread[0] + 2 < spread[-1]


# ---- order, repetition, ids


FULL = ["line=Ormsley", "form=covered dish ~0.8", "glaze=Sedge", "mark=QUILLOW & T?RN ...", "mark_kind=impressed", "mark.2=ORMSLEY",
        "mark_kind.2=printed", "numeral=417", "numeral_kind=painted", "trim=none", "across=8 1/2 in", "label=none"]  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.permutations(FULL))
def test_order_changes_nothing(typed):
    assert same(CHANNELS.factors(readings(*typed)), CHANNELS.factors(readings(*FULL)))


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from(FULL[:3] + FULL[7:8] + FULL[9:]), max_size=4))
def test_the_same_reading_given_twice_counts_once(again):
    twice = readings(*FULL) + [
        Reading(r.name, r.value, r.p, r.absent, r.part, 7) for r in readings(*again) if r.name != "numeral"
    ]
    assert same(CHANNELS.factors(twice), CHANNELS.factors(readings(*FULL)))


def test_of_two_that_say_the_same_the_surer_counts():
    pairs = [["line=Ormsley ~0.4", "line.2=Ormsley"], ["line.2=Ormsley", "line=Ormsley ~0.4"]]
    for typed in pairs:
        assert same(CHANNELS.factors(readings(*typed)), CHANNELS.factors(readings("line=Ormsley")))


def test_a_lid_is_not_its_base():
    assert len(CHANNELS.factors(readings("lid.number=417", "number=417"))) == 2


def test_asking_twice_gives_the_same_arrays():
    first, again = (one("form=covered dish") for _ in range(2))
    assert first.log is again.log


def test_what_was_kept_is_let_go_and_made_again():
    small = compile_channels(REFERENCE)
    before = one("line=Ormsley", channels=small)
    small._size[0] = 10**9
    one("line=Wherry", channels=small)
    assert np.array_equal(one("line=Ormsley", channels=small).log, before.log)


def test_the_order_of_rows_changes_nothing():
    turned = compile_channels(compile_reference({table: rows[::-1] for table, rows in THINGS.items()}))
    for typed in SPOKEN_OF:
        there, here = one(typed), one(typed, channels=turned)
        assert np.allclose(there.log, here.log[::-1], rtol=1e-12)
        assert (there.none, there.new, there.outside) == pytest.approx((here.none, here.new, here.outside), rel=1e-12)


def test_other_rates_share_what_does_not_depend_on_them():
    other = CHANNELS.with_rates(Rates({"line": {"misread": 0.3}}))
    assert one("line=Wherry", channels=other).log[row("lines", "l.o")] > one("line=Wherry").log[row("lines", "l.o")]
    whole = compile_channels(REFERENCE, Rates({"line": {"misread": 0.3}}))
    assert np.array_equal(one("line=Wherry", channels=other).log, one("line=Wherry", channels=whole).log)


def test_grown_equals_compiled():
    more = [Line("l.p", maker="q", name="Pennant")]
    grown = compile_channels(extend(REFERENCE, {"lines": more}))
    whole = compile_channels(compile_reference({**THINGS, "lines": THINGS["lines"] + more}))
    assert np.array_equal(one("line=Pennant", channels=grown).log, one("line=Pennant", channels=whole).log)


def test_an_empty_reference_knows_nothing_but_takes_every_reading():
    empty = compile_channels(compile_reference({}))
    for typed in SPOKEN_OF:
        factor = one(typed, channels=empty)
        assert len(factor.log) == 0 and np.isfinite([factor.none, factor.new, factor.outside]).all()
    assert len(empty.factors(readings("mark=ORMSLEY"))) == 1


# ---- what cannot be read


@pytest.mark.parametrize(
    ("typed", "match"),
    [
        (["across=big"], r"across: length 'big': not a number with a unit; write 7 1/4 in"),
        (["across=184"], "across: length '184': it has no unit"),
        (["across=36s"], "across: .*a trade size is a name"),
        (["height=-4 mm"], "height: .*more than nothing"),
        (["capacity=1 pt"], "capacity: .*write imp pt or us pt"),
        (["glaze=#12"], "glaze '#12' is no colour: .*#8a5a33"),
        (["glaze=Lab(200,0,0)"], "L lies from 0 to 100"),
        (["feature=a ledge"], "feature 'a ledge': expected what was looked at, a colon"),
        (["feature=: a ledge"], "write feature=lid seat: a ledge inside the rim"),
        (["feature=none"], "feature 'none': expected what was looked at"),
        (["mark=ORMSLEY", "mark_kind=mould"], "mark_kind: no way of marking is called 'mould'"),
        (
            ["numeral=4", "numeral_kind=colour"],
            "numeral_kind 'colour': expected how the figure was put there .* or what it is",
        ),
        (["mark=" + "A" * 10_001], "a mark of 10,001 characters is too long"),
    ],
)
def test_bad_values_are_told(typed, match):
    with pytest.raises(BadInput, match=match):
        CHANNELS.factors(readings(*typed))


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(NAMES), st.text(max_size=30)), max_size=6))
def test_anything_typed_gives_factors_or_says_what_is_wrong(typed):
    try:
        read = [r for name, value in typed if (r := read_reading(name, value))]
        found = CHANNELS.factors(read)
    except BadInput as error:
        assert len(str(error)) > 20
        return
    for factor in (f for a in found for _, several in a for f in several):
        assert np.isfinite([*factor.log, factor.none, factor.new, factor.outside]).all()


# ---- common practice, no source


def test_a_covered_dish_is_told_from_an_open_one_by_its_lid_seat():
    words, seat = one("form=open dish"), one("feature=lid seat: a ledge inside the rim")
    dish, covered = row("forms", "f.dish"), row("forms", "f.covered")
    assert words.log[dish] > words.log[covered]
    assert words.log[covered] > words.log[row("forms", "f.cup")]
    assert seat.log[covered] - seat.log[dish] > 1.5
    assert seat.log[row("forms", "f.cup")] == seat.log[row("forms", "f.jar")]


def test_an_effect_glaze_is_not_compared_by_its_mean_colour():
    near, far = (one(f"glaze=Lab({lab})") for lab in ("60,-10,20", "30,5,-20"))
    assert int(near.log.argmax()) == row("glazes", "g.sedge")
    run, clear = row("glazes", "g.run"), row("glazes", "g.clear")
    assert near.log[run] == near.log[clear] and far.log[run] == far.log[clear]


def test_glazes_of_like_colour_are_taken_for_one_another():
    factor = one("glaze=Sedge")
    assert factor.log[row("glazes", "g.reed")] > factor.log[row("glazes", "g.coal")] + 0.5


def test_alternatives_of_two_marks_multiply_out():
    found = CHANNELS.factors(readings("mark=ORMSLEY", "mark.2=OSSEL FORD"))
    whole = [sum(w for w, _ in pick) for pick in itertools.product(*found)]
    assert np.exp(whole).sum() == pytest.approx(1.0)
