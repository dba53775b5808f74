"""What is put on pieces and written down of them: lids, customers, faults, corrections."""

from collections import Counter

import numpy as np
import pytest
from scipy.stats import binomtest

from footring.demo.lids import THERE, draw_lids
from footring.demo.oracle import Oracle
from footring.demo.oracle_lids import LidOracle
from footring.demo.pack_faults import conditions, corrections
from footring.demo.pack_out import pack_tables
from footring.demo.pack_paper import paper_rows
from footring.demo.parameters import Parameters
from footring.demo.readers import vocabularies
from footring.demo.reading_off import meet
from footring.demo.rows_out import truth_names
from footring.demo.ware import draw_world

MANY = 20_000


@pytest.fixture(scope="module")
def world():
    return draw_world(Parameters())


@pytest.fixture(scope="module")
def met(world):
    return meet(world, vocabularies(world.p, world.things), np.random.default_rng(5), MANY)


@pytest.fixture(scope="module")
def lids(world, met):
    return draw_lids(world, vocabularies(world.p, world.things), np.random.default_rng(6), met)


def test_lids_lie_on_what_has_a_lid_and_are_married_as_often_as_told(world, met, lids):
    lidded = {form.base for form in world.things.forms if form.base >= 0}
    has = np.array([c >= 0 and int(world.cells[c, 0]) in lidded for c in met.cell])
    there = lids.form >= 0
    assert not (there & ~has).any()
    assert binomtest(int(there.sum()), int(has.sum()), THERE).pvalue > 0.001
    assert binomtest(int(lids.married.sum()), int(there.sum()), world.p.marriages).pvalue > 0.001


def test_what_was_issued_together_fits(world, met, lids):
    forms, seen = world.things.forms, Counter()
    for i in np.flatnonzero((lids.form >= 0) & ~lids.married).tolist():
        form, treatment = world.cells[met.cell[i]].tolist()
        assert forms[lids.form[i]].base == form
        base = int(world.treatments[treatment, 2])
        if lids.glaze[i] != base:
            assert world.pairs[int(lids.form[i])] == (int(lids.glaze[i]), base)
        seen[bool(lids.glaze[i] != base), bool(lids.own_glaze[i])] += 1
    assert seen.keys() == {(True, True), (False, False)}
    assert any(
        world.things.forms[lids.form[i]].base != world.cells[met.cell[i], 0] for i in np.flatnonzero(lids.married)
    )


def test_whatever_was_issued_together_stands_in_the_lists_so_and_little_else_does(world, met, lids):
    """A row that leaves out a treatment would pair them in any: a list that does so says less than the factory did."""
    rows = {(row.form, row.glaze, row.with_form, row.with_glaze) for row in paper_rows(world)["goes_with"]}
    own, married = set(), []
    for i in np.flatnonzero(lids.form >= 0).tolist():
        form, treatment = world.cells[met.cell[i]].tolist()
        pair = (f"qt.f{lids.form[i]}", f"qt.g{lids.glaze[i]}", f"qt.f{form}", f"qt.g{world.treatments[treatment, 2]}")
        married += [pair in rows] if lids.married[i] else []
        own |= set() if lids.married[i] else {pair}
    assert own <= rows
    assert 0 < np.mean(married) < 0.2


def test_a_mould_was_replaced_for_every_form_that_shared_it(world):
    forms = world.things.forms
    replaced = {form.mould: (form.replaced, form.change) for form in forms if form.replaced}
    assert binomtest(len(replaced), len({form.mould for form in forms}), world.p.moulds_replaced).pvalue > 0.001
    assert all((form.replaced, form.change) == replaced.get(form.mould, (0, 1.0)) for form in forms)
    assert any(form.base >= 0 and form.replaced for form in forms) and any(
        form.twin >= 0 and form.replaced for form in forms
    )
    years = [(min(f.designed for f in forms if f.mould == m), y, max(f.end for f in forms if f.mould == m))
             for m, (y, _) in replaced.items()]  # fmt: skip
    assert all(first < year <= last for first, year, last in years)
    assert 0.01 < np.std([change for _, change in replaced.values()]) < 0.035


def test_a_blank_is_as_large_as_the_mould_it_was_potted_in(world, met):
    """What is measured in mm, against the size from the first mould; standard errors of a mean."""
    sizes, forms, off = world.things.sizes, world.things.forms, {False: [], True: []}
    for i in np.flatnonzero(met.cell >= 0).tolist():
        form = forms[world.cells[met.cell[i], 0]]
        text = met.readings[i].get("across", "")
        if form.replaced and form.change < 0.98 and text.endswith("mm"):
            new = bool(met.potted[i] + 1904 >= form.replaced)
            ratio = float(text[:-3]) / sizes[met.size[i]].across
            off[new].append(ratio / (form.change if new else 1.0) - 1.0)
    for found in off.values():
        assert len(found) > 100
        assert abs(np.mean(found)) < 4 * np.std(found) / np.sqrt(len(found))


def test_labels_lose_letters_and_gain_some_marks_do_not(world, met):
    own = [i for i in np.flatnonzero(met.label >= 0).tolist() if "label" in met.readings[i]]
    true = [world.labels.lettering[met.label[i]] for i in own]
    off = np.array([len(met.readings[i]["label"]) - len(text) for i, text in zip(own, true, strict=True)])
    letters, lost = sum(len(text.translate({32: "", 47: ""})) for text in true), world.p.letters_lost
    assert abs(off.sum()) < 4 * np.sqrt(2 * letters * lost)
    assert 0.7 < (off**2).sum() / (2 * letters * lost * (1 - lost)) < 1.4
    marks = [(world.marks.marks[met.printed[i]].lettering, met.readings[i]["mark"]) for i in range(MANY)
             if met.printed[i] >= 0 and "mark" in met.readings[i]]  # fmt: skip
    assert all(len(text) == len(read) for text, read in marks)


def test_lids_are_read_beside_their_pieces(met, lids):
    for name in ("lid.form", "lid.glaze"):
        read = np.array([name in reading for reading in met.readings])
        assert read.any() and not (read & (lids.form < 0)).any()


@pytest.mark.slow
def test_marriages_come_as_often_as_the_oracle_says(world, met, lids):
    """As of outside and unrecorded: sums of independent chances are near normal."""
    oracle = Oracle(world, vocabularies(world.p, world.things))
    of_lids, said = LidOracle(oracle), []
    for i in np.flatnonzero(lids.form >= 0).tolist():
        read, reader = met.readings[i], int(met.reader[i])
        chance = of_lids.married(read, reader, oracle.weigh(read, reader)[0])
        if chance is not None:
            said.append((chance, bool(lids.married[i])))
    chance, is_so = np.array(said).T
    log = np.log(np.clip([1 - chance, chance], 1e-300, 1))
    told, mean = np.where(is_so, log[1], log[0]), (1 - chance) * log[0] + chance * log[1]
    spread = (1 - chance) * log[0] ** 2 + chance * log[1] ** 2 - mean**2
    assert abs((told - mean).sum()) < 4 * np.sqrt(spread.sum())
    for part in np.array_split(np.argsort(chance), 6):
        off = (is_so[part] - chance[part]).sum()
        assert abs(off) < 4 * np.sqrt((chance[part] * (1 - chance[part])).sum()) + 1
    assert chance.max() > 0.9 > 0.05 > chance.min()


def test_customers_had_what_they_ordered(world, met):
    orders = {(cell, year - 1904): customer for cell, year, customer in world.batches}
    expected = [orders.get((int(c), int(y)), -1) if c >= 0 else -1 for c, y in zip(met.cell, met.year, strict=True)]
    assert met.customer.tolist() == expected
    assert len(set(expected)) == 1 + len(world.things.customers)


def test_labels_last_six_years_longer_than_they_should(world, met):
    own = [i for i in range(MANY) if 0 <= met.label[i] < len(world.labels.own)]
    late = [int(met.year[i]) + 1904 - int(world.labels.own[met.label[i]]["last"]) for i in own]
    assert 0 < sum(years > 0 for years in late) < 0.1 * len(own) and max(late) <= 6


def test_faults_are_of_the_making_or_damage(met):
    found = Counter(row.kind for row in conditions(met, np.random.default_rng(1)))
    for kind, share in (("making", 0.05), ("damage", 0.08)):
        assert binomtest(found[kind], MANY, share).pvalue > 0.001


def test_corrections_say_what_was_there(world):
    few = meet(world, vocabularies(world.p, world.things), np.random.default_rng(5), 2000)
    tables = pack_tables(world, few, np.zeros(2000, np.int64), np.random.default_rng(2))
    read = {row.id: row for row in tables["readings"].rows()}
    assert len(tables["corrections"]) > 5
    for row in tables["corrections"].rows():
        wrong = read[row.reading]
        right = truth_names(world, few, int(wrong.piece.removeprefix("qt.x")))[wrong.name]
        assert row.value == right != wrong.value
    assert list(corrections(world, few, [], np.random.default_rng(2))) == []
