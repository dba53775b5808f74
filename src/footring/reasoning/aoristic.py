"""Aoristic sum: how the spans of a group are spread over blocks of time (Ratcliffe 2000)."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from footring.terms.errors import BadInput

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class AoristicSum:
    """A group's spans over blocks of time.

    Parameters
    ----------
    weighted : array, shape (blocks,)
        Sum over spans of weight x the share of the span that lies in the block.
    raw : array of int, shape (blocks,)
        How many spans touch the block at all.
    outside : float
        Weight that lies before the first edge or after the last.
    """

    weighted: Floats
    raw: NDArray[np.int64]
    outside: float


def aoristic_sum(spans: ArrayLike, edges: ArrayLike, weights: ArrayLike | None = None) -> AoristicSum:
    """Aoristic sum of spans over blocks between edges.

    Parameters
    ----------
    spans : array_like, shape (spans, 2)
        Begin and end on a continuous scale of years: 1900 to 1910 lasts ten years and gives each five-year block
        one half. (Counting both end years in, eleven years, would give other weights.) A span without length lies
        in the block it begins, or, on the last edge, in the last block.
    edges : array_like, shape (blocks + 1,)
        Ascending.
    weights : array_like, shape (spans,), optional
        How many pieces each span stands for; 1 without it. A span of weight 0 is not there.

    Raises
    ------
    BadInput
        If a span ends before it begins, edges do not rise, or a weight is negative.

    Notes
    -----
    Ratcliffe 2000 (Int. J. Geogr. Inf. Sci. 14:669-679). When *not* to use it: it spreads each span evenly, as if a
    type had been equally common all the years it was made; where that is known better, use it.

    Examples
    --------
    >>> aoristic_sum([[1900, 1910], [1905, 1910]], [1900, 1905, 1910]).weighted
    array([0.5, 1.5])
    """
    between, at = _checked_spans(spans), _checked_edges(edges)
    each = _checked_weights(weights, len(between))
    begin, end = between.T
    length = end - begin
    overlap = np.minimum.outer(end, at[1:]) - np.maximum.outer(begin, at[:-1])
    instant = (begin[:, None] >= at[:-1]) & (begin[:, None] < at[1:])
    instant[:, -1] |= begin == at[-1]
    share = np.clip(overlap, 0.0, None) / np.where(length > 0, length, 1.0)[:, None]
    share = np.where(length[:, None] > 0, share, instant)
    weighted = each @ share
    raw = (share[each > 0] > 0).sum(axis=0)
    return AoristicSum(weighted, raw, float(np.clip(each @ (1.0 - share.sum(axis=1)), 0.0, None)))


def _checked_spans(spans: ArrayLike) -> Floats:
    between = np.asarray(spans, dtype=float).reshape(-1, 2) if np.size(spans) == 0 else np.asarray(spans, dtype=float)
    if between.ndim != 2 or between.shape[1] != 2 or not np.isfinite(between).all():
        raise BadInput(f"spans are pairs of begin and end, given an array of shape {between.shape}")
    backwards = np.flatnonzero(between[:, 1] < between[:, 0])
    if len(backwards):
        begin, end = between[backwards[0]]
        raise BadInput(f"span {backwards[0]} ends ({end:g}) before it begins ({begin:g}): exchange the two")
    return between


def _checked_edges(edges: ArrayLike) -> Floats:
    at = np.asarray(edges, dtype=float)
    if at.ndim != 1 or len(at) < 2 or not np.isfinite(at).all() or not (np.diff(at) > 0).all():
        raise BadInput("edges are two years or more, each later than the one before")
    return at


def _checked_weights(weights: ArrayLike | None, spans: int) -> Floats:
    each = np.ones(spans) if weights is None else np.asarray(weights, dtype=float)
    if each.shape != (spans,) or not (np.isfinite(each) & (each >= 0)).all():
        raise BadInput(f"weights are one number, zero or more, for each of the {spans} spans")
    return each
