"""The word lists the invented pottery is composed of."""

from __future__ import annotations

import csv
import io
import zlib
from functools import cache
from importlib.resources import files

import numpy as np


@cache
def words(name: str) -> tuple[dict[str, str], ...]:
    """Rows of one list of `pottery/`, as text, in file order."""
    text = files("footring.demo").joinpath("pottery", f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(io.StringIO(text, newline="")))


def stream(seed: int, what: str) -> np.random.Generator:
    """Random numbers of one purpose: what is drawn for another never shifts them."""
    return np.random.default_rng([seed, zlib.crc32(what.encode())])
