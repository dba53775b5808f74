"""How common each line, form and treatment is: counts that lean on their parents.

    p(k | l, f) -> p(k | l) -> p(body | l, f) p(glaze | l) p(decoration | l, glaze) p(trim | l, decoration)

Pitman-Yor [teh2006]_: a parent counts tables, not pieces; n pieces sit at n to a fitted power of tables, and the parts
of a treatment count each treatment once. A treatment nobody recorded keeps a small, honest share.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from footring.reasoning.parameters import Levels
from footring.reasoning.recorded import Recorded
from footring.reference import Reference
from footring.reference.weights import sums

Floats = NDArray[np.float64]
Index = NDArray[np.int32]
Sizes = tuple[int, int, int, int, int]
"""Lines, bodies, glazes, decorations and trims of a reference."""


@dataclass(frozen=True, slots=True, eq=False)
class Parts:
    """The product of the parts of a treatment, its lowest floor; the last column of a part is a new one.

    `pair_*`: one row for each (line, decoration) recorded; `met_*`: for each (line, glaze, decoration); `edge_*`:
    for each (line, decoration, trim).
    """

    body: Floats  # (forms, bodies + 1)
    glaze: Floats  # (lines, glazes + 1)
    glaze_rest: Floats  # (lines, glazes + 1): share of decorations under that glaze left to p(decoration | line)
    pair_line: Index
    pair_decoration: Index
    pair_share: Floats  # p(decoration | line) of each pair
    others: Floats  # (lines,): share of decorations left to p(decoration)
    decoration: Floats  # (decorations + 1,)
    met_glaze: Index
    met_pair: Index
    met_share: Floats
    edge_pair: Index
    edge_trim: Index
    edge_share: Floats
    edge_rest: Floats  # (pairs,)
    trim: Floats  # (lines, trims + 1)


@dataclass(frozen=True, slots=True, eq=False)
class Shares:
    """All shares of a reference.

    Parameters
    ----------
    line : array, shape (lines,)
        p(line), not outside.
    form : array, shape (forms,)
        p(form | its line).
    cell : array, shape (cells,)
        What p(treatment | line, form) has of its own for each cell recorded.
    form_rest : array, shape (forms,)
        What is left to p(treatment | line).
    treatment : array, shape (treatments,)
        What p(treatment | line) has of its own.
    line_rest : array, shape (lines,)
        What is left to the product of the parts.
    cell_product : array, shape (cells,)
        The product of the parts for each cell, 0 where a part is not said.
    parts : Parts
        The product.
    """

    line: Floats
    form: Floats
    cell: Floats
    form_rest: Floats
    treatment: Floats
    line_rest: Floats
    cell_product: Floats
    parts: Parts


def sizes_of(reference: Reference) -> Sizes:
    """How many values each share is spread over."""
    lines, bodies, glazes, decorations, trims = (
        len(reference.tables[table]) for table in ("lines", "bodies", "glazes", "decorations", "trims")
    )
    return lines, bodies, glazes, decorations, trims


def shares(known: Recorded, form_line: Index, sizes: Sizes, levels: Levels) -> Shares:
    """Shares from what is recorded.

    Parameters
    ----------
    known : Recorded
    form_line : int array, shape (forms,)
        The line of each form.
    sizes : tuple of int
        Lines, bodies, glazes, decorations and trims in the reference.
    levels : Levels
        Concentrations and discounts.
    """
    lines, forms, line_of = sizes[0], len(form_line), known.treatments[:, 0]
    weight = known.pieces + known.documents
    seated = seats(weight, levels.table_power)
    tables = sums(known.cell_treatment, seated, len(line_of)) + np.minimum(known.stated, 1.0)
    cell, form_rest = _level(weight, known.cell_form, forms, levels.cell, levels.cell_discount)
    treatment, line_rest = _level(tables, line_of, lines, levels.treatment, levels.treatment_discount)
    types = np.minimum(tables, 1.0)
    parts = _parts(known, types, form_line, sizes, levels)
    met = known.form_pieces + np.minimum(known.form_documents, 1.0)
    in_line = sums(form_line, np.ones(len(form_line)), lines)[form_line]
    form = (met + levels.form) / (sums(form_line, met, lines)[form_line] + levels.form * in_line)
    line = known.line_pieces + levels.line
    product = _product(parts, known.treatments)[known.cell_treatment] * _of(
        parts.body, known.cell_form, known.treatments[known.cell_treatment, 1]
    )
    return Shares(line / max(line.sum(), 1e-300), form, cell, form_rest, treatment, line_rest, product, parts)


def by_line(parts: Parts, form: Floats, form_line: Index) -> dict[str, Floats]:
    """Share of each value of each part on each line, a new one last; each of shape (lines, values + 1).

    What a part is that nobody said of a treatment.

    Parameters
    ----------
    form, form_line : array, shape (forms,)
        Share of each form on its line, and the line.
    """
    lines, forms = len(parts.glaze), np.arange(len(form))
    on_line = csr_matrix((form, (form_line, forms)), shape=(lines, len(form)))
    body = np.asarray(on_line @ parts.body)
    formless = body.sum(axis=1) <= 0.0
    body[formless, -1] = 1.0
    decoration = parts.others[:, None] * parts.decoration
    decoration[parts.pair_line, parts.pair_decoration] = parts.pair_share
    each = {"body": body, "glaze": parts.glaze, "decoration": decoration, "trim": parts.trim}
    return {name: table / table.sum(axis=1, keepdims=True) for name, table in each.items()}


def seats(weight: Floats, power: float) -> Floats:
    """Tables that the pieces of a cell sit at."""
    return np.where(weight > 1.0, np.maximum(weight, 1.0) ** power, weight)


def _level(weight: Floats, parent: Index, parents: int, strength: float, discount: float) -> tuple[Floats, Floats]:
    """Own share of each thing met, and what each parent leaves to the next level."""
    cut = discount * np.minimum(weight, 1.0)
    total = sums(parent, weight, parents) + strength
    rest = (strength + sums(parent, cut, parents)) / total
    return (weight - cut) / total[parent], rest


def _lean(counts: Floats, onto: Floats, strength: float) -> Floats:
    """Dirichlet shares along the last axis that lean on a parent's."""
    return np.asarray((counts + strength * onto) / (counts.sum(axis=-1, keepdims=True) + strength))


def _even(things: int, new: float) -> Floats:
    """Even shares, and one of something new at the end."""
    return np.append(np.full(things, (1.0 - new) / max(things, 1)), new if things else 1.0)


def _table(rows: Index, columns: Index, weight: Floats, shape: tuple[int, int]) -> Floats:
    """Sum of weights by row and column; a column -1 is left out, and one more column is for what is new."""
    here = columns >= 0
    flat = rows[here].astype(np.int64) * shape[1] + columns[here]
    return sums(flat, weight[here], shape[0] * shape[1]).reshape(shape)


def _parts(known: Recorded, types: Floats, form_line: Index, sizes: Sizes, levels: Levels) -> Parts:
    lines, bodies, glazes, decorations, trims = sizes
    line, body, glaze, decoration, trim = known.treatments.T
    by_line = _lean(_table(line, body, types, (lines, bodies + 1)), _even(bodies, levels.new), levels.body)
    once = np.minimum(known.pieces + known.documents, 1.0)
    of_form = _table(known.cell_form, body[known.cell_treatment], once, (len(form_line), bodies + 1))
    in_glaze = _table(line, glaze, types, (lines, glazes + 1))
    every_glaze = _lean(in_glaze.sum(axis=0), _even(glazes, levels.new), levels.thing * max(glazes, 1))
    said = decoration >= 0
    pairs, pair = np.unique((line.astype(np.int64) * (decorations + 1) + decoration)[said], return_inverse=True)
    pair_line, pair_decoration = (
        (pairs // (decorations + 1)).astype(np.int32),
        (pairs % (decorations + 1)).astype(np.int32),
    )
    of_pair = sums(pair, types[said], len(pairs))
    of_line = sums(pair_line, of_pair, lines)
    every_decoration = _lean(
        np.append(sums(pair_decoration, of_pair, decorations), 0.0),
        _even(decorations, levels.new),
        levels.thing * max(decorations, 1),
    )
    strength = levels.decoration_of_line
    others = strength / (of_line + strength)
    pair_share = (of_pair + strength * every_decoration[pair_decoration]) / (of_line[pair_line] + strength)
    both = glaze[said] >= 0
    met, where = np.unique(glaze[said][both].astype(np.int64) * len(pairs) + pair[both], return_inverse=True)
    met_glaze, met_pair = (met // max(len(pairs), 1)).astype(np.int32), (met % max(len(pairs), 1)).astype(np.int32)
    of_met = sums(where, types[said][both], len(met))
    under = _table(pair_line[met_pair], met_glaze, of_met, (lines, glazes + 1)) + levels.decoration
    by_trim = _lean(
        _table(line, trim, types, (lines, trims + 1)),
        _lean(
            _table(line, trim, types, (lines, trims + 1)).sum(axis=0),
            _even(trims, levels.new),
            levels.thing * max(trims, 1),
        ),
        levels.trim_of_line,
    )
    edged = trim[said] >= 0
    edges, where = np.unique(pair[edged].astype(np.int64) * (trims + 1) + trim[said][edged], return_inverse=True)
    edge_pair, edge_trim = (edges // (trims + 1)).astype(np.int32), (edges % (trims + 1)).astype(np.int32)
    of_edge = sums(where, types[said][edged], len(edges))
    beside = sums(edge_pair, of_edge, len(pairs)) + levels.trim
    return Parts(
        body=_lean(of_form, by_line[form_line], levels.body),
        glaze=_lean(in_glaze, every_glaze, levels.glaze),
        glaze_rest=np.asarray(levels.decoration / under),
        pair_line=pair_line,
        pair_decoration=pair_decoration,
        pair_share=pair_share,
        others=np.asarray(others),
        decoration=every_decoration,
        met_glaze=met_glaze,
        met_pair=met_pair,
        met_share=of_met / under[pair_line[met_pair], met_glaze],
        edge_pair=edge_pair,
        edge_trim=edge_trim,
        edge_share=of_edge / beside[edge_pair],
        edge_rest=np.asarray(levels.trim / beside),
        trim=by_trim,
    )


def _of(table: Floats, row: Index, column: Index) -> Floats:
    """Share of each (row, column); 0 where the column is not said."""
    return np.where(column >= 0, table[row, column], 0.0)


def _product(parts: Parts, treatments: Index) -> Floats:
    """p(glaze | line) p(decoration | line, glaze) p(trim | line, decoration) of each treatment recorded."""
    line, _, glaze, decoration, trim = treatments.T
    width = len(parts.decoration)
    pair_key = parts.pair_line.astype(np.int64) * width + parts.pair_decoration
    pair = np.searchsorted(pair_key, line.astype(np.int64) * width + decoration)
    pair = np.minimum(pair, max(len(pair_key) - 1, 0))
    said = (glaze >= 0) & (decoration >= 0) & (trim >= 0)
    if not said.any():
        return np.zeros(len(treatments))
    met = _lookup(parts.met_glaze, parts.met_pair, parts.met_share, glaze, pair, len(pair_key))
    edge = _lookup(parts.edge_pair, parts.edge_trim, parts.edge_share, pair, trim, parts.trim.shape[1])
    decorated = met + parts.glaze_rest[line, glaze] * parts.pair_share[pair]
    edged = edge + parts.edge_rest[pair] * parts.trim[line, trim]
    return np.where(said, parts.glaze[line, glaze] * decorated * edged, 0.0)


def _lookup(major: Index, minor: Index, share: Floats, row: Index, column: Index, width: int) -> Floats:
    """Share of (row, column) in a sorted sparse table; 0 where there is none."""
    keys = major.astype(np.int64) * width + minor
    wanted = row.astype(np.int64) * width + column
    at = np.minimum(np.searchsorted(keys, wanted), max(len(keys) - 1, 0))
    return np.where(keys[at] == wanted, share[at], 0.0) if len(keys) else np.zeros(len(row))


def treatment_product(parts: Parts, line: int, form: int, treatment: Sequence[int]) -> float:
    """The product of the parts of any treatment: body, glaze, decoration and trim, all said, on a form of a line."""
    body, glaze, decoration, trim = treatment
    pair = np.flatnonzero((parts.pair_line == line) & (parts.pair_decoration == decoration))
    if len(pair) == 0:
        decorated = parts.glaze_rest[line, glaze] * parts.others[line] * parts.decoration[decoration]
        edged = parts.trim[line, trim]
    else:
        p = pair[0]
        met = parts.met_share[(parts.met_pair == p) & (parts.met_glaze == glaze)].sum()
        decorated = met + parts.glaze_rest[line, glaze] * parts.pair_share[p]
        own = parts.edge_share[(parts.edge_pair == p) & (parts.edge_trim == trim)].sum()
        edged = own + parts.edge_rest[p] * parts.trim[line, trim]
    return float(parts.body[form, body] * parts.glaze[line, glaze] * decorated * edged)


def treatment_products(parts: Parts, form: int, treatments: Index) -> Floats:
    """The same of treatments recorded: line, body, glaze, decoration, trim; 0 where a part is not said."""
    body = _of(parts.body, np.full(len(treatments), form, np.int32), treatments[:, 1])
    return body * _product(parts, treatments) if len(treatments) else np.zeros(0)
