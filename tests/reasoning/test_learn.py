"""Learning: pieces left out exactly, the same answer in any order and twice, proposals that come to rest."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from footring.demo.parameters import Parameters as World
from footring.demo.simulate import simulate
from footring.packs import load_pack
from footring.reasoning.learn import learn
from footring.reasoning.level_fit import foretold, leaving
from footring.reasoning.model import compile_model
from footring.reasoning.parameters import Parameters, default_parameters, read_parameters
from footring.reasoning.piece_readings import unsettled_readings
from footring.reasoning.propose import propose, without_proposals
from footring.reasoning.weight_fit import unselected
from footring.reference import compile_reference, extend
from footring.rows import RowTable
from footring.rows.collection import Attribution, Piece
from footring.rows.collection import Reading as PieceReading
from footring.rows.reference_things import Decoration, Line, Maker
from footring.rows.statements import Number
from footring.terms.errors import BadInput

SMALL = replace(World(), lines=3, forms_a_line=4, treatments_a_line=8, decorations=20, glazes=8, settled=0.8, batches=3)


@pytest.fixture(scope="module")
def tables(tmp_path_factory):
    out = tmp_path_factory.mktemp("world") / "w"
    simulate(SMALL, 5, 250, 0, out)
    return load_pack(out / "pack").tables


@pytest.fixture(scope="module")
def reference(tables):
    return compile_reference(tables)


@pytest.fixture(scope="module")
def learned(reference):
    return learn(reference)


def shuffled(tables):
    rng = np.random.default_rng(3)
    return {name: table.take(rng.permutation(len(table))) for name, table in tables.items()}


def test_leaving_a_piece_out_is_compiling_without_it(reference):
    parameters = replace(default_parameters(), document=0.0)
    model = compile_model(reference, parameters)
    here = unselected(reference, model.known)
    sizes = tuple(len(reference.tables[t]) for t in ("lines", "bodies", "glazes", "decorations", "trims"))
    whole = (model.known.treatments[model.known.cell_treatment] >= 0).all(axis=1)
    cells = np.flatnonzero((here > 0) & whole)
    told = foretold(leaving(model.known, here, sizes), parameters.levels)
    table = reference.tables["attributions"].rows
    checked = 0
    for row in table.rows():
        cell = _cell_of(reference, model, row)
        if cell not in cells or checked > 40 or not _plain(reference, row.piece):
            continue
        without = compile_model(reference, parameters, without_piece=row.piece)
        assert told[np.searchsorted(cells, cell)] == pytest.approx(_share(without, model, cell), rel=1e-6)
        checked += 1
    assert checked > 20


def _plain(reference, piece):
    counts, less = reference.counts, reference.counts_without(piece)
    return counts.per_cell("confirmed", True).sum() - less.per_cell("confirmed", True).sum() == pytest.approx(1.0)


def _cell_of(reference, model, row):
    find = {c: reference.tables[t].ids.find for c, t in (("line", "lines"), ("body", "bodies"), ("glaze", "glazes"),
                                                       ("decoration", "decorations"), ("trim", "trims"))}  # fmt: skip
    treatment = [find[c](getattr(row, c)) for c in find]
    form = reference.tables["forms"].ids.find(row.form)
    known = model.known
    same = (known.cell_form == form) & (known.treatments[known.cell_treatment] == treatment).all(axis=1)
    return int(np.flatnonzero(same)[0])


def _share(without, model, cell):
    """p(treatment | line, form) in the model without the piece, whether or not the cell is still recorded."""
    from footring.reasoning.shares import treatment_product

    form = int(model.known.cell_form[cell])
    line, *parts = model.known.treatments[model.known.cell_treatment[cell]].tolist()
    known, shares = without.known, without.shares
    here = np.flatnonzero((known.treatments == [line, *parts]).all(axis=1))
    listed = float(shares.treatment[here[0]]) if len(here) else 0.0
    at = np.flatnonzero((known.cell_form == form) & np.isin(known.cell_treatment, here))
    own = float(shares.cell[at[0]]) if len(at) else 0.0
    product = treatment_product(shares.parts, line, form, parts)
    return own + shares.form_rest[form] * (listed + shares.line_rest[line] * product)


def test_learning_does_not_depend_on_the_order_of_rows(tables, learned):
    assert learn(compile_reference(shuffled(tables))).digest == learned.digest


def test_learning_twice_is_learning_once(reference, learned):
    assert learn(reference).to_json() == learned.to_json()


def test_what_was_learned_is_what_the_world_does(learned):
    assert learned.levels != default_parameters().levels
    assert 0.0 <= learned.document <= 1.0 and all(0.0 <= c <= 1.0 for c in learned.channels.values())
    assert any("/" in name for name in learned.dated)


def test_nothing_to_learn_from_changes_nothing():
    assert learn(compile_reference({})).levels == default_parameters().levels


def test_parameters_come_back_from_their_file(tmp_path: Path, learned):
    import json

    path = tmp_path / "parameters.json"
    path.write_text(json.dumps(learned.to_json()), encoding="utf-8")
    assert read_parameters(path).digest == learned.digest


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"levels": {}}', "\0"])
def test_a_bad_parameter_file_is_told(tmp_path: Path, text):
    path = tmp_path / "bad.json"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadInput, match=r"cannot read the parameters|no parameters that footring learn wrote"):
        read_parameters(path)


def test_proposals_come_to_rest_and_start_again_from_their_own_answer(reference, learned):
    rows = propose(reference, learned)
    assert rows and {row.piece for row in rows} <= set(unsettled_readings(reference))
    again = extend(reference, {"attributions": rows})
    assert propose(again, learned) == rows
    assert without_proposals(again).counts.per_cell("proposed").sum() == 0


def test_a_proposal_alone_records_nothing(reference, learned):
    before = compile_model(reference, learned)
    after = compile_model(extend(reference, {"attributions": propose(reference, learned)}), learned)
    assert np.array_equal(before.known.cell_form, after.known.cell_form)
    assert (after.known.pieces <= 2 * before.known.pieces + before.known.documents + 1e-9).all()


def test_without_a_piece_equals_compiling_without_its_attribution(tables, reference):
    rows = list(tables["attributions"].rows())
    piece = rows[7].piece
    less = RowTable.from_rows(tables["attributions"].spec, [row for row in rows if row.piece != piece])
    one = compile_model(reference, default_parameters(), without_piece=piece)
    other = compile_model(compile_reference({**tables, "attributions": less}), default_parameters())
    assert np.allclose(one.form_prior, other.form_prior, atol=1e-12)
    assert np.allclose(
        np.sort(one.cells.own[one.known.pieces > 0]), np.sort(other.cells.own[other.known.pieces > 0]), atol=1e-12
    )


def test_default_parameters_have_a_digest_of_their_own():
    assert isinstance(default_parameters(), Parameters) and len(default_parameters().digest) == 32


def test_a_number_that_was_replaced_is_no_number_of_its_treatment():
    """What nothing supersedes is the current view: the same as if the older statement had never been written."""
    old = Number("n.1", line="l", code="417", decoration="d.heron")
    new = Number("n.2", line="l", code="417", decoration="d.sedge", supersedes="n.1")
    shares = []
    for numbers in ([old, new], [replace(new, supersedes=None)], [old]):
        pieces = [f"p.{i}" for i in range(8)]
        known = {
            "makers": [Maker("q", name="Quillow & Tarn Works")],
            "lines": [Line("l", maker="q", name="Ormsley")],
            "decorations": [Decoration("d.heron", name="Reed Heron"), Decoration("d.sedge", name="Sedge Band")],
            "numbers": numbers,
            "pieces": [Piece(piece) for piece in pieces],
            "attributions": [
                Attribution(f"a.{p}", piece=p, line="l", decoration="d.heron", weight=1.0, basis="confirmed")
                for p in pieces
            ],
            "readings": [PieceReading(f"r.{p}", piece=p, name="number", absent=True) for p in pieces],
        }
        found = learn(compile_reference(known))
        shares.append((found.unnumbered, found.unnumbered_else))
    assert shares[0] == shares[1] != shares[2]
