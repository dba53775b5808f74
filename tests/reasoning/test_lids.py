"""Lids and bases: issued together, in one treatment or two, or not that anyone knows."""

import pytest

from footring.marks.readings import Reading
from footring.reasoning.examine import examine
from footring.reasoning.lids import MARRIED
from footring.reference import compile_reference
from footring.rows.collection import Attribution, Piece
from footring.rows.reference_things import Decoration, Form, Glaze, Line, Maker
from footring.rows.statements import GoesWith

GROUND = {
    "makers": [Maker("q", name="Quillow & Tarn Works")],
    "lines": [Line("o", maker="q", name="Ormsley")],
    "forms": [
        Form("dish", line="o", name="Covered dish"), Form("lid", line="o", name="Dish lid"),
        Form("pot", line="o", name="Tea pot"), Form("potlid", line="o", name="Pot lid"), Form("cup", line="o", name="Cup"),
    ],
    "glazes": [Glaze("g", name="Celadon"), Glaze("b", name="Oxblood"), Glaze("w", name="Tin white")],
    "decorations": [Decoration("d", name="Plain")],
    "pieces": [Piece(f"p{i}") for i in range(40)],
    "attributions": [
        Attribution(f"a{i}", piece=f"p{i}", line="o", form=form, glaze=glaze, decoration="d", basis="confirmed", weight=1.0)
        for i, (form, glaze) in enumerate(
            [(form, glaze) for form in ("dish", "lid", "pot", "potlid") for glaze in "gbw"] * 3
        )
    ],
}  # fmt: skip


def looked_at(pairs, **named):
    """The finding of a lid and a base, by form and glaze of each."""
    read = [Reading(name.removeprefix("lid_"), value, part="lid" if name.startswith("lid_") else None)
            for name, value in named.items()]  # fmt: skip
    return examine(compile_reference(GROUND | {"goes_with": pairs}), read)


def married(finding):
    return [one.explanation for one in finding.conflicts if one.explanation == MARRIED]


ANY = GoesWith("w1", kind="lid", form="lid", with_form="dish")
SAME = [GoesWith(f"w1{g}", kind="lid", form="lid", glaze=g, with_form="dish", with_glaze=g) for g in "gbw"]
TWO = GoesWith("w2", kind="lid", form="lid", glaze="b", with_form="dish", with_glaze="g")
POT = GoesWith("w3", kind="lid", form="potlid", with_form="pot")
SAUCER = GoesWith("w4", kind="saucer", form="cup", with_form="dish")


@pytest.mark.parametrize(
    ("pairs", "lid", "base", "together"),
    [
        ([ANY], ("Dish lid", "Celadon"), ("Covered dish", "Celadon"), True),
        ([ANY], ("Dish lid", "Oxblood"), ("Covered dish", "Celadon"), True),
        ([ANY, TWO], ("Dish lid", "Celadon"), ("Covered dish", "Oxblood"), True),
        (SAME, ("Dish lid", "Celadon"), ("Covered dish", "Celadon"), True),
        (SAME, ("Dish lid", "Oxblood"), ("Covered dish", "Celadon"), False),
        ([*SAME, TWO], ("Dish lid", "Oxblood"), ("Covered dish", "Celadon"), True),
        ([*SAME, TWO], ("Dish lid", "Celadon"), ("Covered dish", "Oxblood"), False),
        ([TWO], ("Dish lid", "Celadon"), ("Covered dish", "Celadon"), False),
        ([ANY, POT], ("Pot lid", "Celadon"), ("Covered dish", "Celadon"), False),
        ([ANY, POT], ("Pot lid", "Celadon"), ("Tea pot", "Celadon"), True),
    ],
)
def test_issued_together_or_not(pairs, lid, base, together):
    found = looked_at(pairs, lid_form=lid[0], lid_glaze=lid[1], form=base[0], glaze=base[1])
    assert (found.together is not None) == together
    assert bool(married(found)) == (not together)


def test_where_nothing_is_known_of_lids_nothing_is_said():
    for pairs in ([], [SAUCER]):
        found = looked_at(pairs, lid_form="Dish lid", lid_glaze="Oxblood", form="Covered dish", glaze="Celadon")
        assert found.lid is not None
        assert found.together is None
        assert not married(found)


def test_a_lid_is_one_of_the_lids_and_a_base_is_none():
    found = looked_at([ANY, POT], lid_glaze="Celadon", glaze="Celadon")
    assert {value for value, *_ in found.lid.marginals["form"]} == {"Dish lid", "Pot lid"}
    assert {value for value, *_ in found.marginals["form"]} == {"Covered dish", "Tea pot", "Cup"}


def test_a_base_alone_may_be_anything():
    found = looked_at([ANY, POT], glaze="Celadon")
    assert found.lid is None
    assert len(found.marginals["form"]) == 5


def test_what_was_read_of_the_lid_says_nothing_of_the_base():
    alone = looked_at([ANY, POT], lid_glaze="Celadon")
    read = looked_at([ANY, POT], lid_glaze="Oxblood", lid_mark="ORMSLEY")
    assert alone.marginals == read.marginals
    assert alone.dates["decorated"].density.tolist() == read.dates["decorated"].density.tolist()


def test_base_and_whole_are_one_part():
    known = compile_reference(GROUND)
    one = examine(known, [Reading("glaze", "Celadon", part="base")])
    other = examine(known, [Reading("glaze", "Celadon")])
    assert one.marginals == other.marginals
    assert one.lid is None
