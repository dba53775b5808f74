"""Ten thousand sets of readings nobody would take: an answer each time, or one line that says what was expected."""

import json
from importlib.resources import files

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from footring.marks.readings import NAMES, read_reading
from footring.packs import load_pack
from footring.reasoning.examine import Examiner
from footring.reasoning.label_text import tell_piece
from footring.reasoning.piece_json import piece_json
from footring.reference import compile_reference
from footring.terms.errors import FootringError

EXAMINERS = [
    Examiner(compile_reference(load_pack(files("footring.demo").joinpath("pack")).tables)),
    Examiner(compile_reference({})),
]
VALUES = (
    "Ormsley|Wherry|Reed Heron|the Stork|covered dish|lid|Clear|#1F3D7A|#zzzzzz|Lab(62,18,55)|Lab(1e9,0,0)|Lab(,,)|"
    'none|none ~0.5|Ormsley ~0.7|x ~1|x ~0.0|~0.7|"none"|417|3/417|417 M|IV|0|-1|1e999|NaN|7 1/4 in|7.25"|184 mm|'
    "18.4 cm +-2|0 mm|-5 in|1/0 in|2 pt|QUILLOW & T?RN / MADE IN ENGLAND|...|?|/|impressed|printed|painted|label|"
    "C4|12-62|diamond: top 9, right C, bottom R, left 9, class IV|Rd No 314901|1936|1936?|before 1939|[..1900]|1650|"
    "3000|knob of the lid: a heron|lid seat: |:|speckled|edge line|LOOK AT: SEEN|England|Japan|\u0000|\u202e|é|𝟘|½|"
    "ossel.ormsley|'; DROP TABLE|pattern|mould|base|" + "A" * 300
).split("|")
SETS = st.lists(
    st.tuples(
        st.sampled_from(["", "", "", "lid.", "base."]),
        st.sampled_from(NAMES),
        st.sampled_from(["", "", ".2", ".3"]),
        st.sampled_from(VALUES) | st.text(max_size=12),
    ),
    max_size=7,
)
HARD = settings(
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    phases=(Phase.explicit, Phase.reuse, Phase.generate),
)


def taken(typed):
    """The readings of a set that can be read at all; the errors of the others are one line each."""
    for part, name, index, value in typed:
        try:
            reading = read_reading(f"{part}{name}{index}", value)
        except FootringError as error:
            assert str(error)
            continue
        if reading is not None:
            yield reading


def answered(examiner, typed, explain):
    try:
        finding = examiner.finding(list(taken(typed)), explain=explain)
    except FootringError as error:
        assert str(error)
        return
    for one in filter(None, (finding, finding.lid)):
        total = one.outside + one.rest + sum(row.p for row in one.attributions)
        assert total == pytest.approx(1.0, abs=1e-9)
        assert 0.0 <= one.unrecorded <= 1.0 - one.outside + 1e-9
        for shares in one.marginals.values():
            assert sum(p for _, p, _ in shares) == pytest.approx(1.0, abs=1e-9)
        for date in one.dates.values():
            assert date.density.sum() == pytest.approx(1.0, abs=1e-9)
            assert date.density.min() >= 0.0
    json.loads(json.dumps(piece_json(finding), allow_nan=False))
    if explain:
        assert all(len(line) <= 80 for line in tell_piece(finding, why=True, plain=True).splitlines())


@pytest.mark.slow
@settings(HARD, max_examples=10_000)
@given(SETS, st.sampled_from([0, 0, 0, 0, 1]))
def test_readings_are_always_answered(typed, which):
    answered(EXAMINERS[which], typed, explain=False)


@pytest.mark.slow
@settings(HARD, max_examples=150)
@given(SETS, st.sampled_from([0, 0, 0, 0, 1]))
def test_and_explained(typed, which):
    answered(EXAMINERS[which], typed, explain=True)
