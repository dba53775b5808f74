"""Lengths and capacities as read, given each size."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import exp, lgamma, log, pi, sqrt

import numpy as np
from numpy.typing import NDArray

from footring.reasoning.channels.rates import Rates
from footring.terms.errors import BadInput
from footring.terms.units import parse_capacity, parse_length

Floats = NDArray[np.float64]
COLUMNS = {"across": "across_mm", "height": "high_mm", "capacity": "capacity_ml"}
ENOUGH = 5
"""Pieces measured before a form's own spread is believed."""
_INCHES = re.compile(
    r"\s*[0-9]+(?:[ -][0-9]+/[0-9]+|[.][0-9]+|/[0-9]+)?\s*(?:in|inch|inches|\"|″)\.?\s*", re.IGNORECASE
)
_LEAST_SPREAD = 0.003
_PART = re.compile(r"/\s*([1-9][0-9]?)")
_IN = re.compile(r"in|\"|″", re.IGNORECASE)


def parse_measure(reading: str, text: str) -> tuple[float, float | None]:
    """A measurement in mm or ml, and its standard uncertainty where it was given.

    Raises
    ------
    BadInput
        It has no unit, or is none.

    Examples
    --------
    >>> parse_measure("across", "18.4 cm +- 0.1")
    (184.0, 1.0)
    """
    try:
        if reading == "capacity":
            held = parse_capacity(text)
            return held.ml, held.sd_ml
        long = parse_length(text)
        return long.mm, long.sd_mm
    except BadInput as error:
        raise BadInput(f"{reading}: {error}") from None


def rounding(text: str) -> float:
    """Standard uncertainty in mm of rounding a length to what was typed: an eighth of an inch or a finer part, or 1 mm.

    Examples
    --------
    >>> round(rounding("7 3/16 in"), 2), round(rounding("184 mm"), 2), rounding("184 mm +- 2")
    (0.46, 0.29, 0.0)
    """
    if "+" in text or "±" in text:
        return 0.0
    part = _PART.search(text)
    step = 25.4 / max(8, int(part[1]) if part else 1) if _IN.search(text) else 1.0
    return step / sqrt(12)


def _power(base: Floats, exponent: float) -> Floats:
    """Quicker than ** for the few whole exponents."""
    if exponent != int(exponent) or exponent > 8:
        return base**exponent
    out = base
    for _ in range(int(exponent) - 1):
        out = out * base
    return out


@lru_cache(maxsize=4096)
def inches(trade_size: str | None) -> float | None:
    """The inches that a trade size is called by; None for another kind of name.

    Examples
    --------
    >>> inches("8 in"), inches("36s")
    (8.0, None)
    """
    if trade_size is None or not _INCHES.fullmatch(trade_size):
        return None
    try:
        return parse_length(trade_size).mm / 25.4
    except BadInput:
        return None


@dataclass(frozen=True)
class Measures:
    """Density of one kind of measurement, per mm or ml, given each size.

    Parameters
    ----------
    reading : str
        "across", "height" or "capacity".
    recorded : float array, shape (sizes,)
        What the reference says, NaN where it says nothing.
    form : int array, shape (sizes,)
        The form of each size.
    ids : sequence of str
        The id of each size, by which measured pieces were counted.
    named_inches : float array, shape (sizes,)
        The inches of the trade size, NaN for another.
    rates : Rates
        Spreads, and what was measured.

    Notes
    -----
    Student's t, its scale the instrument's uncertainty and the form's own spread together, and a share of the base
    density for measurements gone wrong. The middle is the recorded size, moved by what was measured as if it were
    four pieces itself. Without a recorded or measured size: the base density; but for inches in the name of a trade
    size once five of its kind have been measured, the inches with the offset learned. A form's own
    spread is that of its measured pieces once there are five, the usual one counting as `keep_spread` pieces more.
    """

    reading: str
    recorded: Floats
    form: NDArray[np.int32]
    ids: Sequence[str]
    named_inches: Floats
    rates: Rates

    def base(self, value: float, *, learned: bool = True) -> float:
        """Log-normal density where nothing is known: of sizes as they were typed, or as wide as to begin with."""
        rates = self.rates if learned else Rates()
        middle, spread = (rates.of(self.reading, name) for name in ("log_mean", "log_sd"))
        z = (log(value) - middle) / spread
        return max(exp(-0.5 * z * z) / (value * spread * sqrt(2 * pi)), 1e-250)

    def instrument(self, value: float, given: float | None) -> float:
        """Standard uncertainty of a measurement."""
        if given is not None:
            return given
        if self.reading == "capacity":
            return value * self.rates.of("capacity", "instrument_share")
        return self.rates.of(self.reading, "instrument")

    def p(self, value: float, given: float | None, rounded: float = 0.0) -> Floats:
        """Density given each size, shape (sizes,); `rounded` is the uncertainty of rounding, in the value's unit."""
        middle, own_square, bare = self._expected
        square = own_square + (self.instrument(value, given) ** 2 + rounded**2)
        freedom = self.rates.learned.get(self.reading, {}).get("freedom", self.rates.of("size", "freedom"))
        constant = exp(lgamma((freedom + 1) / 2) - lgamma(freedom / 2)) / sqrt(freedom * pi)
        off = middle - value
        off *= off
        off /= square
        off *= 1.0 / freedom
        off += 1.0
        near = _power(np.reciprocal(off, out=off), (freedom + 1) / 2)
        near /= np.sqrt(square, out=square)
        wrong, base = self.rates.of(self.reading, "misread"), self.base(value)
        near *= (1.0 - wrong) * constant
        near += wrong * base
        near[bare] = base
        return near

    @cached_property
    def _expected(self) -> tuple[Floats, Floats, NDArray[np.intp]]:
        """Middle and square of the own spread of each size, and the sizes of which nothing is known."""
        n, total, squares = self._measured
        known = ~np.isnan(self.recorded)
        anchor = self.rates.of("size", "anchor")
        with np.errstate(invalid="ignore", divide="ignore"):
            middle = np.where(known, self.recorded * (1.0 + total / (n + anchor)), np.where(n > 0, total / n, np.nan))
        share = self._own_spread(n, total, squares, known)
        share = np.where(~known & (n > 0), share * np.sqrt(1.0 + 1.0 / np.maximum(n, 1)), share)
        middle, spread = self._by_name(middle, middle * share)
        bare = np.flatnonzero(np.isnan(middle))
        return np.nan_to_num(middle), np.nan_to_num(spread**2), bare

    def _by_name(self, middle: Floats, spread: Floats) -> tuple[Floats, Floats]:
        if self.reading != "across" or self.rates.learned.get("trade_size", {}).get("offset_n", 0) < ENOUGH:
            return middle, spread
        guess = 25.4 * self.named_inches * exp(self.rates.of("trade_size", "offset_mean"))
        bare = np.isnan(middle)
        sd = guess * self.rates.of("trade_size", "offset_sd")
        return np.where(bare, guess, middle), np.where(bare, sd, spread)

    @cached_property
    def _measured(self) -> tuple[Floats, Floats, Floats]:
        place = {name: i for i, name in enumerate(self.ids)} if self.rates.measured.get(self.reading) else {}
        out = np.zeros((3, len(self.ids)))
        for name, sums in self.rates.measured.get(self.reading, {}).items():
            if name in place:
                out[:, place[name]] = sums["n"], sums["sum"], sums["squares"]
        return out[0], out[1], out[2]

    def _own_spread(self, n: Floats, total: Floats, squares: Floats, known: NDArray[np.bool_]) -> Floats:
        """As a share of the size, from the pieces of each form when there are enough."""
        inside = known & (n > 0) & (self.form >= 0)
        forms = int(self.form.max(initial=-1)) + 1
        form = self.form[inside]
        within = squares[inside] - total[inside] ** 2 / n[inside]
        pieces, freedom = np.bincount(form, n[inside], forms), np.bincount(form, n[inside] - 1, forms)
        share = np.full(forms + 1, self.rates.of(self.reading, "own_spread"))
        enough = (pieces >= ENOUGH) & (freedom > 0)
        whole = np.bincount(form, within, forms)[enough] / freedom[enough]
        read = self._instrument_share(form, n[inside], self.recorded[inside], forms)[enough]
        keep, usual = self.rates.of("size", "keep_spread"), self.rates.of(self.reading, "own_spread") ** 2
        own = np.maximum(whole - read**2, _LEAST_SPREAD**2)
        share[:-1][enough] = np.sqrt((freedom[enough] * own + keep * usual) / (freedom[enough] + keep))
        found: Floats = share[self.form]
        return found

    def _instrument_share(self, form: NDArray[np.int32], n: Floats, recorded: Floats, forms: int) -> Floats:
        """What of the scatter of a form's measured pieces is the instrument's, as a share of the size."""
        if self.reading == "capacity":
            return np.full(forms, self.rates.of("capacity", "instrument_share"))
        weight = np.maximum(np.bincount(form, n, forms), 1e-300)
        shares: Floats = np.bincount(form, n * self.instrument(1.0, None) / recorded, forms) / weight
        return shares
