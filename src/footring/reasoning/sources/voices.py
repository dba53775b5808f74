"""How much of one voice each saying is: what is repeated, or copied, counts once."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from footring.reasoning.sources.lineage import Lineage
from footring.reasoning.sources.said import Floats, Hashes, Ints, Said
from footring.reference.hashing import mixed, word_hash


def voices(groups: Sequence[Said], lineage: Lineage) -> list[Floats]:
    """Part of one voice for each saying, an array a group.

    Parameters
    ----------
    groups : sequence of Said
        All that is said.
    lineage : Lineage
        Which sources draw on which, by row index.

    Returns
    -------
    list of float array
        1 for what one source says once. Sayings of the same by one source share its voice; a source that draws on
        another which says the same has 0.
    """
    if not groups:
        return []
    key = np.concatenate([_keys(group) for group in groups])
    source = np.concatenate([group.source for group in groups]).astype(np.int64)
    share = _of_one_source(key, source) * _of_family(key, source, lineage)
    return np.split(share, np.cumsum([len(group) for group in groups])[:-1])


def _keys(group: Said) -> Hashes:
    """The same for sayings of one value, for or against, of one property of one subject."""
    return mixed(mixed(mixed(group.about ^ word_hash(group.what)) + group.says) + group.stance.astype(np.uint64))


def _of_one_source(key: Hashes, source: Ints) -> Floats:
    pairs = mixed(key + mixed((source + 1).view(np.uint64)))
    _, which, times = np.unique(pairs, return_inverse=True, return_counts=True)
    return np.asarray(np.where(source >= 0, 1.0 / times[which], 1.0))


def _of_family(key: Hashes, source: Ints, lineage: Lineage) -> Floats:
    share = np.ones(len(key))
    _, which, times = np.unique(key, return_inverse=True, return_counts=True)
    in_lineage = np.isin(source, [s for s in np.unique(source).tolist() if s in lineage])
    linked = np.flatnonzero(in_lineage & (times[which] > 1))
    linked = linked[np.argsort(key[linked], kind="stable")]
    known: dict[frozenset[int], dict[object, float]] = {}
    for rows in np.split(linked, np.flatnonzero(np.diff(key[linked])) + 1):
        if len(sources := frozenset(source[rows].tolist())) > 1:
            parts = known.get(sources) or known.setdefault(sources, lineage.shares(sources))
            share[rows] = [parts[s] for s in source[rows].tolist()]
    return share
