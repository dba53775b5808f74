"""How often each mark was met on each line and form, and how often there was none."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.marks.foot import IN_CLAY
from footring.marks.transcription import technique_named
from footring.reference import Reference
from footring.reference.weights import weights
from footring.rows import ColumnData
from footring.terms.errors import BadInput

Floats = NDArray[np.float64]
Index = NDArray[np.int32]
Flags = NDArray[np.bool_]

SIDES = ("mark_in_clay", "mark_printed")


@dataclass(frozen=True, slots=True, eq=False)
class MarkCounts:
    """Attributions confirmed by a person, one entry each, as far as they say anything of one kind of mark.

    Parameters
    ----------
    line, form, mark : int32 array, shape (attributions,)
        Row indices; -1 not known. A mark that is not known may be none.
    pieces : array, shape (attributions,)
        Weight of pieces met where nobody chose what to show; 0 for others, which only prove that the thing exists.
    none : array, shape (attributions,)
        Share of the piece taken to have no such mark: 1 where it was looked for and absent.
    marked : array, shape (attributions,)
        1 where there is such a mark, named or not, else 0.
    """

    line: Index
    form: Index
    mark: Index
    pieces: Floats
    none: Floats
    marked: Floats


def mark_counts(reference: Reference, side: str, without_piece: str | None = None) -> MarkCounts:
    """Count one kind of mark.

    Parameters
    ----------
    reference : Reference
    side : {"mark_in_clay", "mark_printed"}
    without_piece : str, optional
        Id of a piece to leave out.

    Notes
    -----
    An attribution without a mark of this kind says that there is none, or that nobody named it. Where the foot was
    read and this kind is not among what was read, the share of none is what is left after the marks that are there
    and were neither read nor named, whose number follows from how often marks are read and how often those read are
    named, the two taken to be independent (capture and recapture).
    """
    met = weights(reference.tables)
    links = reference.tables["attributions"].links
    kept = met.confirmed > 0
    if without_piece is not None:
        kept = kept & (links["piece"][met.rows] != reference.find("pieces", without_piece))
    rows = met.rows[kept]
    pieces = met.confirmed[kept] * met.unselected[kept]
    mark, piece = links[side][rows], links["piece"][rows]
    looked, seen, absent = (flags[piece] for flags in _feet(reference, side))
    named = mark >= 0
    unsaid = ~named & ~seen & ~absent & looked
    none = unsaid * _share_of_none(pieces, named, seen, unsaid) + (~named & ~seen & absent)
    line, form = links["line"][rows], links["form"][rows]
    return MarkCounts(line, form, mark, pieces, none.astype(np.float64), (named | seen).astype(np.float64))


def _share_of_none(pieces: Floats, named: Flags, seen: Flags, unsaid: Flags) -> float:
    """Of pieces whose foot was read and on which no such mark was read or named, how many have none."""
    of_named, of_seen, both = (float(pieces[flags].sum()) for flags in (named, seen, named & seen))
    left = float(pieces[unsaid].sum())
    if of_named == 0 or left == 0:
        return 1.0
    missed = (1.0 - both / of_seen if of_seen else 0.0) * (1.0 - both / of_named)
    hidden = (of_named + of_seen - both) * missed / (1.0 - missed) if missed < 1.0 else left
    return max(0.0, 1.0 - hidden / left)


def _feet(reference: Reference, side: str) -> tuple[Flags, Flags, Flags]:
    """For each piece: whether its foot was read at all, such a mark seen on it, and no such mark found."""
    table = reference.tables["readings"]
    looked, seen, absent = (np.zeros(len(reference.tables["pieces"]), bool) for _ in range(3))
    if len(table) == 0:
        return looked, seen, absent
    names, values, piece = table.text("name"), table.text("value"), table.links["piece"].astype(np.int64)
    mark, kind = (_numbered(names, what) for what in ("mark", "mark_kind"))
    gone = table.numbers["absent"].astype(bool)
    is_mark = (mark > 0) & table.current
    told = np.flatnonzero((kind > 0) & table.current & values.known)
    of_side = _kinds(values.take(told), side)
    told, of_side = told[of_side >= 0], of_side[of_side >= 0]
    keys, first = np.unique(piece[told] * 100 + kind[told], return_index=True)
    rows = np.flatnonzero(is_mark)
    at = np.searchsorted(keys, wanted := piece[rows] * 100 + mark[rows])
    found = np.append(keys, -1)[at] == wanted
    which = np.where(found, np.append(of_side[first], -1)[at], -1)
    looked[piece[rows]] = True
    seen[piece[rows[(which == 1) & ~gone[rows]]]] = True
    absent[piece[rows[(which != 0) & gone[rows]]]] = True
    return looked, seen, absent


def _numbered(names: ColumnData, what: str) -> Index:
    """Number of each reading of this name (`mark` 1, `mark.2` 2), whatever part it is of; 0 for other names."""
    assert names.vocabulary is not None
    numbers = [_number(word.removeprefix("base."), what) for word in names.vocabulary.tolist()]
    number: Index = np.append(np.array(numbers, np.int32), np.int32(0))[names.values]
    return number


def _number(word: str, what: str) -> int:
    name, _, number = word.partition(".")
    return 0 if name != what or (number and not number.isdecimal()) else min(99, int(number or 1))


def _kinds(values: ColumnData, side: str) -> Index:
    """1 for words that name a technique of this side, 0 for one of the other, -1 for anything else."""
    assert values.vocabulary is not None
    used, which = np.unique(values.values, return_inverse=True)
    kinds: Index = np.array([_kind(word, side) for word in values.vocabulary[used].tolist()], np.int32)[which]
    return kinds


def _kind(word: str, side: str) -> int:
    try:
        return int((technique_named(word) in IN_CLAY) == (side == "mark_in_clay"))
    except BadInput:
        return -1
