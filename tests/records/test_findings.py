"""What is kept of a finding, and what a person may confirm by it."""

from pathlib import Path

import pytest

import footring.demo
from footring import load_pack
from footring.marks.readings import read_reading
from footring.reasoning.examine import Examiner
from footring.records.findings import cells_of, kept, leading
from footring.reference import compile_reference, extend
from footring.rows.collection import Attribution, Piece

LID = "ossel.ormsley-lid"
OUTSIDE = ("maker=Hask Marling", "mark=HASK MARLING")


@pytest.fixture(scope="module")
def examiner():
    """Of the invented pottery, with a lid that somebody confirmed."""
    reference = compile_reference(load_pack(Path(footring.demo.__file__).parent / "pack").tables)
    lid = Attribution(
        "a lid", piece="lid", line="ossel.ormsley", form=LID, body="ossel.buff", glaze="ossel.clear",
        decoration="ossel.plain", trim="ossel.no-trim", weight=1.0, basis="confirmed",
    )  # fmt: skip
    return Examiner(extend(reference, {"pieces": [Piece("lid")], "attributions": [lid]}))


def found(examiner, *typed):
    return examiner.finding(filter(None, (read_reading(*one.split("=")) for one in typed)), explain=False, most=0)


@pytest.mark.parametrize("typed", [("line=Ormsley",), ("line=Ormsley", "lid.glaze=Sedge"), OUTSIDE])
def test_answers_are_those_of_the_finding(typed, examiner):
    """That a piece is from outside, and that nobody recorded it, is worked out by the finding itself as well."""
    finding = found(examiner, *typed)
    [outside] = [cell.p for cell in cells_of(examiner.model, finding) if cell.outcome == "outside"]
    [unrecorded] = [cell.p for cell in cells_of(examiner.model, finding) if cell.outcome == "unrecorded"]
    assert (outside, unrecorded) == pytest.approx((finding.outside, finding.unrecorded), abs=1e-12)


def test_with_a_lid_read_apart_the_piece_is_no_lid_and_the_lid_nothing_else(examiner):
    finding = found(examiner, "line=Ormsley", "lid.line=Ormsley")
    forms = {part: {cell.ids.get("form") for cell in cells_of(examiner.model, finding, part)} for part in (None, "lid")}
    assert LID not in forms[None] and len(forms[None]) > 2
    assert forms["lid"] == {LID, None}
    alone = {cell.ids.get("form") for cell in cells_of(examiner.model, found(examiner, "line=Ormsley"))}
    assert LID in alone, "without a lid read apart it may be one"


def test_a_finding_is_kept_of_each_part_that_was_read(examiner):
    def parts(*typed):
        kept_now = kept(examiner.model, found(examiner, *typed), "p", {"lid": "its lid"})
        return [one.finding.part for one in kept_now]

    assert parts("line=Ormsley", "lid.glaze=Sedge") == [None, "its lid"]
    assert parts("line=Ormsley") == [None]
    assert parts("lid.glaze=Sedge") == ["its lid"]
    assert parts() == []


def test_it_is_kept_with_its_answers_in_order_and_what_it_was_made_with(examiner):
    finding = found(examiner, "line=Ormsley", "form=covered dish")
    [one] = kept(examiner.model, finding, "p", {})
    row, *answers = one.as_rows()
    assert (row.piece, row.part, row.reference_digest) == ("p", None, finding.provenance["reference"])
    assert (row.version, row.parameter_digest) == (footring.__version__, finding.provenance["parameters"])
    assert [answer.rank for answer in answers] == list(range(1, len(one.cells) + 1))
    assert {answer.finding for answer in answers} == {row.id} and len({answer.id for answer in answers}) == len(answers)


def test_the_likeliest_recorded_cell_is_proposed_with_its_chance(examiner):
    [one] = kept(examiner.model, found(examiner, "line=Ormsley", "form=covered dish"), "p", {})
    proposed, best = one.proposal(), leading(one.cells)
    assert (proposed.basis, proposed.finding, proposed.weight) == ("proposed", one.finding.id, best.p)
    assert {name: getattr(proposed, name) for name in best.ids} == best.ids
    assert best.p == max(cell.p for cell in one.cells if cell.outcome == "recorded")


def test_what_is_hardly_likely_is_not_proposed(examiner):
    [one] = kept(examiner.model, found(examiner, *OUTSIDE), "p", {})
    assert one.proposal() is None


def test_nothing_can_be_confirmed_of_what_is_from_outside_or_was_not_read(examiner):
    assert leading(cells_of(examiner.model, found(examiner, "line=Ormsley"))) is not None
    for typed in (OUTSIDE, ("lid.glaze=Sedge",), ()):
        assert leading(cells_of(examiner.model, found(examiner, *typed))) is None
