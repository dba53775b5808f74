"""A pottery small enough to work answers out by hand: two lines, four forms, three glazes, three decorations."""

from functools import cache

import numpy as np

from footring.marks.readings import read_reading
from footring.reasoning.calibration.features import Lookups, features
from footring.reasoning.calibration.training import Laid, Pieces
from footring.reference import compile_reference
from footring.rows import TABLES, RowTable
from footring.rows import reference_things as things
from footring.rows import statements as said

ROWS = {
    "makers": [things.Maker("m0", name="Quillow & Tarn")],
    "lines": [things.Line("l0", maker="m0", name="Ormsley"), things.Line("l1", maker="m0", name="Wherry")],
    "forms": [
        things.Form("f0", line="l0", name="Oval covered dish", kind="covered dish"),
        things.Form("f1", line="l0", name="Ormsley plate", kind="plate"),
        things.Form("f2", line="l1", name="Round covered dish", kind="Covered  dish"),
        things.Form("f3", line="l1", name="Wherry plate", kind="plate"),
    ],
    "sizes": [
        things.Size("s0", form="f0", across_mm=200.0, high_mm=90.0),
        things.Size("s1", form="f1", across_mm=250.0),
        things.Size("s2", form="f1", across_mm=180.0),
        things.Size("s3", form="f2", across_mm=204.0, high_mm=120.0),
    ],
    "bodies": [things.Body("b0", name="earthenware")],
    "glazes": [
        things.Glaze("g0", name="Withy green", effect="plain", lab_lightness=60.0, lab_a=-20.0, lab_b=10.0),
        things.Glaze("g1", name="Tin white", effect="matt", lab_lightness=90.0, lab_a=0.0, lab_b=5.0),
        things.Glaze("g2", name="Sedge"),
    ],
    "decorations": [
        things.Decoration("d0", name="Undecorated", technique="none"),
        things.Decoration("d1", name="Reed Heron", technique="transfer"),
        things.Decoration("d2", name="Towpath", technique="painting"),
    ],
    "trims": [things.Trim("t0", name="untrimmed", kind="none"), things.Trim("t1", name="Green edge", kind="edge line")],
    "marks": [
        things.Mark("k0", maker="m0", lettering="ORMSLEY / OSSEL FORD", technique="impressed"),
        things.Mark("k1", maker="m0", lettering="WHERRY WARE", technique="printed"),
    ],
    "mark_uses": [said.MarkUse("u0", mark="k0", line="l0"), said.MarkUse("u1", mark="k1", line="l1")],
    "numbers": [
        said.Number("n0", line="l0", code="417", decoration="d1"),
        said.Number("n1", line="l1", code="417", decoration="d2"),
        said.Number("n2", line="l1", code="9 M", decoration="d1"),
    ],
    "telltales": [
        said.Telltale("tt0", form="f0", other_form="f2", look_at="Rim", seen="a ledge inside", seen_on_other="smooth")
    ],
    "names": [
        things.Name("a0", thing_table="decorations", thing="d1", name="the heron", kind="collectors"),
        things.Name("a1", thing_table="glazes", thing="g0", name="sedge", kind="misnomer"),
    ],
}
CELLS = np.array([[0, 0, 0, 0, 1, 0], [0, 1, 0, 1, 0, 0], [1, 2, 0, 0, 2, 1], [1, 3, 0, 2, 1, 0]])
"""Line, form, body, glaze, decoration, trim of four cells."""
SIZES = (2, 4, 1, 3, 3, 2)


@cache
def reference():
    return compile_reference({name: RowTable.from_rows(TABLES[name], rows) for name, rows in ROWS.items()})


def read(**values):
    """Columns of one piece; a name's underscore before a number stands for a full stop."""
    given = [read_reading(name.replace("_2", ".2"), value) for name, value in values.items()]
    return features([one for one in given if one is not None], Lookups(reference()))


def lay(rows, truth, asked):
    return Laid(Pieces(rows, np.array(truth, dtype=np.int64).reshape(-1, 6)), asked, SIZES)
