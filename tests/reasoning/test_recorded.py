"""What records a cell: a document covers what it names, and no more."""

import numpy as np
import pytest

from footring.marks.readings import Reading
from footring.reasoning.examination import examine_part
from footring.reasoning.model import compile_model
from footring.reference import compile_reference
from footring.rows.collection import Attribution, Piece
from footring.rows.reference_things import Body, Decoration, Form, Glaze, Line, Maker, Trim
from footring.rows.statements import Production

GROUND = {
    "makers": [Maker("q", name="Quillow & Tarn Works")],
    "lines": [Line("o", maker="q", name="Ormsley")],
    "forms": [Form("dish", line="o", name="Covered dish"), Form("cup", line="o", name="Tea cup")],
    "bodies": [Body("b", name="Hotel body"), Body("b2", name="White earthenware")],
    "glazes": [Glaze("g", name="Celadon"), Glaze("g2", name="Oxblood")],
    "decorations": [Decoration("d", name="Reed Heron"), Decoration("d2", name="Buffet Wheel")],
    "trims": [Trim("t", name="Gold line"), Trim("t2", name="Green edge line")],
    "pieces": [Piece(f"p{i}") for i in range(30)],
    "attributions": [
        Attribution(f"a{i}", piece=f"p{i}", line="o", form="cup", body="b2", glaze="g2", decoration="d2", trim="t2",
                    basis="confirmed", weight=1.0) for i in range(30)
    ],
}  # fmt: skip
WHOLE = {"form": "dish", "body": "b", "glaze": "g", "decoration": "d", "trim": "t"}
READ = [Reading("form", "Covered dish"), Reading("body", "Hotel body"), Reading("glaze", "Celadon"),
        Reading("decoration", "Reed Heron"), Reading("trim", "Gold line")]  # fmt: skip


def documented(named):
    """The model with one document that names some parts, and how likely the dish is to be unrecorded."""
    paper = (
        [] if named is None else [Production("x", line="o", made="1911/1938", **{part: WHOLE[part] for part in named})]
    )
    model = compile_model(compile_reference(GROUND | {"productions": paper}))
    return model, examine_part(model, READ).unrecorded


@pytest.mark.parametrize("named", [(), ("form",), ("glaze",), ("glaze", "decoration")])
def test_a_document_that_names_no_treatment_or_no_form_records_no_cell(named):
    model, unrecorded = documented(named)
    without, before = documented(None)
    assert np.array_equal(model.known.cell_form, without.known.cell_form)
    assert unrecorded > 0.9 and before > 0.9


def test_a_document_covers_what_it_names_and_leaves_the_rest_open():
    """The more of a treatment it names, the more of what is met it accounts for; only the whole is that very cell."""
    left = [documented(named)[1] for named in (None, ("form", "glaze"), ("form", "glaze", "decoration"), tuple(WHOLE))]
    assert left == sorted(left, reverse=True) and left[-1] < 0.3 < left[1] < left[0] - 0.05
    model, _ = documented(("form", "glaze"))
    (cell,) = np.flatnonzero(model.known.cell_form == 0)
    assert model.known.treatments[model.known.cell_treatment[cell]].tolist() == [0, -1, 0, -1, -1]
