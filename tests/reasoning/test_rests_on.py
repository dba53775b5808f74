"""What a reading's weight rests on: the scheme that makes a date of a code, with its source."""

from __future__ import annotations

import pytest

from footring.reasoning.examination import examine_part
from footring.reasoning.explain import explain
from footring.reasoning.model import Model, compile_model
from footring.reference import compile_reference
from footring.rows.reference_things import DateCodeField, DateCodeScheme, Form, Line, Maker, Mark
from tests.reasoning.readings import read_off


@pytest.mark.parametrize(
    ("typed", "rests"),
    [
        ("date_code=C4", "date code Letter for the year, figure for the month (ossel.letters), 1932-1939 [Decorating"),
        (
            "date_code=none",
            "date code Letter for the year, figure for the month (ossel.letters), 1932-1939 [Decorating",
        ),
        ("date_code=Z9Q", "no scheme of the reference: none makes a date of Z9Q"),
    ],
)
def test_a_date_code_rests_on_the_scheme_that_makes_a_date_of_it(demo: Model, typed: str, rests: str) -> None:
    found = explain(examine_part(demo, read_off("mark=QUILLOW & TARN / MADE IN ENGLAND", typed)))
    (code,) = [one for one in found.evidence if one.reading == typed]
    assert len(code.rests_on) == 1 and code.rests_on[0].startswith(rests)


def test_without_a_scheme_a_missing_date_code_rests_on_none() -> None:
    model = compile_model(compile_reference({}))
    (code,) = explain(examine_part(model, read_off("date_code=none"))).evidence
    assert code.rests_on == ("no scheme of the reference: none has a code",)


def test_a_code_in_a_mark_rests_on_its_scheme_too() -> None:
    """A scheme from memory is told as such, and its codes are found in the mark."""
    model = compile_model(
        compile_reference(
            {
                "makers": [Maker("q", name="Quillow & Tarn Works")],
                "lines": [Line("l", maker="q", name="Ormsley")],
                "forms": [Form("f", line="l", name="Plate")],
                "date_code_schemes": [
                    DateCodeScheme("s", name="Two figures", maker="q", maker_pattern="quillow+tarn", span_from="1920",
                                   span_to="1949", scan="line", status="memory")
                ],
                "date_code_fields": [
                    DateCodeField("s.1", scheme="s", position=1, kind="number", name="year", gives="year2", width="2")
                ],
                "marks": [Mark("m", maker="q", lettering="QUILLOW & TARN", technique="printed", date_code_scheme="s")],
            }
        )
    )  # fmt: skip
    (mark,) = explain(examine_part(model, read_off("mark=QUILLOW & TARN / 34"))).evidence
    assert "date code Two figures (s), 1920-1949 [no source] from memory" in mark.rests_on
