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


def word_hash(word: str) -> int:
    """64 bits of BLAKE2b of a text."""
    return int.from_bytes(blake2b(word.encode("utf-8", "surrogatepass"), digest_size=8).digest(), "little")


def word_hashes(words: NDArray[np.object_]) -> Hashes:
    """`word_hash` of each."""
    whole = b"".join(blake2b(word.encode("utf-8", "surrogatepass"), digest_size=8).digest() for word in words.tolist())
    return np.frombuffer(whole, "<u8").astype(np.uint64)


def mixed(x: Hashes) -> Hashes:
    """Each number scattered over all 64 bits, one to one.

    The finaliser of splitmix64 (Steele, Lea and Flood 2014, Fast splittable pseudorandom number generators).
    """
    x = x + np.uint64(0x9E3779B97F4A7C15)
    x = (x ^ (x >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    x = (x ^ (x >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return x ^ (x >> np.uint64(31))


def column_hashes(column: Column, data: ColumnData) -> Hashes | None:
    """A number for each row's value under this column, 0 for one that is its default; None when all are.

    So a column added later, unknown throughout, leaves every digest as it was.
    """
    plain = data.values == int(column.default) if isinstance(column.default, bool) else ~data.known
    if plain.all():
        return None
    hashes = mixed(_bits(data) ^ np.uint64(word_hash(column.name)))
    hashes[plain] = 0
    return hashes


def _bits(data: ColumnData) -> Hashes:
    if data.vocabulary is not None:
        bits: Hashes = np.append(word_hashes(data.vocabulary), np.uint64(0))[data.values]
        return bits
    if data.type is float:
        return (data.values + 0.0).view(np.uint64)
    return data.values.astype(np.int64).view(np.uint64)


def row_hashes(table: RowTable, hashed: Mapping[str, Hashes | None], names: Iterable[str]) -> Hashes:
    """One number a row over some of its columns, whatever their order."""
    total = np.full(len(table), word_hash(table.spec.name), np.uint64)
    for name in names:
        if (hashes := hashed[name]) is not None:
            total += hashes
    return mixed(total)


def table_hashes(table: RowTable) -> dict[str, Hashes | None]:
    """`column_hashes` of every column."""
    return {column.name: column_hashes(column, table.column(column.name)) for column in table.spec.columns}


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
