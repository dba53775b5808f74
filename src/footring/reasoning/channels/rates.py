"""How readings go wrong, and how often."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property
from types import MappingProxyType
from typing import Any

from footring.terms.errors import BadInput
from footring.terms.tables import read_table

Counts = Mapping[str, Mapping[str, Mapping[str, float]]]
_FORMAT = "footring rates 1"


@cache
def _table() -> Mapping[tuple[str, str], tuple[float, float]]:
    rows = read_table("footring.reasoning", "channel_rates.csv")
    return {(row["reading"], row["rate"]): (float(row["value"]), float(row["strength"])) for row in rows}


@dataclass(frozen=True)
class Rates:
    """Rates of misreading, the default ones until `fit_rates` learns better.

    Parameters
    ----------
    learned : mapping of reading to mapping of rate to float
        In the place of the defaults of `tables/channel_rates.csv`, which are common practice without a source.
    misread : mapping of reading to mapping of id to mapping of word to float
        How often each word was typed for a row of which it is no name: another's name, or in nobody's list.
    words : mapping of reading to mapping of word to float
        How often each word was typed, right or wrong.
    measured : mapping of reading to mapping of id of a size to {"n", "sum", "squares"}
        Pieces measured, and the sums of their relative deviations from the recorded size, or of their millimetres
        where none is recorded, and of the squares.

    Examples
    --------
    >>> Rates().of("trim", "absence")
    0.3
    >>> Rates.from_json(Rates().to_json()) == Rates()
    True
    """

    learned: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    misread: Counts = field(default_factory=dict)
    words: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    measured: Counts = field(default_factory=dict)

    def of(self, reading: str, rate: str) -> float:
        """One rate of one kind of reading.

        Raises
        ------
        KeyError
            There is no such rate.
        """
        found = self.learned.get(reading, {}).get(rate)
        return _table()[reading, rate][0] if found is None else found

    @cached_property
    def digest(self) -> str:
        """128 bits in hex, the same for the same rates."""
        text = json.dumps(self.to_json(), sort_keys=True, separators=(",", ":"))
        return hashlib.blake2b(text.encode(), digest_size=16).hexdigest()

    def to_json(self) -> dict[str, Any]:
        """As plain dictionaries, the defaults included, for `json.dumps`."""
        rates: dict[str, dict[str, float]] = {}
        for reading, rate in (*_table(), *((r, rate) for r, found in self.learned.items() for rate in found)):
            rates.setdefault(reading, {})[rate] = self.of(reading, rate)
        return {
            "format": _FORMAT,
            "rates": rates,
            "misread": _plain(self.misread),
            "words": _plain(self.words),
            "measured": _plain(self.measured),
        }

    @classmethod
    def from_json(cls, given: Mapping[str, Any]) -> Rates:
        """Rates as `to_json` gave them.

        Raises
        ------
        BadInput
            Something else was given.
        """
        if given.get("format") != _FORMAT:
            raise BadInput(f"rates of the format {given.get('format')!r}; expected {_FORMAT!r}, as Rates.to_json gives")
        return cls(changed_rates(given["rates"]), given["misread"], given["words"], given["measured"])


def changed_rates(rates: Mapping[str, Mapping[str, float]]) -> dict[str, dict[str, float]]:
    """Those that are not at their default."""
    return {
        reading: changed
        for reading, of in sorted(rates.items())
        if (changed := {rate: value for rate, value in sorted(of.items()) if default_rate(reading, rate) != value})
    }


def default_rate(reading: str, rate: str) -> float | None:
    """The rate before anything is learned; None for one there is none of."""
    return _table().get((reading, rate), (None, 0.0))[0]


def strength(reading: str, rate: str) -> float:
    """How many readings the default of a rate counts for against those counted; 0 for one that is not learned."""
    return _table()[reading, rate][1]


def rate_names(reading: str, start: str) -> list[str]:
    """The rates of a kind of reading whose names begin so, without that beginning."""
    return [rate[len(start) :] for of, rate in _table() if of == reading and rate.startswith(start)]


def _plain(given: Mapping[str, Any]) -> dict[str, Any]:
    return {key: _plain(value) if isinstance(value, Mapping) else value for key, value in sorted(given.items())}


@cache
def word_table() -> Mapping[str, tuple[tuple[str, str], ...]]:
    """Other words for the values of each kind of reading: (value, word)."""
    found: dict[str, list[tuple[str, str]]] = {}
    for row in read_table("footring.reasoning", "channel_words.csv"):
        found.setdefault(row["reading"], []).append((row["value"], row["word"]))
    return MappingProxyType({reading: tuple(pairs) for reading, pairs in found.items()})
