"""Readings that cannot be read: all of them named together, and only those an examination would refuse."""

import pytest

from footring.marks.readings import read_reading
from footring.reasoning.examine import examine
from footring.reasoning.learn import learn
from footring.reasoning.parameters import default_parameters
from footring.reasoning.propose import propose
from footring.reference import ReferenceFaults, compile_reference
from footring.rows.collection import Attribution, Piece, Reading
from footring.rows.reference_things import Line, Maker
from footring.terms.errors import BadInput

GOOD = [
    ("across", "213.5 mm"), ("made", "1936"), ("mark_kind", "impressed"), ("mark_kind.2", "printed"), ("glaze", "Sedge"),
    ("numeral_kind", "painted"), ("lid.mark", "ORMSLEY"), ("feature", "rim: wavy"), ("capacity", "none"),
    ("date_code", "C4"), ("date_code", "C" * 2_000), ("number", "417 ~0.7"), ("glaze", "#8a9a6a"),
]  # fmt: skip
BAD = {
    ("across", "213.5"): "it has no unit; write 7 1/4 in, 184 mm",
    ("lid.height", "tall"): "write 7 1/4 in, 184 mm",
    ("capacity", "1 pt"): "write imp pt or us pt",
    ("made", "whenever"): "write it in EDTF",
    ("mark_kind", "blobby"): "expected impressed, incised, raised",
    ("numeral_kind", "squiggle"): "expected how the figure was put there",
    ("glaze", "#8a9a"): "expected # and six digits",
    ("feature", "wavy"): "a colon, and what is seen there",
    ("colour", "green"): "did you mean mark_colour?",
    ("mark", "Q" * 10_001): "at most 10,000 are read",
}


def reference(readings, settled=False):
    rows = [Reading(f"r.{i}", piece="p.1", name=name, value=value) for i, (name, value) in enumerate(readings)]
    basis = [Attribution("a", piece="p.1", line="l", weight=1.0, basis="confirmed")] if settled else []
    return compile_reference(
        {
            "makers": [Maker("q", name="Quillow & Tarn Works")],
            "lines": [Line("l", maker="q", name="Ormsley")],
            "pieces": [Piece("p.1")],
            "readings": rows,
            "attributions": basis,
        }
    )


@pytest.mark.parametrize("settled", [True, False])
def test_every_unreadable_reading_is_named_at_once(settled):
    for asked in (learn, lambda known: propose(known, default_parameters())):
        with pytest.raises(ReferenceFaults, match=rf"^{len(BAD)} faults in the tables\n") as told:
            asked(reference([*GOOD, *BAD], settled))
        lines = [str(fault) for fault in told.value.faults]
        assert [fault.id for fault in told.value.faults] == [f"r.{len(GOOD) + i}" for i in range(len(BAD))]
        for line, ((name, value), expected) in zip(lines, BAD.items(), strict=True):
            assert line.startswith("readings, row ") and f"given {name} '{value[:40]}" in line
            assert "of piece p.1; expected " in line and expected in line
            assert len(line) < 500 and "\n" not in line


def test_what_reads_well_is_let_through():
    assert learn(reference(GOOD)).levels == default_parameters().levels


@pytest.mark.parametrize(("name", "value"), [*GOOD, *BAD])
def test_an_examination_refuses_the_same(name, value):
    try:
        read = [r for r in [read_reading(name, value)] if r is not None]
        figure = [read_reading("numeral", "1")] if name == "numeral_kind" else []
        examine(reference([]), [*figure, *read])
    except BadInput:
        assert (name, value) in BAD
    else:
        assert (name, value) in GOOD


def test_an_absence_without_a_meaning_is_named():
    known = compile_reference(
        {"pieces": [Piece("p.1")], "readings": [Reading("r", piece="p.1", name="feature", absent=True)]}
    )
    with pytest.raises(
        ReferenceFaults, match=r"readings, row 0 \(r\), value: unreadable reading: given feature 'none'"
    ):
        learn(known)


def test_a_reading_that_was_replaced_may_be_anything():
    rows = [
        Reading("r.1", piece="p.1", name="across", value="213.5"),
        Reading("r.2", piece="p.1", name="across", value="213.5 mm", supersedes="r.1"),
    ]
    learn(compile_reference({"pieces": [Piece("p.1")], "readings": rows}))
