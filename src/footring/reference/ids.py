"""Which row of a table has which id."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import repeat

import numpy as np
from numpy.typing import NDArray

from footring.rows import ColumnData

_SMALL = 4096


@dataclass(frozen=True, slots=True, eq=False)
class Ids:
    """Row index of each id, which is in one of the two: what was added lately apart, so that adding copies little."""

    base: dict[str, int] = field(default_factory=dict)
    lately: dict[str, int] = field(default_factory=dict)

    def __len__(self) -> int:
        return len(self.base) + len(self.lately)

    def __iter__(self) -> Iterator[str]:
        yield from self.base
        yield from self.lately

    def find(self, name: str) -> int:
        """The row whose id this is; -1 for none."""
        return self.lately.get(name, self.base.get(name, -1))

    def find_all(self, ids: ColumnData) -> NDArray[np.int32]:
        """The row of each id of a column; -1 where it is unknown or there is none."""
        assert ids.vocabulary is not None
        words = ids.vocabulary.tolist()
        rows = np.fromiter(map(self.base.get, words, repeat(-1)), np.int32, len(words))
        if self.lately:
            rows = np.maximum(rows, np.fromiter(map(self.lately.get, words, repeat(-1)), np.int32, len(words)))
        found: NDArray[np.int32] = np.append(rows, np.int32(-1))[ids.values]
        return found

    def extended(self, ids: list[str], start: int) -> Ids:
        """With these ids at rows `start` onwards; the first row keeps an id given twice."""
        new = dict(zip(ids, range(start, start + len(ids)), strict=True))
        if len(new) < len(ids):
            new = dict(zip(reversed(ids), range(start + len(ids) - 1, start - 1, -1), strict=True))
        if len(self) == 0:
            return Ids(new)
        lately = {name: row for name, row in new.items() if name not in self.base} | self.lately
        if len(lately) > max(_SMALL, len(self.base) // 8):
            return Ids(lately | self.base)
        return Ids(self.base, lately)
