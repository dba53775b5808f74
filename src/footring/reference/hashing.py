"""Rows as numbers that tell them apart.

These detect change. They are no defence against a forger, who could make other rows with the same sums.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from hashlib import blake2b
from typing import Any

import numpy as np
from numpy.typing import NDArray

from footring.rows import Column, ColumnData, RowTable

Hashes = NDArray[np.uint64]
_LANES = 2
_AT_ONCE = 1 << 12


def word_hash(word: str) -> np.uint64:
    """64 bits for a text, the same in every process: what `word_hashes` gives for it."""
    return np.uint64(word_hashes(np.array([word], object))[0])


def word_hashes(words: NDArray[np.object_]) -> Hashes:
    """64 bits for each text: its characters, each times a number for its place, added up mod 2**64 and scattered.

    Multilinear hashing (Lemire and Kaser 2014, Strongly universal string hashing is fast), its numbers fixed.
    """
    parts = [_word_hashes(words[i : i + _AT_ONCE].tolist()) for i in range(0, len(words), _AT_ONCE)]
    return np.concatenate([np.empty(0, np.uint64), *parts])


def _word_hashes(words: list[str]) -> Hashes:
    lengths = np.fromiter(map(len, words), np.int64, len(words))
    ends = np.cumsum(lengths)
    place = np.arange(ends[-1]) - np.repeat(ends - lengths, lengths)
    characters = np.frombuffer("".join(words).encode("utf-32-le", "surrogatepass"), "<u4").astype(np.uint64)
    factors = mixed(np.arange(lengths.max() + 1, dtype=np.uint64))
    terms = (characters + np.uint64(1)) * factors[place]
    sums = np.append(np.uint64(0), np.cumsum(terms, dtype=np.uint64))
    return mixed((sums[ends] - sums[ends - lengths]) ^ lengths.view(np.uint64))


def mixed(x: Hashes) -> Hashes:
    """Each number scattered over all 64 bits, one to one.

    The finaliser of splitmix64 (Steele, Lea and Flood 2014, Fast splittable pseudorandom number generators).
    """
    x = x + np.uint64(0x9E3779B97F4A7C15)
    for shift, factor in ((30, 0xBF58476D1CE4E5B9), (27, 0x94D049BB133111EB)):
        x ^= x >> np.uint64(shift)
        x *= np.uint64(factor)
    x ^= x >> np.uint64(31)
    return x


def column_hashes(column: Column, data: ColumnData, bits: Hashes | None = None) -> Hashes | None:
    """A number for each row's value under this column, 0 for one that is its default; None when all are.

    So a column added later, unknown throughout, leaves every digest as it was. `bits` is `value_bits` of the column,
    when somebody has it already.
    """
    plain = data.values == int(column.default) if isinstance(column.default, bool) else ~data.known
    if plain.all():
        return None
    hashes = mixed((value_bits(data) if bits is None else bits) ^ word_hash(column.name))
    hashes[plain] = 0
    return hashes


def value_bits(data: ColumnData) -> Hashes:
    """64 bits for each row's value; anything where it is unknown."""
    if data.vocabulary is not None:
        bits: Hashes = np.append(word_hashes(data.vocabulary), np.uint64(0))[data.values]
        return bits
    if data.type is float:
        return (data.values + 0.0).view(np.uint64)
    return data.values.astype(np.int64).view(np.uint64)


def row_hashes(table: RowTable, columns: Iterable[Hashes | None]) -> Hashes:
    """One number a row from those of some of its columns, whatever their order."""
    total = np.full(len(table), word_hash(table.spec.name), np.uint64)
    for hashes in columns:
        if hashes is not None:
            total += hashes
    return mixed(total)


def lane_sums(rows: Hashes) -> tuple[int, ...]:
    """Sums mod 2**64 of each row's number under two more mixings: the same in any order of rows."""
    return tuple(int(mixed(rows ^ np.uint64(lane)).sum(dtype=np.uint64)) for lane in range(_LANES))


def added_lanes(one: tuple[int, ...], other: tuple[int, ...]) -> tuple[int, ...]:
    """Lanes of the rows of both."""
    return tuple((a + b) % 2**64 for a, b in zip(one, other, strict=True))


def final_digest(lanes: Mapping[str, tuple[Any, ...]], withdrawn: Iterable[tuple[str, str]]) -> str:
    """Hex digest, 128 bits, of the lanes and row counts of every table and of the statements withdrawn."""
    whole = blake2b(b"footring reference 1", digest_size=16)
    for item in (*sorted(lanes.items()), *sorted(withdrawn)):
        whole.update(repr(item).encode("utf-8", "surrogatepass") + b"\n")
    return whole.hexdigest()
