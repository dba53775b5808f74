"""An invented pottery, small enough to reason about by hand."""

from footring.marks.readings import read_reading
from footring.reference import compile_reference
from footring.rows.reference_things import (
    Body,
    Customer,
    Decoration,
    Form,
    Glaze,
    Label,
    Line,
    Maker,
    Mark,
    Name,
    Placement,
    Size,
    Trim,
)
from footring.rows.statements import Number, Telltale

THINGS = {
    "makers": [Maker("q", name="Quillow & Tarn Works", country="England"), Maker("t", name="Thrale Brothers")],
    "lines": [Line("l.o", maker="q", name="Ormsley"), Line("l.w", maker="q", name="Wherry"), Line("l.t", maker="t", name="Larder")],
    "forms": [
        Form("f.dish", line="l.o", name="round dish", kind="open dish"),
        Form("f.covered", line="l.o", name="round covered dish", kind="covered dish"),
        Form("f.plate", line="l.o", name="dinner plate", kind="plate"),
        Form("f.wplate", line="l.w", name="coupe plate", kind="plate"),
        Form("f.cup", line="l.w", name="coffee cup", kind="cup"),
        Form("f.jar", line="l.t", name="storage jar"),
    ],
    "sizes": [
        Size("s.8", form="f.plate", trade_size="8 in", across_mm=215.0),
        Size("s.10", form="f.plate", trade_size="10 in", across_mm=265.0),
        Size("s.w7", form="f.wplate", trade_size="7 in"),
        Size("s.cup", form="f.cup", across_mm=62.0, high_mm=58.0, capacity_ml=90.0),
        Size("s.jar", form="f.jar", trade_size="36s"),
    ],
    "bodies": [Body("b.e", name="earthenware"), Body("b.s", name="stoneware")],
    "glazes": [
        Glaze("g.sedge", name="Sedge", effect="plain", lab_lightness=60.0, lab_a=-10.0, lab_b=20.0),
        Glaze("g.reed", name="Reed", effect="plain", lab_lightness=62.0, lab_a=-8.0, lab_b=22.0),
        Glaze("g.coal", name="Coal", effect="matt", lab_lightness=22.0, lab_a=0.0, lab_b=1.0),
        Glaze("g.run", name="Tarn", effect="running", lab_lightness=60.0, lab_a=-10.0, lab_b=20.0),
        Glaze("g.clear", name="Clear", effect="plain"),
    ],
    "decorations": [
        Decoration("d.heron", name="Reed Heron", technique="transfer"),
        Decoration("d.fern", name="Fern", technique="transfer"),
        Decoration("d.band", name="Painted band", technique="painting"),
        Decoration("d.none", name="undecorated", technique="none"),
        Decoration("d.unknown", name="Lattice"),
    ],
    "placements": [Placement("p.1", decoration="d.heron", place="well"), Placement("p.2", decoration="d.fern", place="rim")],
    "trims": [
        Trim("t.none", name="no trim", kind="none"),
        Trim("t.green", name="green edge", kind="edge line"),
        Trim("t.gold", name="gold line", kind="gold"),
    ],
    "numbers": [
        Number("n.1", line="l.o", code="417", decoration="d.heron"),
        Number("n.2", line="l.o", code="3/417", decoration="d.fern"),
        Number("n.3", line="l.w", code="1180", decoration="d.heron"),
        Number("n.4", line="l.w", code="1188", decoration="d.band"),
    ],
    "marks": [
        Mark("m.i", maker="q", lettering="QUILLOW & TARN / OSSEL FORD", technique="impressed"),
        Mark("m.g", maker="q", lettering="QUILLOW & TARN / MADE IN ENGLAND", technique="printed", colour="green", device="heron in a ring"),
        Mark("m.b", maker="q", lettering="ORMSLEY / QUILLOW & TARN", technique="printed", colour="black"),
        Mark("m.d", maker="t", device="crown over a shield", technique="stamped"),
    ],
    "customers": [Customer("c.r", name="Tarn Valley Railway")],
    "labels": [Label("la.1", name="silver oval", lettering="QUILLOW & TARN / HAND FINISHED"), Label("la.2", name="paper strip")],
    "names": [
        Name("na.1", thing_table="forms", thing="f.dish", name="nappy", kind="shop"),
        Name("na.2", thing_table="decorations", thing="d.heron", name="the Stork", kind="misnomer"),
    ],
    "telltales": [
        Telltale(
            "te.1", form="f.covered", other_form="f.dish", look_at="lid seat", seen="a ledge inside the rim", seen_on_other="no ledge"
        )
    ],
}  # fmt: skip
REFERENCE = compile_reference(THINGS)


def row(table, name):
    return REFERENCE.find(table, name)


def readings(*typed):
    """Readings from what is typed: "line=Ormsley"."""
    return [read_reading(*each.split("=", 1)) for each in typed]
