"""A glaze's measured colour, as a screen shows it."""

from __future__ import annotations

from footring.records.models import Stored

_WHITE = (0.95047, 1.0, 1.08883)
_TO_RGB = ((3.2404542, -1.5371385, -0.4985314), (-0.9692660, 1.8760108, 0.0415560), (0.0556434, -0.2040259, 1.0572252))


def colour_of(glaze: Stored | None) -> str | None:
    """The colour of a glaze as `#rrggbb`; None where nobody measured it."""
    if glaze is None or glaze.lab_lightness is None or glaze.lab_a is None or glaze.lab_b is None:
        return None
    return srgb(glaze.lab_lightness, glaze.lab_a, glaze.lab_b)


def srgb(lightness: float, a: float, b: float) -> str:
    """CIELAB (D65, 2 degrees) as sRGB [iec61966]_, what lies outside it drawn in to its edge.

    Examples
    --------
    >>> srgb(100, 0, 0), srgb(0, 0, 0), srgb(53.24, 80.09, 67.2)
    ('#ffffff', '#000000', '#ff0000')
    """
    y = (lightness + 16) / 116
    xyz = [white * _inverse(part) for white, part in zip(_WHITE, (y + a / 500, y, y - b / 200), strict=True)]
    linear = [sum(m * v for m, v in zip(row, xyz, strict=True)) for row in _TO_RGB]
    return "#" + "".join(f"{round(255 * _encoded(min(max(one, 0.0), 1.0))):02x}" for one in linear)


def _inverse(part: float) -> float:
    return part**3 if part > 6 / 29 else 3 * (6 / 29) ** 2 * (part - 4 / 29)


def _encoded(linear: float) -> float:
    return float(12.92 * linear if linear <= 0.0031308 else 1.055 * linear ** (1 / 2.4) - 0.055)
