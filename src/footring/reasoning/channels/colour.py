"""Colours as read: CIELAB, differences between them, and how a glaze's colour scatters."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import lgamma, log, pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from footring.reasoning.channels.rates import Rates, default_rate
from footring.terms.errors import BadInput

Floats = NDArray[np.float64]
AXES = ("lightness", "a", "b")
ENOUGH = 5
"""Colours read before a glaze without a mean is believed to have one."""
_HEX = re.compile(r"#([0-9a-f]{6})", re.IGNORECASE)
_LAB = re.compile(r"lab\s*\(([^()]*)\)", re.IGNORECASE)
_EXAMPLES = "write a glaze's name, #8a5a33 or Lab(62, 18, 55)"
_WHITE = np.array([0.95047, 1.0, 1.08883])
_TO_XYZ = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour as read: CIELAB (D65, 2 degrees), and how it was given ("lab" or "rgb")."""

    lab: tuple[float, float, float]
    given: str


def parse_colour(text: str) -> Colour | None:
    """A colour as typed; None for what is a name.

    Raises
    ------
    BadInput
        It begins like a colour and is none, or lies outside what CIELAB can be.

    Examples
    --------
    >>> parse_colour("Lab(62, 18, 55)").lab
    (62.0, 18.0, 55.0)
    >>> parse_colour("Sedge") is None
    True
    """
    plain = text.strip()
    if plain.startswith("#"):
        if not (found := _HEX.fullmatch(plain)):
            raise BadInput(f"glaze {text!r} is no colour: expected # and six digits 0-9 or a-f; {_EXAMPLES}")
        red, green, blue = (int(found[1][i : i + 2], 16) / 255 for i in (0, 2, 4))
        light, a, b = (float(x) for x in lab_of_srgb((red, green, blue)))
        return Colour((light, a, b), "rgb")
    if re.match(r"lab\s*\(", plain, re.IGNORECASE):
        return Colour(_lab(text, plain), "lab")
    return None


def _lab(text: str, plain: str) -> tuple[float, float, float]:
    inside = _LAB.fullmatch(plain)
    try:
        light, a, b = (float(part) for part in (inside[1] if inside else "").split(","))
    except ValueError:
        raise BadInput(f"glaze {text!r} is no colour: expected three numbers; {_EXAMPLES}") from None
    if not (0 <= light <= 100 and abs(a) <= 150 and abs(b) <= 150):
        raise BadInput(f"glaze {text!r}: L lies from 0 to 100, a and b from -150 to 150; {_EXAMPLES}")
    return light, a, b


def lab_of_srgb(rgb: ArrayLike) -> Floats:
    """CIELAB (D65, 2 degrees) of sRGB values from 0 to 1, shape (..., 3) (IEC 61966-2-1; CIE 15).

    Examples
    --------
    >>> [round(float(x)) for x in lab_of_srgb((1.0, 1.0, 1.0))]
    [100, 0, 0]
    """
    given = np.asarray(rgb, float)
    linear = np.where(given <= 0.04045, given / 12.92, ((given + 0.055) / 1.055) ** 2.4)
    xyz = linear @ _TO_XYZ.T / _WHITE
    f = np.where(xyz > (6 / 29) ** 3, np.cbrt(xyz), xyz / (3 * (6 / 29) ** 2) + 4 / 29)
    x, y, z = f[..., 0], f[..., 1], f[..., 2]
    return np.stack([116 * y - 16, 500 * (x - y), 200 * (y - z)], axis=-1)


def ciede2000(one: ArrayLike, other: ArrayLike) -> Floats:
    """Colour difference CIEDE2000 with all weights 1, shapes (..., 3) broadcast together (Sharma 2005).

    Examples
    --------
    >>> round(float(ciede2000((50, 2.6772, -79.7751), (50, 0, -82.7485))), 4)
    2.0425
    """
    light, chroma, hue, mean_hue = _primes(np.asarray(one, float), np.asarray(other, float))
    mean_light, mean_chroma = (pair.mean(axis=0) for pair in (light, chroma))
    t = (
        1
        - 0.17 * _cos(mean_hue - 30)
        + 0.24 * _cos(2 * mean_hue)
        + 0.32 * _cos(3 * mean_hue + 6)
        - 0.20 * _cos(4 * mean_hue - 63)
    )
    square = (mean_light - 50) ** 2
    in_light = (light[1] - light[0]) / (1 + 0.015 * square / np.sqrt(20 + square))
    in_chroma = (chroma[1] - chroma[0]) / (1 + 0.045 * mean_chroma)
    turn = 2 * np.sqrt(chroma[0] * chroma[1]) * np.sin(np.radians(hue / 2))
    in_hue = turn / (1 + 0.015 * mean_chroma * t)
    rotation = -np.sin(np.radians(60 * np.exp(-(((mean_hue - 275) / 25) ** 2)))) * 2 * _high(mean_chroma)
    total = in_light**2 + in_chroma**2 + in_hue**2 + rotation * in_chroma * in_hue
    return np.asarray(np.sqrt(np.maximum(total, 0.0)))


def _primes(one: Floats, other: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Lightness and primed chroma of both, the hue turned between them and the mean hue in degrees."""
    labs = np.stack(np.broadcast_arrays(one, other))
    light, a, b = labs[..., 0], labs[..., 1], labs[..., 2]
    a = a * (1.5 - 0.5 * _high(np.hypot(a, b).mean(axis=0)))
    chroma, hue = np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360
    grey = chroma[0] * chroma[1] == 0
    apart = hue[1] - hue[0]
    turned = np.where(apart > 180, apart - 360, np.where(apart < -180, apart + 360, apart))
    total = hue[0] + hue[1]
    mean = np.where(np.abs(apart) <= 180, total / 2, np.where(total < 360, total / 2 + 180, total / 2 - 180))
    return light, chroma, np.where(grey, 0.0, turned), np.where(grey, total, mean)


def _high(chroma: Floats) -> Floats:
    return np.sqrt(chroma**7 / (chroma**7 + 25.0**7))


def _cos(degrees: Floats) -> Floats:
    return np.cos(np.radians(degrees))


@dataclass(frozen=True)
class GlazeColours:
    """Density of a colour read, over CIELAB, given each glaze.

    Parameters
    ----------
    labs : float array, shape (glazes, 3)
        Mean colours as recorded; NaN where not known, and for an effect glaze, which has none.
    rates : Rates
        Spreads, and the colours counted of each glaze.
    ids : sequence of str
        The id of each glaze, by which colours were counted.

    Notes
    -----
    Student's t about the mean, the spread of batches and that of the instrument added; a share of the base density,
    for a colour that is in the clay or of another place. Colours read off settled pieces move the mean and the spread
    of their glaze. A glaze without a mean gets one, wide, once five were read; until then the base, a normal density.
    """

    labs: Floats
    rates: Rates
    ids: Sequence[str] = ()

    def base(self, colour: Colour, *, learned: bool = True) -> float:
        """Density where nothing is known: of colours as they were typed, or as wide as all pottery's to begin with."""

        def rate(name: str) -> float:
            return self.rates.of("glaze", name) if learned else default_rate("glaze", name) or 1.0

        middle = np.array([rate("base_" + axis) for axis in AXES])
        spread = np.array([rate("base_sd_" + axis) for axis in AXES])
        z = (np.array(colour.lab) - middle) / spread
        return max(float(np.exp(-0.5 * (z @ z)) / (spread.prod() * (2 * pi) ** 1.5)), 1e-250)

    def p(self, colour: Colour) -> Floats:
        """Density given each glaze, shape (glazes,)."""
        middle, own = self._expected
        variance, freedom = (
            own + self.rates.of("glaze", "instrument_" + colour.given) ** 2,
            self.rates.of("glaze", "freedom"),
        )
        squares = ((middle - np.array(colour.lab)) ** 2 / variance).sum(axis=1)
        constant = lgamma((freedom + 3) / 2) - lgamma(freedom / 2) - 1.5 * log(freedom * pi)
        near = np.exp(constant - (freedom + 3) / 2 * np.log1p(squares / freedom)) / np.sqrt(variance.prod(axis=1))
        elsewhere, base = self.rates.of("glaze", "in_clay"), self.base(colour)
        return np.where(np.isnan(near), base, (1 - elsewhere) * near + elsewhere * base)

    @cached_property
    def _expected(self) -> tuple[Floats, Floats]:
        """Mean and variance of each glaze on each axis, the instrument's left out; NaN where nothing is known."""
        n, total, squares = self._counted
        known = ~np.isnan(self.labs)
        anchor = self.rates.of("size", "anchor") * known
        with np.errstate(invalid="ignore", divide="ignore"):
            mean = (anchor * np.nan_to_num(self.labs) + total) / (anchor + n)
            within = np.maximum(squares - total**2 / np.maximum(n, 1), 0.0)
        mean[~known & (n < ENOUGH)] = np.nan
        batch = np.array([self.rates.of("glaze", "batch_" + axis) for axis in AXES]) ** 2
        wide = self.rates.of("glaze", "effect_spread") ** 2
        keep = np.where(known, self.rates.of("glaze", "keep_plain"), self.rates.of("glaze", "keep_effect"))
        read = self.rates.of("glaze", "instrument_lab") ** 2
        freedom = np.maximum(n - 1, 0)
        own = (keep * np.where(known, batch, wide) + np.maximum(within - freedom * read, 0.0)) / (keep + freedom)
        return mean, own * (1.0 + 1.0 / np.maximum(n + anchor, 1))

    @cached_property
    def _counted(self) -> Floats:
        """Number, sum and sum of squares of the colours counted, shape (3, glazes, axes)."""
        out = np.zeros((3, *self.labs.shape))
        for j, axis in enumerate(AXES):
            counted = self.rates.measured.get("glaze " + axis, {})
            for i, name in enumerate(self.ids if counted else ()):
                if name in counted:
                    out[:, i, j] = [counted[name][what] for what in ("n", "sum", "squares")]
        return out
