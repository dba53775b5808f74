"""The form x treatment grid counts what a slow look at every piece counts, and is quick."""

import re
import time
from collections import Counter, defaultdict
from random import Random
from types import SimpleNamespace

import pytest

from footring.records.known import known
from footring.records.models import MODELS
from footring.reference import compile_reference
from footring.rows.collection import Attribution, Piece, Reading
from footring.rows.reference_things import Body, Decoration, Form, Glaze, Line, Maker, Trim
from footring.web.pages.reference.grid import LISTED, SHADES, grid_of, shade
from footring.web.pages.reference.met import met

FORMS, TREATMENTS = 60, 100


def world(pieces, seed=1):
    """A line of 60 forms in 100 treatments, and pieces confirmed, some twice, some only proposed, some private."""
    dice = Random(seed)
    treatments = [(f"g{n % 5}", f"d{n // 5}", f"t{n % 3}") for n in range(TREATMENTS)]
    rows = {
        "makers": [Maker("m", name="Quillow")], "lines": [Line("l", maker="m", name="Ormsley")],
        "bodies": [Body("b", name="Buff")], "glazes": [Glaze(f"g{n}", name=f"Glaze {n}") for n in range(5)],
        "decorations": [Decoration(f"d{n}", name=f"Heron {n}") for n in range(20)],
        "trims": [Trim(f"t{n}", name=f"Line {n}") for n in range(3)],
        "forms": [Form(f"f{n}", line="l", name=f"Dish {n}") for n in range(FORMS)],
        "pieces": [Piece(f"p{n}", private=n % 7 == 0) for n in range(pieces)],
        "attributions": [], "readings": [],
    }  # fmt: skip
    for n in range(pieces):
        for k in range(dice.choice([1, 1, 2])):
            glaze, decoration, trim = dice.choice(treatments[:: 1 + k])
            basis = "proposed" if dice.random() < 0.2 else "confirmed"
            rows["attributions"].append(Attribution(
                f"a{n}-{k}", piece=f"p{n}", line="l", form=f"f{dice.randrange(FORMS)}", body="b", glaze=glaze,
                decoration=decoration, trim=trim, weight=0.5, basis=basis,
            ))  # fmt: skip
        rows["readings"].append(Reading(f"r{n}", piece=f"p{n}", name="across", value=f"{200 + n % 9} mm"))
    rows["readings"].append(Reading("bad", piece="p1", name="across", value="as wide as a hand"))
    return rows


def slowly(rows, private_too):
    """The twin: which different pieces each cell has, by looking at every attribution."""
    hidden = {piece.id for piece in rows["pieces"] if piece.private and not private_too}
    pieces = defaultdict(set)
    for one in rows["attributions"]:
        if one.basis == "confirmed" and one.piece not in hidden:
            pieces[one.form, one.body, one.glaze, one.decoration, one.trim].add(one.piece)
    return {cell: len(which) for cell, which in pieces.items()}


@pytest.mark.parametrize("private_too", [True, False])
def test_counts_are_those_of_the_slow_twin(private_too):
    rows = world(2000)
    found, twin = met(compile_reference(rows), private_too), slowly(rows, private_too)
    assert found.grid("l") == twin
    by_form = Counter()
    for form in {cell[0] for cell in twin}:
        by_form[form] = len({a.piece for a in rows["attributions"] if a.form == form and a.basis == "confirmed"})
    if private_too:
        assert found.by("form", line="l") == by_form
    assert found.of(line="l", decoration="d3", glaze=None) == 0
    assert found.of(line="nowhere") == 0


def test_what_was_measured_is_that_of_the_pieces_of_the_form():
    rows = world(300)
    wanted = {a.piece for a in rows["attributions"] if a.form == "f3" and a.basis == "confirmed"}
    across = sorted(float(r.value.split()[0]) for r in rows["readings"] if r.piece in wanted and r.id != "bad")
    assert sorted(met(compile_reference(rows), True).measured("f3")) == across


def stored(rows, table):
    made = []
    for row in rows[table]:
        one = MODELS[table]()
        for column in one.SPEC.columns:
            setattr(one, f"{column.name}_id" if column.refers_to else column.name, getattr(row, column.name))
        made.append(one)
    return made


def grid(rows):
    parts = {one.pk: one for table in ("bodies", "glazes", "decorations", "trims") for one in stored(rows, table)}
    line, forms = stored(rows, "lines")[0], stored(rows, "forms")
    return lambda cells: grid_of(line, forms, cells, [], [], parts)


def test_a_grid_of_60_forms_and_100_treatments_is_quick():
    rows = world(20_000)
    reference, made = compile_reference(rows), grid(rows)
    took = []
    for _ in range(5):
        met.cache_clear()
        found = met(reference, True)
        began = time.perf_counter()
        told = made(found.grid("l"))
        html = told.head + told.body
        assert told.lists
        took.append(time.perf_counter() - began)
    assert (len(told.forms), len(told.treatments)) == (FORMS, TREATMENTS)
    assert html.count("<tr>") == FORMS
    assert min(took) < 0.1


def test_every_count_stands_in_its_cell():
    rows = world(500)
    cells = met(compile_reference(rows), True).grid("l")
    told = grid(rows)(cells)
    links = re.findall(r"<a href=[^>]*>(\d+)</a></td>", told.body)
    assert sum(map(int, links)) == sum(cells.values())
    assert told.throughout == "Buff"
    assert "Buff" not in told.head


def test_a_narrow_page_lists_the_commonest_of_each_form_and_how_many_more():
    cells = met(compile_reference(world(2000)), True).grid("l")
    for listed in grid(world(2000))(cells).lists:
        mine = sorted((count for cell, count in cells.items() if cell[0] == listed.form.pk), reverse=True)
        assert [count for *_, count in listed.found] == mine[:LISTED]
        assert listed.more == len(mine) - len(listed.found)


def test_a_name_in_the_grid_is_escaped():
    rows = world(50)
    rows["forms"] = [Form(f.id, line="l", name="<script>") for f in rows["forms"]]
    assert "<script>" not in grid(rows)(met(compile_reference(rows), True).grid("l")).body


def test_documents_of_a_form_ring_what_was_not_met():
    rows = world(50)
    document = SimpleNamespace(form_id="f1", body_id=None, glaze_id=None, decoration_id="d19", trim_id=None)
    parts = {one.pk: one for one in stored(rows, "decorations")}
    told = grid_of(stored(rows, "lines")[0], stored(rows, "forms"), {}, [document], [], parts)
    assert told.treatments == [(None, None, "d19", None)]
    assert told.body.count("○") == 1 and 'aria-label="documented, not met"' in told.body


def test_shades_grow_with_the_count():
    assert [shade(n) for n in (1, 2, 3, 4, 8, 31, 32, 10_000)] == [1, 2, 2, 3, 4, 5, SHADES, SHADES]


@pytest.mark.django_db
def test_a_statement_superseded_no_longer_counts(demo, keeper):
    from footring.records.acts import act

    assert met(known().reference, True).of(line="ossel.ormsley") == 4
    with act("it is another", keeper) as doing:
        doing.add(Attribution("x.a", piece="ossel.piece-8", line="ossel.wherry", form="ossel.wherry-dish", weight=1.0,
                              basis="confirmed", supersedes="ossel.a-8"))  # fmt: skip
    found = met(known().reference, True)
    assert (found.of(line="ossel.ormsley"), found.of(line="ossel.wherry")) == (3, 1)
