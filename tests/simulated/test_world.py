"""The invented pottery, and the files that describe other worlds."""

import ast
import json
import re
from collections import Counter
from dataclasses import asdict, replace
from importlib.resources import files
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import chi2_contingency, combine_pvalues

from footring.demo.meeting import draw_pieces
from footring.demo.pack_paper import SOURCES
from footring.demo.parameters import Parameters, _from_text, random_world, read_world
from footring.demo.readers import vocabularies
from footring.demo.reading_off import meet
from footring.demo.ware import draw_world
from footring.demo.words import words
from footring.terms.errors import BadInput
from tests.house import ROOT


@pytest.fixture(scope="module")
def world():
    return draw_world(Parameters())


def test_the_invented_pottery_is_rich_enough_to_teach(world):
    things, marks = world.things, [mark for mark in world.marks.marks if mark.maker == 0]
    assert len(things.lines) >= 5 and len({line.habit for line in things.lines}) >= 5
    assert len(things.forms) >= 60 and len(things.glazes) >= 25 and len(things.decorations) >= 150
    assert len(world.codes) >= 350 and len(marks) >= 40 and len(things.customers) >= 5 and len(SOURCES) >= 12
    assert len({mark.scheme for mark in marks} - {""}) >= 5
    assert len({glaze["effect"] for glaze in things.glazes}) >= 4
    sizes = Counter(size.form for size in things.sizes)
    assert sum(many > 1 for many in sizes.values()) >= 30
    assert sum(form.twin >= 0 for form in things.forms) >= 8 and sum(form.base >= 0 for form in things.forms) >= 5
    assert len(world.pairs) >= 3 and len(world.labels.own) >= 3


def test_shares_are_shares(world):
    assert world.rate.sum() == pytest.approx(1) and world.lag.sum() == pytest.approx(1)
    for table, axis in ((world.when, 1), (world.marks.printed, 1), (world.marks.in_clay, 1), (world.labels.share, 0)):
        np.testing.assert_allclose(table.sum(axis=axis), 1.0, rtol=1e-12)
    for name, of in vocabularies(world.p, world.things).items():
        np.testing.assert_allclose(of.p.sum(axis=2), 1.0, rtol=1e-12, err_msg=name)


def test_nothing_is_made_before_it_is_designed(world):
    designed = np.array([form.designed for form in world.things.forms])[world.cells[:, 0]]
    pattern = np.array([d.designed for d in world.things.decorations])[world.treatments[world.cells[:, 1], 3]]
    assert (1904 + world.when.argmax(axis=1) >= np.maximum(designed, pattern)).all()
    assert not world.when[np.arange(1904, 1969)[None, :] < np.maximum(designed, pattern)[:, None]].any()


def test_no_blank_is_older_than_its_form(world):
    found = draw_pieces(world, np.random.default_rng(3), 5_000)
    inside = found.cell >= 0
    assert (found.potted >= world.since[world.cells[found.cell, 0]])[inside].all()
    assert (found.potted <= found.year).all() and (found.potted < found.year).any()


@pytest.mark.parametrize("seed", range(12))
def test_a_line_that_offers_little_offers_something(seed):
    """Every line whose forms and treatments meet in time makes something, however narrow its offer."""
    world = draw_world(
        replace(Parameters(), seed=seed, lines=8, forms_a_line=2, treatments_a_line=2, breadth=0.02, samples_share=0.0)
    )
    assert np.isfinite(world.rate).all() and world.offered.any() and world.rate.sum() == pytest.approx(1)


def test_what_is_not_looked_at_says_nothing_of_what_a_piece_is(world):
    """Pearson's chi-square of independence, one for each reading and attribute (scipy.stats.chi2_contingency).

    A code is read with its mark, so pieces whose printed mark was seen are the ones to count for it.
    """
    found = meet(world, vocabularies(world.p, world.things), np.random.default_rng(2), 20_000)
    line = np.where(found.cell < 0, len(world.things.lines), world.treatments[world.cells[found.cell, 1], 0])
    of = {"line": line, "kind": world.offered[found.cell], "decade": found.year // 10, "marked": found.printed >= 0}
    low = []
    for name in (
        "form",
        "glaze",
        "mark",
        "mark.2",
        "across",
        "height",
        "label",
        "customer",
        "feature",
        "number",
        "decoration",
        "date_code",
    ):
        there = np.array([name in read for read in found.readings])
        counted = (
            np.array([read.get("mark", "none") != "none" for read in found.readings])
            if name == "date_code"
            else there | True
        )
        for value in of.values():
            groups = np.unique(value[counted])
            if len(groups) > 1:
                table = [
                    [(there & (value == g) & counted).sum(), (~there & (value == g) & counted).sum()] for g in groups
                ]
                low.append(chi2_contingency(table).pvalue)
    assert min(low) > 0.001 / len(low)
    assert combine_pvalues(low).pvalue > 0.001


def test_the_oracle_knows_nothing_of_the_reasoning():
    for path in Path(str(files("footring.demo"))).glob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        named = {n.module for n in ast.walk(tree) if isinstance(n, ast.ImportFrom)}
        named |= {alias.name for n in ast.walk(tree) if isinstance(n, ast.Import) for alias in n.names}
        assert not [name for name in named if name and name.startswith("footring.reasoning")], path.name


def test_names_are_given_once():
    for table, column in (
        ("makers", "name"),
        ("lines", "name"),
        ("glazes", "name"),
        ("customers", "name"),
        ("bodies", "name"),
    ):
        many = Counter(row[column] for row in words(table))
        assert max(many.values()) == 1, table


# ---- world files


def test_a_world_file_comes_back_as_it_was(tmp_path):
    for given in (Parameters(), random_world(3), random_world(4)):
        path = tmp_path / "world.json"
        path.write_text(given.as_json(), encoding="utf-8")
        assert read_world(str(path)) == given


def test_a_world_file_says_only_what_differs(tmp_path):
    path = tmp_path / "world.json"
    path.write_text(json.dumps({"lines": 3, "misread": 0.1}))
    assert read_world(str(path)) == Parameters(lines=3, misread=0.1)


def test_every_key_of_a_world_is_explained_and_has_its_range():
    page = (ROOT / "docs/explanation/the-invented-pottery.md").read_text(encoding="utf-8")
    keys = set(asdict(Parameters()))
    assert keys == set(re.findall(r"`([a-z_]+)`", page.split("## World files")[1].split("## ")[0]))
    for key in keys:
        with pytest.raises(BadInput, match=f"{key} is -1"):
            _from_text(json.dumps({key: -1}), "world.json")


def test_random_worlds_differ_and_come_back():
    worlds = [random_world(seed) for seed in range(1, 9)]
    assert len(set(worlds)) == 8 and worlds == [read_world(f"random:{seed}") for seed in range(1, 9)]


BAD = {
    '{"line": 3}': r"no world has 'line'; did you mean lines\?",
    '{"lines": 2.5}': r"lines is 2\.5; expected a whole number from 1 to 8",
    '{"lines": true}': r"lines is True; expected a whole number from 1 to 8",
    '{"lines": 90}': r"lines is 90; expected a whole number from 1 to 8",
    '{"misread": "much"}': r"misread is 'much'; expected a number from 0 to 0\.4",
    '{"misread": NaN}': r"misread is nan; expected a number from 0 to 0\.4",
    '{"zebra": 1}': r"no world has 'zebra'; it may say seed, lines,",
    "[1, 2]": r"holds list; expected one object",
    "lines: 3": r"is no JSON",
    "[" * 100_000: r"is no JSON",
}


@pytest.mark.parametrize("text", BAD, ids=lambda text: text[:20])
def test_a_world_file_that_says_something_else(text, tmp_path):
    path = tmp_path / "bad.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput, match=BAD[text]):
        read_world(str(path))


def test_a_world_file_that_cannot_be_read(tmp_path):
    (tmp_path / "latin.json").write_bytes(b'{"lines": "\xe9"}')
    for given, text in ((tmp_path / "none.json", "give a JSON file, or random:SEED"), (tmp_path, "give a JSON file"),
                        (tmp_path / "latin.json", "is not UTF-8 text"), ("random:x", "is followed by a seed"),
                        ("random:", "is followed by a seed")):  # fmt: skip
        with pytest.raises(BadInput, match=text):
            read_world(str(given))
