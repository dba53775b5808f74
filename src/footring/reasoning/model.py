"""A reference and its parameters, ready to examine pieces with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from footring.reasoning.cells import Cells
from footring.reasoning.channels.build import Channels, compile_channels
from footring.reasoning.classes import Classes, compile_classes
from footring.reasoning.eras import Eras, compile_eras
from footring.reasoning.mark_side import MarksInUse
from footring.reasoning.mark_years import DateRules, date_rules
from footring.reasoning.marks_in_use import compile_marks
from footring.reasoning.numbering import Numbering, compile_numbering
from footring.reasoning.parameters import Parameters, default_parameters
from footring.reasoning.prior import YearPrior, default_prior
from footring.reasoning.recorded import Recorded, recorded
from footring.reasoning.shares import Shares, by_line, shares, sizes_of
from footring.reasoning.source_records import cell_documents
from footring.reference import Reference, extend

Floats = NDArray[np.float64]
Index = NDArray[np.int32]


@dataclass(frozen=True, slots=True, eq=False)
class Model:
    """Everything a posterior needs, as arrays. Made by `compile_model`; never changed.

    Parameters
    ----------
    productions : array, shape (productions,)
        How far each is believed, 0 to 1.
    form_prior : array, shape (forms,)
        p(line) p(form | line).
    cells : Cells
        Places and shares of the recorded cells.
    size_share : array, shape (sizes,)
        p(size | form).
    on_line : mapping of part to array
        Share of each body, glaze, decoration and trim on each line, a new one last: what a part is that is not said.
    unread : dict
        Examinations of pieces of which nothing was read, kept by what else is known of the form (`exchange.expected`).
    customer, label : arrays, shape (lines, customers + 2) and (lines, labels + 2)
        Shares on each line; the last two are one that the reference does not hold, and none.
    """

    reference: Reference
    parameters: Parameters
    prior: YearPrior
    channels: Channels
    known: Recorded
    shares: Shares
    eras: Eras
    marks: MarksInUse
    rules: DateRules
    classes: Classes
    numbering: Numbering
    productions: Floats
    form_line: Index
    form_prior: Floats
    cells: Cells
    cell_line: Index
    size_form: Index
    size_share: Floats
    unsized: NDArray[np.bool_]
    line_maker: Index
    customer: Floats
    label: Floats
    class_of_treatment: csr_matrix
    on_line: Mapping[str, Floats]
    unread: dict[bytes | None, Any] = field(default_factory=dict, repr=False)


def compile_model(
    reference: Reference,
    parameters: Parameters | None = None,
    *,
    prior: YearPrior | None = None,
    without_piece: str | None = None,
) -> Model:
    """Make the arrays that pieces are examined with.

    Parameters
    ----------
    reference : Reference
        May be empty: then general rules are all there is.
    parameters : Parameters or None
        As `learn` gives them; None for the defaults.
    prior : YearPrior or None
        Years of ware that nothing is known of.
    without_piece : str or None
        A piece to leave out everywhere, as if nobody had attributed it.
    """
    parameters, prior = parameters or default_parameters(), prior or default_prior()
    if without_piece is not None:
        reference = without_attributions(reference, without_piece)
    tables = reference.tables
    productions, numbers = cell_documents(reference)
    channel = [parameters.channels.get(name, parameters.channels[""]) for name in [*tables["channels"].ids, ""]]
    known = recorded(
        reference, reference.counts, np.array(channel), *(parameters.document * w for w in (productions, numbers))
    )
    form_line = tables["forms"].links["line"]
    found = shares(known, form_line, sizes_of(reference), parameters.levels)
    form_prior = found.line[form_line] * found.form
    eras = compile_eras(reference, prior, parameters, parameters.window_trust * productions)
    marks = compile_marks(reference, eras.years, line_years=eras.line_density)
    classes = _classes(reference, known, found, eras, marks.group_of_form, parameters, productions)
    size_form = tables["sizes"].links["form"]
    size = known.size_pieces + 1.0
    n_classes = 1 + max((int(a.max()) for a in (classes.treatment, classes.pair, classes.line) if len(a)), default=-1)
    return Model(
        reference, parameters, prior, compile_channels(reference, parameters.rates), known, found, eras, marks,
        date_rules(reference, eras.years, prior), classes,
        compile_numbering(reference, known, parameters, numbers),
        productions,
        form_line,
        form_prior,
        Cells.of(known, found, classes, form_line),
        form_line[known.cell_form],
        size_form,
        size / np.bincount(size_form, size, len(form_line))[size_form],
        np.bincount(size_form, minlength=len(form_line)) == 0,
        tables["lines"].links["maker"],
        _customers(reference),
        _labels(reference),
        csr_matrix(
            (np.ones(len(classes.treatment)), (classes.treatment, np.arange(len(classes.treatment)))),
            shape=(n_classes, len(classes.treatment)),
        ),
        by_line(found.parts, found.form, form_line),
    )  # fmt: skip


def compile_windows(model: Model, parameters: Parameters) -> Classes:
    """The windows that other parameters' `window_trust` and `dated` would give a model; all else stays."""
    eras = compile_eras(model.reference, model.prior, parameters, parameters.window_trust * model.productions)
    groups = model.marks.group_of_form
    return _classes(model.reference, model.known, model.shares, eras, groups, parameters, model.productions)


def _classes(
    reference: Reference, known: Recorded, found: Shares, eras: Eras, groups: Index, parameters: Parameters,
    productions: Floats,
) -> Classes:  # fmt: skip
    pairs = (found.parts.pair_line, found.parts.pair_decoration)
    return compile_classes(reference, known, pairs, eras, groups, parameters, parameters.window_trust * productions)


def without_attributions(reference: Reference, piece: str) -> Reference:
    """The reference as if nobody had attributed a piece.

    Raises
    ------
    UnknownName
        There is no piece with this id.
    """
    table, row = reference.tables["attributions"], reference.find("pieces", piece)
    of_piece = np.flatnonzero(table.current & (table.links["piece"] == row)).tolist()
    return extend(reference, {}, superseded=[table.row(i).id for i in of_piece]) if of_piece else reference


def _customers(reference: Reference) -> Floats:
    """Share of pieces made for each customer, by line: what pieces and documents name, most for nobody."""
    lines, customers = len(reference.tables["lines"]), len(reference.tables["customers"])
    shares = np.zeros((lines, customers + 2))
    pieces = np.full(lines, 20.0)
    for table, weight in (("attributions", 1.0), ("productions", 0.5)):
        rows = reference.tables[table]
        line, customer = rows.links["line"][rows.current], rows.links["customer"][rows.current]
        np.add.at(shares, (line[customer >= 0], customer[customer >= 0]), weight)
        pieces += np.bincount(line, minlength=lines) * (table == "attributions")
    shares[:, -2] = 0.5
    shares[:, -1] = np.maximum(pieces - shares.sum(axis=1), 1.0)
    return np.asarray(shares / shares.sum(axis=1, keepdims=True))


def _labels(reference: Reference) -> Floats:
    """Share of labels by line: those of its maker and of nobody's, a few moved from elsewhere; half have none."""
    labels, lines = reference.tables["labels"].links["maker"], reference.tables["lines"].links["maker"]
    own = ((labels[None, :] == lines[:, None]) | (labels[None, :] < 0)).astype(float)
    moved = 0.9 * _each(own) + 0.1 * _each(np.ones_like(own))
    return np.concatenate([0.45 * moved, np.full((len(lines), 1), 0.05), np.full((len(lines), 1), 0.5)], axis=1)


def _each(rows: Floats) -> Floats:
    return np.asarray(rows / np.maximum(rows.sum(axis=1, keepdims=True), 1.0))
