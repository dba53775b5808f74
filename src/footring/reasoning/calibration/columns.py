"""Columns of readings as the whole numbers and measurements that standard classifiers take."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from footring.reasoning.calibration.answers import Index
from footring.reasoning.calibration.arrays import Floats
from footring.reasoning.calibration.features import Row, columns_of, number_column, word_column

MOST_KINDS = 250
BINS = 12


@dataclass(frozen=True, slots=True)
class Columns:
    """How training pieces were laid out. 0 stands for a word or measurement that none of them had.

    Parameters
    ----------
    words : tuple of (name, mapping of word to number)
        The commonest words of each column; "not looked at" is one of them.
    numbers : tuple of (name, array of edges)
        Bins of each measurement.
    """

    words: tuple[tuple[str, dict[str, int]], ...]
    numbers: tuple[tuple[str, Floats], ...]

    @property
    def kinds(self) -> list[int]:
        """How many numbers each column of `categories` may hold."""
        return [len(of) + 1 for _, of in self.words] + [len(edges) + 2 for _, edges in self.numbers]

    def codes(self, rows: Sequence[Row]) -> Index:
        """Words as whole numbers, shape (pieces, word columns)."""
        coded = [[of.get(word, 0) for word in word_column(rows, name)] for name, of in self.words]
        return np.array(coded, dtype=np.int64).T.reshape(len(rows), len(self.words))

    def measurements(self, rows: Sequence[Row]) -> Floats:
        """Measurements as they are, NaN where not taken, shape (pieces, number columns)."""
        return np.array([number_column(rows, name) for name, _ in self.numbers]).T.reshape(len(rows), len(self.numbers))

    def categories(self, rows: Sequence[Row]) -> Index:
        """Words and binned measurements as whole numbers; 0 for a measurement not taken."""
        measured = self.measurements(rows)
        binned = [
            np.where(np.isnan(column), 0, 1 + np.searchsorted(edges, column))
            for column, (_, edges) in zip(measured.T, self.numbers, strict=True)
        ]
        return np.column_stack([self.codes(rows), *binned]).astype(np.int64)


def lay_out(rows: Sequence[Row]) -> Columns:
    """Columns for these training pieces."""
    words, numbers = columns_of(rows)
    return Columns(
        tuple((name, _numbered(word_column(rows, name).tolist())) for name in words),
        tuple((name, _edges(number_column(rows, name))) for name in numbers),
    )


def _numbered(words: Sequence[str]) -> dict[str, int]:
    common = [word for word, _ in sorted(Counter(words).items(), key=lambda item: (-item[1], item[0]))]
    return {word: k for k, word in enumerate(common[:MOST_KINDS], 1)}


def _edges(values: Floats) -> Floats:
    taken = values[~np.isnan(values)]
    return np.unique(np.quantile(taken, np.arange(1, BINS) / BINS))
