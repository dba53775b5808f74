"""What pieces in the hand show: those a person has attributed, with their numbers and the years of their date codes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.marks.datecode_pack import pack_schemes
from footring.marks.datecode_reading import decode
from footring.marks.datecode_schemes import Scheme
from footring.reference import CELL, CompiledTable, Reference
from footring.reference.weights import GRAIN
from footring.rows import TABLES
from footring.terms.errors import BadInput

Ints = NDArray[np.integer[Any]]
Floats = NDArray[np.float64]
FIELDS = (*CELL, "customer", "mark_in_clay", "mark_printed", "maker", "code")
"""What is known of a piece: rows of the tables, and the row of the first number with its code."""
_SCHEMES = ("date_code_schemes", "date_code_fields", "date_code_tokens", "makers", "sources")
_CONFIRMED = (TABLES["attributions"].column("basis").choices or ()).index("confirmed")
_MAKER = FIELDS.index("maker")
_MARKS = [FIELDS.index("mark_in_clay"), FIELDS.index("mark_printed")]
OLD_STOCK_YEARS = 1
"""A piece dated so many years beside a span still lies within it (common practice, no source)."""


@dataclass(frozen=True, slots=True, eq=False)
class Pieces:
    """Confirmed attributions as observations.

    Parameters
    ----------
    known : int array, shape (observations, fields)
        In the order of `FIELDS`, -1 not known.
    weight : float array, shape (observations,)
        Parts of one piece share its weight of 1.
    first, last : float array, shape (observations,)
        Years of its date code; NaN without one.
    codes : mapping of str to int
        Index of each number's code, as plain text.
    """

    known: Ints
    weight: Floats
    first: Floats
    last: Floats
    codes: Mapping[str, int]

    def count(self, patterns: Ints, known_too: str | None = None) -> Floats:
        """Pieces that have everything a pattern asks for (-1 asks for nothing), shape (patterns,).

        Parameters
        ----------
        patterns : int array, shape (patterns, fields)
        known_too : str, optional
            Only pieces of which this is known as well, whatever it is.
        """
        use = np.ones(len(self.known), bool) if known_too is None else self.known[:, FIELDS.index(known_too)] >= 0
        found = np.zeros(len(patterns))
        for rows, ours, theirs in self._matched(patterns, use):
            found[rows] = np.bincount(ours[0], self.weight[ours[1]], theirs.max(initial=-1) + 1)[theirs]
        return found

    def dated(self, patterns: Ints, first: Floats, last: Floats) -> tuple[Floats, Floats]:
        """Dated pieces of each pattern whose years may lie in a span, and those that lie outside, shape (patterns,).

        Old stock is taken for what it is: a year more at either end still lies within.
        """
        inside, outside = np.zeros((2, len(patterns)))
        for rows, (key, at), theirs in self._matched(patterns, ~np.isnan(self.first)):
            total = np.bincount(key, self.weight[at], theirs.max(initial=-1) + 1)[theirs]
            before = self._below(key, self.last[at], at, theirs, first[rows] - OLD_STOCK_YEARS)
            after = self._below(key, -self.first[at], at, theirs, -last[rows] - OLD_STOCK_YEARS)
            outside[rows] = before + after
            inside[rows] = total - before - after
        return inside, outside

    def _below(self, key: Ints, year: Floats, at: Ints, theirs: Ints, edge: Floats) -> Floats:
        """Weight of the pieces of each pattern's key with a year below its edge."""
        order = np.lexsort((year, key))
        heights = np.append(0.0, np.cumsum(self.weight[at][order]))
        place = _clipped(year[order]) + key[order] * _CENTURIES
        start = np.searchsorted(key[order], theirs)
        end = np.searchsorted(place, _clipped(edge) + theirs * _CENTURIES)
        return np.asarray(heights[np.maximum(start, end)] - heights[start])

    def _matched(self, patterns: Ints, use: NDArray[np.bool_]) -> Iterable[tuple[Ints, tuple[Ints, Ints], Ints]]:
        """For each set of fields asked for: the patterns that ask, keys and rows of pieces, keys of the patterns."""
        asked = (patterns >= 0) @ (1 << np.arange(len(FIELDS)))
        for mask in np.unique(asked).tolist():
            columns = [k for k in range(len(FIELDS)) if mask >> k & 1]
            rows = np.flatnonzero(asked == mask)
            at = np.flatnonzero(use & (self.known[:, columns] >= 0).all(axis=1))
            ours, theirs = joint_keys(self.known[at][:, columns], patterns[rows][:, columns])
            yield rows, (ours, at), theirs


_CENTURIES = 20_000.0


def _clipped(years: Floats) -> Floats:
    return np.clip(years, -_CENTURIES / 4, _CENTURIES / 4)


def joint_keys(some: Ints, others: Ints) -> tuple[Ints, Ints]:
    """One whole number for each row of two tables of small numbers, the same where the rows are."""
    whole = np.concatenate([some, others]).astype(np.int64)
    keys, size = np.zeros(len(whole), np.int64), 1
    for column in whole.T:
        radix = int(column.max(initial=0)) + 1
        if size * radix >= 2**62:
            keys = np.unique(keys, return_inverse=True)[1]
            size = len(whole)
        keys, size = keys * radix + column, size * radix
    keys = np.unique(keys, return_inverse=True)[1]
    return keys[: len(some)], keys[len(some) :]


def pieces_of(reference: Reference) -> Pieces:
    """The confirmed attributions of a reference that still stand.

    Raises
    ------
    BadInput
        The reference has a date-code scheme that cannot be read.
    """
    table = reference.tables["attributions"]
    rows = np.flatnonzero(table.current & (table.links["basis"] == _CONFIRMED))
    known = np.full((len(rows), len(FIELDS)), -1, np.int64)
    for k, name in enumerate(FIELDS[:-2]):
        known[:, k] = table.links[name][rows]
    known[:, -2] = reference.tables["lines"].links["maker"][known[:, 0]] if len(rows) else -1
    codes = _codes(reference.tables["numbers"])
    lid = _lids(reference, table)[rows]
    piece = table.links["piece"][rows]
    foot = piece * 2 + lid
    numbers, dates = (_read(reference, name) for name in ("number", "date_code"))
    known[:, -1] = [codes.get(plain_code(numbers.get(key, "")), len(codes)) if key in numbers else -1 for key in foot]
    first, last = _years(reference, known, [dates.get(key) for key in foot])
    share = np.floor(GRAIN / np.bincount(piece, minlength=1)[piece]) / GRAIN if len(rows) else np.empty(0)
    return Pieces(known, share, first, last, codes)


def plain_code(code: str) -> str:
    """A number's code as it is compared."""
    return " ".join(code.casefold().split())


def _codes(numbers: CompiledTable) -> dict[str, int]:
    words = {plain_code(word) for word in numbers.text("code").tolist()}
    return {word: k for k, word in enumerate(sorted(words))}


def _lids(reference: Reference, table: CompiledTable) -> Ints:
    lid = np.array([name == "lid" for name in reference.tables["parts"].text("name").tolist()] + [False])
    return lid[table.links["part"]].astype(np.int64)


def _read(reference: Reference, name: str) -> dict[int, str]:
    """What was read under one name, by piece and whether of its lid; nothing where two readings differ."""
    table = reference.tables["readings"]
    words = table.text("name")
    assert words.vocabulary is not None
    ours = np.array([word.split(".")[-1] == name or word.split(".")[0] == name for word in words.vocabulary] + [False])
    rows = np.flatnonzero(table.current & ours[words.values])
    lid = (
        _lids(reference, table)
        | np.array([str(w).startswith("lid.") for w in words.vocabulary] + [False])[words.values]
    )
    mended = _corrections(reference)
    found: dict[int, set[str]] = {}
    for row, value in zip(rows.tolist(), table.text("value").take(rows).tolist(), strict=True):
        value = mended.get(row, value)
        if value and not table.numbers["sure"][row] < 0.5:
            found.setdefault(int(table.links["piece"][row]) * 2 + int(lid[row]), set()).add(value.strip())
    return {key: next(iter(values)) for key, values in found.items() if len(values) == 1}


def _corrections(reference: Reference) -> dict[int, str | None]:
    table = reference.tables["corrections"]
    rows = np.flatnonzero(table.current)
    return dict(zip(table.links["reading"][rows].tolist(), table.text("value").take(rows).tolist(), strict=True))


def _years(reference: Reference, known: Ints, codes: list[str | None]) -> tuple[Floats, Floats]:
    spans = np.full((2, len(codes)), np.nan)
    if not any(codes) or not len(reference.tables["date_code_schemes"]):
        return spans[0], spans[1]
    schemes = {scheme.id: scheme for scheme in pack_schemes({n: reference.tables[n].rows for n in _SCHEMES})}
    by_row = [schemes[row] for row in reference.tables["date_code_schemes"].text("id").tolist()]
    decoded: dict[tuple[str, Tried], tuple[float, float]] = {}
    for k, tried in enumerate(_tried(reference, known)):
        if (code := codes[k]) is not None:
            if (code, tried) not in decoded:
                decoded[code, tried] = _span(code, [_of_mark(by_row[row], own) for row, own in tried])
            spans[:, k] = decoded[code, tried]
    return spans[0], spans[1]


Tried = tuple[tuple[int, bool], ...]


def _tried(reference: Reference, known: Ints) -> Iterable[Tried]:
    """For each piece, the schemes its code may be of, and whether its mark names them: else all of its maker."""
    of_maker = reference.tables["date_code_schemes"].links["maker"]
    of_mark = np.append(reference.tables["marks"].links["date_code_scheme"], -1)
    of_makers = {row: np.flatnonzero(of_maker == row).tolist() for row in np.unique(known[:, _MAKER]).tolist()}
    for *marks, maker in zip(*of_mark[known[:, _MARKS].T].tolist(), known[:, _MAKER].tolist(), strict=True):
        own = sorted({scheme for scheme in marks if scheme >= 0})
        yield tuple((row, bool(own)) for row in own or of_makers[maker])


def _of_mark(scheme: Scheme, own: bool) -> Scheme:
    """The scheme; one that the mark itself names holds whatever the rest of the mark."""
    return replace(scheme, style="") if own else scheme


def _span(code: str, schemes: list[Scheme]) -> tuple[float, float]:
    """First and last year that any of the schemes reads; NaN where none does."""
    try:
        spans = [span for reading in decode(code, schemes) for span in reading.spans] if schemes else []
    except BadInput:
        spans = []
    return (float(min(s[0] for s in spans)), float(max(s[1] for s in spans))) if spans else (np.nan, np.nan)
