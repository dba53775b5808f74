"""Ten thousand marks nobody would write: an answer each time, in bounded time, and never a traceback."""

import json

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from footring.reasoning.date_json import date_json
from footring.reasoning.date_mark import date_mark
from footring.reasoning.tell import tell
from footring.terms.errors import FootringError

PIECES = (
    "ENGLAND|MADE IN|JAPAN|OCCUPIED|Rd No|314901|PAT. NO.|1,180,881|(c) 1958|EST. 1886|none|impressed:|printed in green|"
    '"|/|?|...|[illegible]|(?)|||;|QUILLOW & TARN|LTD|NOT FOR OVEN|diamond: top 9, right C, bottom R, left 9, class IV|'
    "12-62|14 flames|XXI|On base|label|©|½|\u0000|\u202e|é|𝟘|1850|2447|99999999999|<IV 9/C/R/9>|made in|U.S.A.|ZIP 90210"
).split("|")
MARKS = st.one_of(
    st.lists(st.sampled_from(PIECES), max_size=14).map(" ".join),
    st.lists(st.sampled_from(PIECES) | st.text(max_size=6), max_size=10).map("".join),
    st.text(max_size=60),
)
SLOW = [HealthCheck.too_slow, HealthCheck.data_too_large]


@settings(max_examples=10_000, deadline=2000, suppress_health_check=SLOW)
@given(MARKS)
def test_a_mark_is_always_answered(mark):
    finding = date_mark(mark)
    for answer in finding.dated.dates.values():
        assert answer.density.sum() == pytest.approx(1, abs=1e-9)
        assert answer.density.min() >= 0
        first, last = answer.window
        assert first is None or last is None or first <= last
        assert first is None or answer.density[answer.years < first].sum() == 0
        assert last is None or answer.density[answer.years > last].sum() == 0


@settings(max_examples=300, deadline=2000, suppress_health_check=SLOW)
@given(MARKS, MARKS, st.sampled_from(["", "none", "before 1939", "1936 or 1937", "1936?", "[..1900]", "??"]))
def test_what_is_told_is_plain_and_whole(mark, lid, made):
    try:
        finding = date_mark(mark, made=made, **{"lid.mark": lid})
    except FootringError as error:
        assert made == "??" and str(error)
        return
    json.loads(json.dumps(date_json(finding), allow_nan=False))
    assert all(len(line) <= 80 for line in tell(finding, plain=True).splitlines())
