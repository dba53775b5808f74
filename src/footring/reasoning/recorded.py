"""What combinations pieces and documents name: the cells of each form and the treatments of each line."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.reference import TREATMENT, Counts, Reference

Floats = NDArray[np.float64]
Index = NDArray[np.int32]

_PARTS = {"body": "bodies", "glaze": "glazes", "decoration": "decorations", "trim": "trims"}
_COLUMNS = tuple(enumerate(TREATMENT, start=1))
_SIZE = 2


@dataclass(frozen=True, slots=True, eq=False)
class Recorded:
    """Pieces and documents by treatment and by cell. -1 in a part of a treatment: not said.

    Parameters
    ----------
    treatments : int32 array, shape (treatments, 5)
        Line, body, glaze, decoration, trim, in order; every one once.
    stated : float64 array, shape (treatments,)
        Pieces and documents that name the treatment without a form.
    cell_form, cell_treatment : int32 array, shape (cells,)
        In the order of form and treatment; every pair once.
    pieces, documents : float64 array, shape (cells,)
        Weight of the pieces met, each channel's factor in it; weight of the productions.
    form_pieces, form_documents : float64 array, shape (forms,)
        The same for forms, whatever the treatment.
    line_pieces : float64 array, shape (lines,)
        The same for lines, whatever the form.
    size_pieces : float64 array, shape (sizes,)
        Pieces of each size.
    places : mapping of part to int array, shape (treatments,)
        Where what was read of each part stands in an array of its values, a new one, and the average over each line.
    """

    treatments: Index
    stated: Floats
    cell_form: Index
    cell_treatment: Index
    pieces: Floats
    documents: Floats
    form_pieces: Floats
    form_documents: Floats
    line_pieces: Floats
    size_pieces: Floats
    places: Mapping[str, NDArray[np.intp]]


def recorded(reference: Reference, counts: Counts, factor: Floats, document: Floats, number: Floats) -> Recorded:
    """Gather what is recorded.

    Parameters
    ----------
    reference : Reference
    counts : Counts
        The reference's, or the counts without a piece.
    factor : array, shape (channels + 1,)
        What a piece met through each selected channel counts for; the last is for a channel not known.
    document, number : array, shape (productions,) and (numbers,)
        What each document counts for, in pieces; 0 where it is superseded.

    Notes
    -----
    Proposed pieces of a cell count for no more than its confirmed pieces and documents; alone they record nothing.

    A document covers what it names. One that names a form and some parts of a treatment is a cell of its own, the
    parts it leaves out as they are on the line: it accounts for a share of what is met in those parts, and for all of
    none. One that leaves out the form tells of the line's treatments and one that names no part of a treatment of
    forms and years; neither records a cell, since it does not say that each of them was made.
    """
    by = np.where(counts.unselected, 1.0, factor[counts.channel])
    confirmed = _sum(counts.cell, counts.confirmed * by, len(counts.cells))
    proposed = _sum(counts.cell, counts.proposed * by, len(counts.cells))
    met = _single_parts(reference, counts.cells[:, [0, 1, 3, 4, 5, 6]])
    papers = _rows(reference, "productions", ("line", "form", *TREATMENT))
    numbers = np.insert(_rows(reference, "numbers", ("line", *TREATMENT)), 1, -1, axis=1)
    rows = np.concatenate([met, papers, numbers])
    seen, wished = (np.append(w, np.zeros(len(papers) + len(numbers))) for w in (confirmed, proposed))
    paper = np.concatenate([np.zeros(len(met)), document, number])
    said = (rows[:, 2:] >= 0).any(axis=1) & np.concatenate([counts.recorded, document > 0, number > 0])
    treatments, which = _distinct(rows[:, [0, 2, 3, 4, 5]], said)
    formed = said & (rows[:, 1] >= 0)
    cells, cell = _distinct(np.stack([rows[:, 1], which], axis=1), formed)
    documents = _sum(cell, paper, len(cells))
    pieces = _sum(cell, seen, len(cells))
    pieces = pieces + np.minimum(_sum(cell, wished, len(cells)), pieces + documents)
    all_met = confirmed + np.minimum(proposed, confirmed)
    forms, lines, sizes = (len(reference.tables[table]) for table in ("forms", "lines", "sizes"))
    return Recorded(
        treatments,
        _sum(np.where(formed, -1, which), seen + paper, len(treatments)),
        cells[:, 0],
        cells[:, 1],
        pieces,
        documents,
        _sum(met[:, 1], all_met, forms),
        _sum(papers[:, 1], document, forms),
        _sum(met[:, 0], all_met, lines),
        _sum(counts.cells[:, _SIZE], all_met, sizes),
        {name: _places(treatments, column, len(reference.tables[_PARTS[name]])) for column, name in _COLUMNS},
    )


def _places(treatments: Index, column: int, values: int) -> NDArray[np.intp]:
    line, part = treatments[:, 0], treatments[:, column]
    return np.where(part >= 0, part, values + 1 + line).astype(np.intp)


def _distinct(rows: Index, wanted: NDArray[np.bool_]) -> tuple[Index, Index]:
    """The distinct rows among those wanted, in order, and which of them each row is; -1 for those not wanted."""
    which = np.full(len(rows), -1, np.int32)
    distinct, inverse = np.unique(rows[wanted], axis=0, return_inverse=True)
    which[wanted] = inverse.ravel()
    return distinct.astype(np.int32), which


def _rows(reference: Reference, table: str, columns: tuple[str, ...]) -> Index:
    links = reference.tables[table].links
    return _single_parts(reference, np.stack([links[column] for column in columns], axis=1).astype(np.int32))


def _single_parts(reference: Reference, rows: Index) -> Index:
    """A part that is not said, beside parts that are, is the only one there is, where there is only one."""
    parts = rows[:, -len(TREATMENT) :].copy()
    said = (parts >= 0).any(axis=1)
    for column, table in enumerate(_PARTS.values()):
        if len(reference.tables[table]) == 1:
            parts[said, column] = 0
    return np.concatenate([rows[:, : -len(TREATMENT)], parts], axis=1)


def _sum(where: Index, weight: Floats, length: int) -> Floats:
    """Sum of the weights at each place; -1 is no place."""
    here = where >= 0
    return np.bincount(where[here], weight[here], length).astype(np.float64)
