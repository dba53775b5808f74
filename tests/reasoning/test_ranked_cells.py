"""The answers a finding keeps are those of the full list of attributions, summed over sizes, numbers and marks."""

from collections import defaultdict
from pathlib import Path

import pytest

import footring.demo
from footring import compile_reference, examine, load_pack
from footring.marks.readings import Reading
from footring.reasoning.examine import Examiner
from footring.reasoning.model import compile_model
from footring.reasoning.ranked_cells import ranked_cells

MODEL = compile_model(compile_reference(load_pack(Path(footring.demo.__file__).parent / "pack").tables))
DISH = [Reading("number", "417"), Reading("form", "covered dish"), Reading("trim", "Green edge line")]


def test_cells_are_the_attributions_summed():
    finding = examine(MODEL, DISH)
    summed: dict[tuple[str | None, ...], float] = defaultdict(float)
    for row in finding.attributions:
        if row.recorded:
            summed[tuple(row.values[n].id for n in ("line", "form", "body", "glaze", "decoration", "trim"))] += row.p
    told = ranked_cells(MODEL, DISH)
    best = next(cell for cell in told if cell.outcome == "recorded")
    assert best.p == pytest.approx(max(summed.values()), abs=finding.rest + 1e-9)
    assert tuple(best.ids.values()) in summed
    assert {c.outcome: c.p for c in told if c.outcome != "recorded"} == pytest.approx(
        {"outside": finding.outside, "unrecorded": finding.unrecorded}
    )
    assert sum(cell.p for cell in told) <= 1.0 + 1e-9


def test_a_lid_has_answers_of_its_own():
    """Nobody recorded a lid in the invented pottery: it is a known form in what is not recorded."""
    read = [*DISH, Reading("glaze", "Clear", part="lid")]
    lid, base = (ranked_cells(MODEL, read, part) for part in ("lid", None))
    assert lid[0].outcome == "unrecorded" and "recorded" not in {cell.outcome for cell in lid}
    assert base[0].ids["form"] == "ossel.ormsley-dish"
    assert [c.p for c in base] != pytest.approx([c.p for c in ranked_cells(MODEL, DISH)], abs=1e-6)


def test_a_finding_without_attributions_says_the_rest_all_the_same():
    whole, quick = (Examiner(MODEL).finding(DISH, explain=False, most=most) for most in (200, 0))
    assert quick.attributions == () and quick.rest == pytest.approx(1.0 - quick.outside)
    assert quick.marginals == whole.marginals
    assert quick.dates["decorated"].intervals == whole.dates["decorated"].intervals


def test_a_lid_and_its_base_are_paired_however_few_attributions_are_told():
    read = [*DISH, Reading("decoration", "Plain", part="lid")]
    whole, quick = (Examiner(MODEL).finding(read, explain=False, most=most) for most in (200, 0))
    assert whole.conflicts == quick.conflicts != ()
