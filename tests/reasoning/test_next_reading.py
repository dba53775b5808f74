"""What to look at next, against examining the piece anew with every outcome."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from footring.marks.readings import Reading
from footring.reasoning.carried import carried
from footring.reasoning.date_marginals import way_dates
from footring.reasoning.examination import Examination, examine_part
from footring.reasoning.information import entropy_bits
from footring.reasoning.model import Model, compile_model
from footring.reasoning.next_reading import next_readings
from footring.reference import compile_reference
from footring.rows.reference_things import Form, Line, Maker, Size
from footring.terms.errors import UnknownName
from tests.reasoning.readings import READ, read_off


def test_what_was_read_is_not_asked_again(demo: Model) -> None:
    asked = {look.reading for look in next_readings(examine_part(demo, READ))}
    assert not asked & {"number", "glaze", "form", "trim", "across", "decoration"}
    assert "line" in asked


def test_a_piece_that_is_settled_leaves_little_to_learn(demo: Model) -> None:
    open_, settled = (
        next_readings(examine_part(demo, read_off(*typed)))
        for typed in (
            ("glaze=Clear",),
            ("line=Larder", "form=Ribbed jar", "decoration=Plain", "maker=Quillow & Tarn Works"),
        )
    )
    assert max(look.bits for look in settled) < max(look.bits for look in open_)


def _whole_answer(examined: Examination) -> np.ndarray:
    return np.array([*examined.cells, *examined.unrecorded_forms, examined.outside])


def _information_the_slow_way(
    model: Model,
    readings: list[Reading],
    name: str,
    typed: list[str],
    answer: Callable[[Examination], np.ndarray] = _whole_answer,
) -> float:
    """What each outcome would leave, by an examination of its own; what is in none of them is one outcome more."""

    def answers(read: list[Reading]) -> np.ndarray:
        return answer(examine_part(model, read))

    now, evidence = answers(readings), examine_part(model, readings).log_evidence
    joint = []
    for outcome in (*(Reading(name, text) for text in typed), Reading(name, "", absent=True)):
        read = [*readings, outcome]
        joint.append(math.exp(examine_part(model, read).log_evidence - evidence) * answers(read))
    joint.append(np.maximum(now - np.sum(joint, axis=0), 0.0))
    return entropy_bits(now) - sum(float(of.sum()) * entropy_bits(of / of.sum()) for of in joint)


@pytest.mark.parametrize(("name", "table", "unreadable", "within"), [("line", "lines", 0.3, 1e-3), ("form", "forms", 0.02, 1e-3), ("glaze", "glazes", 0.03, 0.05), ("trim", "trims", 0.08, 0.05)])  # fmt: skip
def test_what_a_reading_would_tell_is_what_its_outcomes_would_leave(
    demo: Model, name: str, table: str, unreadable: float, within: float
) -> None:
    readings = read_off("mark=QUILLOW & TARN / MADE IN ENGLAND", "across=213 mm")
    typed = [str(text) for text in demo.reference.tables[table].text("name").tolist()]
    slow = _information_the_slow_way(demo, readings, name, typed) * (1.0 - unreadable)
    (found,) = [look.bits for look in next_readings(examine_part(demo, readings)) if look.reading == name]
    assert found == pytest.approx(slow, abs=within * max(slow, 0.1))


def _size(examined: Examination) -> np.ndarray:
    sizes = (1.0 - examined.outside) * examined.marginals["size"]
    return np.array([*sizes, max(1.0 - examined.outside - sizes.sum(), 0.0), examined.outside])


def _number(examined: Examination) -> np.ndarray:
    return np.array([*((1.0 - examined.outside) * carried(examined)["number"]), examined.outside])


def _years(examined: Examination) -> np.ndarray:
    """By spans of three years, whatever else it is but outside."""
    inside = sum(
        share * way_dates(examined, way)["decorated"] for share, way in zip(examined.shares, examined.ways, strict=True)
    )
    return np.array([*np.add.reduceat(inside, np.arange(0, len(inside), 3)), examined.outside])


ASKED = [
    ("size", _size, "trade_size", ("sizes", "trade_size"), 0.3, 0.01),
    ("size", _size, "line", ("lines", "name"), 0.3, 0.01),
    ("number", _number, "number", ("numbers", "code"), 0.1, 0.05),
    ("number", _number, "line", ("lines", "name"), 0.3, 0.1),
    ("years", _years, "line", ("lines", "name"), 0.3, 0.01),
]


@pytest.mark.parametrize(("about", "answer", "name", "texts", "unreadable", "within"), ASKED)
def test_a_size_a_number_and_years_can_be_asked_about(
    demo: Model,
    about: str,
    answer: Callable[[Examination], np.ndarray],
    name: str,
    texts: tuple[str, str],
    unreadable: float,
    within: float,
) -> None:
    """Least exact of numbers: what a form carries that nobody recorded is one thing among the atoms."""
    readings = read_off("glaze=Clear")
    table, column = texts
    typed = list(dict.fromkeys(str(t) for t in demo.reference.tables[table].text(column).tolist() if t))
    slow = _information_the_slow_way(demo, readings, name, typed, answer) * (1.0 - unreadable)
    (found,) = [look.bits for look in next_readings(examine_part(demo, readings), about) if look.reading == name]
    assert found == pytest.approx(slow, rel=within)


def test_of_a_form_that_is_settled_only_its_size_is_left_to_ask() -> None:
    """Two sizes as likely: measuring tells one bit, but for what cannot be read; its form next to nothing."""
    model = compile_model(
        compile_reference(
            {
                "makers": [Maker("q", name="Quillow & Tarn Works")],
                "lines": [Line("l", maker="q", name="Ormsley")],
                "forms": [Form("f", line="l", name="Plate")],
                "sizes": [Size(f"s{mm}", form="f", across_mm=float(mm)) for mm in (100, 300)],
            }
        )
    )
    bits = {look.reading: look.bits for look in next_readings(examine_part(model, read_off("line=Ormsley")), "size")}
    assert 0.9 < bits["across"] < 1.0 and bits["form"] < 0.05


def test_nothing_is_asked_about_what_nobody_knows_of(demo: Model) -> None:
    names = "maker, line, form, body, glaze, decoration, trim, treatment, outside, size, number, years"
    with pytest.raises(UnknownName, match=f"nothing can be asked about 'price': expected one of {names}$"):
        next_readings(examine_part(demo, READ), "price")
