"""Measured lengths and capacities as typed. A trade size ("36s", a listed "8 in" plate) is a name: never convert it."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from footring.terms.errors import BadInput
from footring.terms.tables import read_table

LONGEST = 60
LARGEST_MM = 2000
LARGEST_ML = 200_000
_NUMBER = r"(?:[0-9]{1,7}[ -])?[0-9]{1,7}/[0-9]{1,7}|[0-9]{1,7}(?:[.,][0-9]{1,6})?|[.][0-9]{1,6}"
_MEASURE = re.compile(
    rf"(?P<value>-?\s*(?:{_NUMBER}))\s*(?P<unit>[^0-9+±-]*?)\s*"
    rf"(?:(?:\+/?-|±)\s*(?P<spread>{_NUMBER})\s*(?P<spread_unit>[^0-9+±-]*?))?"
)


@dataclass(frozen=True, slots=True)
class Length:
    """A measured length.

    Parameters
    ----------
    mm : float
        Millimetres.
    sd_mm : float or None
        One standard deviation of the measuring; None where it was not said.
    given : str
        As typed.
    """

    mm: float
    sd_mm: float | None
    given: str


@dataclass(frozen=True, slots=True)
class Capacity:
    """A measured capacity in millilitres, with one standard deviation or None, and as typed."""

    ml: float
    sd_ml: float | None
    given: str


def parse_length(text: str) -> Length:
    """Read a measured length with its unit.

    Parameters
    ----------
    text : str
        `7 1/4 in`, `7¼"`, `184 mm`, `18.4 cm`, with an optional `± 2` (or `+-2`): one standard deviation in the
        same unit, which may stand after it. A comma before one or two figures is a decimal comma.

    Returns
    -------
    Length
        In millimetres; 1 in is 25.4 mm exactly.

    Raises
    ------
    BadInput
        No unit, an unknown unit, nothing or less, or over 2 m. A trade size ("36s") is a name and is refused.

    Examples
    --------
    >>> parse_length("7 1/4 in ± 1/16")
    Length(mm=184.15, sd_mm=1.5875, given='7 1/4 in ± 1/16')
    """
    mm, sd_mm = _measured(text, "length", "mm", LARGEST_MM, "7 1/4 in, 184 mm or 18.4 cm, with ± 2 for its uncertainty")
    return Length(mm, sd_mm, text)


def in_inches(mm: float) -> str:
    """A length as a collector with a rule says it: inches to the nearest sixteenth, 25.4 mm to the inch.

    Examples
    --------
    >>> in_inches(184.15), in_inches(50.8), in_inches(3.2)
    ('7 1/4 in', '2 in', '1/8 in')
    """
    whole, rest = divmod(round(mm / 25.4 * 16), 16)
    part = str(Fraction(rest, 16)) if rest else ""
    return f"{' '.join(filter(None, [str(whole) if whole or not part else '', part]))} in"


def parse_capacity(text: str) -> Capacity:
    """Read a measured capacity with its unit: ml, cl, l, or imperial and US pints, quarts and fluid ounces.

    Parameters
    ----------
    text : str
        `250 ml`, `1 1/2 imp pt`, `8 us fl oz`, with an optional `± 5` in the same unit.

    Raises
    ------
    BadInput
        As `parse_length`; also "pt", "qt" and "fl oz" alone, which differ by a fifth between the two countries.

    Examples
    --------
    >>> parse_capacity("1/2 imp pt").ml
    284.130625
    """
    ml, sd_ml = _measured(text, "capacity", "ml", LARGEST_ML, "250 ml, 25 cl, 1 imp pt, 1 us pt or 8 us fl oz")
    return Capacity(ml, sd_ml, text)


def _measured(text: str, what: str, base: str, largest: int, accepted: str) -> tuple[float, float | None]:
    plain = _plain(text, what, accepted)
    match = _MEASURE.fullmatch(plain)
    if match is None:
        raise _refusal(text, what, _why_not(plain), f"write {accepted}")
    size = _size_of(match["unit"] or match["spread_unit"] or "", text, what, base, accepted)
    if match["spread_unit"] and _size_of(match["spread_unit"], text, what, base, accepted) != size:
        raise _refusal(text, what, "the uncertainty is in another unit than the value", "give both in one unit")
    value = _number(match["value"], text, what) * size
    spread = _number(match["spread"], text, what) * size if match["spread"] else None
    if value <= 0 or spread == 0:
        raise _refusal(text, what, "a measurement and its uncertainty are more than nothing", f"write {accepted}")
    if value > largest or (spread is not None and spread > value):
        why = f"over {largest} {base}" if value > largest else "the uncertainty is larger than the value"
        raise _refusal(text, what, why, "check the figure and its unit")
    return float(value), None if spread is None else float(spread)


def _refusal(given: object, what: str, why: str, do: str) -> BadInput:
    return BadInput(f"{what} {str(given)[:LONGEST]!r}: {why}; {do}")


def _plain(text: str, what: str, accepted: str) -> str:
    """Lower case, vulgar fractions spelled out, one kind of minus."""
    if not isinstance(text, str) or len(text) > LONGEST:
        raise _refusal(text, what, f"not a text of at most {LONGEST} characters", f"write {accepted}")
    spelled = re.sub("(?<=[0-9])(?=[¼-¾⅐-⅞])", " ", text)
    spelled = re.sub("[¼-¾⅐-⅞]", lambda sign: unicodedata.normalize("NFKC", sign[0]), spelled)
    spelled = spelled.replace("\u2044", "/").replace("\u2212", "-").replace("\u2013", "-")
    return re.sub(r"\s+", " ", spelled).strip().lower()


def _why_not(plain: str) -> str:
    if not plain:
        return "there is nothing to read"
    if re.fullmatch(r"[0-9]+ ?s|[0-9]+'s", plain):
        return "a trade size is a name, not a measurement"
    return "not a number with a unit"


def _number(text: str, given: str, what: str) -> Fraction:
    text = text.replace(" ", "+", 1) if "/" in text and " " in text.strip("- ") else text
    sign = -1 if text.startswith("-") else 1
    whole, _, part = text.strip("-+ ").replace("-", "+").rpartition("+")
    if re.fullmatch("[0-9]+,[0-9]{3,}", part):
        raise _refusal(
            given, what, "a comma before three figures can be read two ways", "leave it out or write a point"
        )
    if re.search("/0+$", part):
        raise _refusal(given, what, "nothing can be divided by 0", "check the fraction")
    return sign * (Fraction(whole or "0") + Fraction(part.replace(",", ".")))


def _size_of(unit: str, given: str, what: str, base: str, accepted: str) -> Fraction:
    sizes = _sizes(f"{what} in {base}")
    if unit in sizes:
        return sizes[unit]
    if unit.rstrip("s.") in ("pt", "pint", "qt", "quart", "fl oz", "fl. oz", "floz"):
        raise _refusal(given, what, f"{unit} differs between countries", f"write imp {unit} or us {unit}")
    if unit == "s" or unit == "'s":
        raise _refusal(given, what, "a trade size is a name, not a measurement", "keep it as the trade size")
    why = f"{unit!r} is not a unit of {what}" if unit else "it has no unit"
    raise _refusal(given, what, why, f"write {accepted}")


@cache
def _sizes(measures: str) -> dict[str, Fraction]:
    rows = [row for row in read_table("footring.terms", "units.csv") if row["measures"] == measures]
    return {written: Fraction(row["size"]) for row in rows for written in row["written"].split("|")}
