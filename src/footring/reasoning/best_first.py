"""Things in order of how likely they are, when most are never looked at."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from itertools import count
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
T = TypeVar("T")


@dataclass(frozen=True, slots=True, eq=False)
class Ranked(Generic[T]):
    """Things, the likeliest first; each is one to tell, or opens into several of which none is likelier than it.

    Parameters
    ----------
    p : array, shape (n,)
        Falling; no less than that of anything it opens into.
    open : callable
        The thing at a place.
    """

    p: Floats
    open: Callable[[int], T | Ranked[T]]


def ranked(p: Floats, make: Callable[[int], T | Ranked[T]], most: int | None = None) -> Ranked[T]:
    """Things in any order, put in order; of equals the earlier comes first."""
    few = np.arange(len(p)) if most is None or most >= len(p) else np.sort(np.argpartition(-p, most)[:most])
    order = few[np.argsort(-p[few], kind="stable")]
    return Ranked(p[order], lambda place: make(int(order[place])))


def best_first(start: Sequence[Ranked[T]]) -> Iterator[tuple[float, T]]:
    """Every thing that is not impossible, the likeliest first.

    Examples
    --------
    >>> pets = ranked(np.array([0.1, 0.3]), ["a hen", "a dog"].__getitem__)
    >>> [what for _, what in best_first([ranked(np.array([0.2, 0.4]), ["a bee", pets].__getitem__)])]
    ['a dog', 'a bee', 'a hen']
    """
    heap: list[tuple[float, int, Ranked[T], int]] = []
    order = count()

    def wait(of: Ranked[T], place: int) -> None:
        if place < len(of.p) and of.p[place] > 0.0:
            heappush(heap, (-float(of.p[place]), next(order), of, place))

    for several in start:
        wait(several, 0)
    while heap:
        p, _, of, place = heappop(heap)
        wait(of, place + 1)
        thing = of.open(place)
        if isinstance(thing, Ranked):
            wait(thing, 0)
        else:
            yield -p, thing
