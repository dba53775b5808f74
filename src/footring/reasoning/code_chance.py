"""How likely a date code is to be read as it was, in each year, by one scheme; and by no scheme at all."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import lru_cache
from math import prod

import numpy as np
from numpy.typing import NDArray

from footring.marks.datecode_dates import Span
from footring.marks.datecode_fields import Field
from footring.marks.datecode_notation import doubted, normal
from footring.marks.datecode_parse import Parse, parses
from footring.marks.datecode_reading import confusable
from footring.marks.datecode_schemes import Scheme
from footring.marks.datecodes import DOUBTED
from footring.reasoning.habits import habit

Floats = NDArray[np.float64]
Years = NDArray[np.int64]

SIGNS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
"""What an unreadable character of a code may be, each equally likely where no scheme says better."""
_LEAST = 1e-200
"""A chance for strings of a hundred signs and more, so that it is never 0."""
_WORDS = re.compile(r"[^\W\d_][a-z]+|[^\W_]|\?")
_FREE = {"figure": 10, "letter": 26, "capital": 26}


def base_rate(code: str) -> float:
    """Chance of this very string where something that is no date code is taken for one.

    It goes on after each sign with the same chance, and each sign is equally likely; a word is one sign, and one
    that could not be read is any of them.

    Examples
    --------
    >>> base_rate("C4") < base_rate("C"), base_rate("C?") == 36 * base_rate("C4")
    (True, True)
    """
    signs = _WORDS.findall(normal(code, worded=False)) or [""]
    on = habit("code_goes_on")
    alike = len(SIGNS) ** -float(len(signs) - signs.count("?"))
    return float(max((1.0 - on) * on ** (len(signs) - 1) * alike, _LEAST))


def code_chance(code: str, scheme: Scheme, years: Years) -> Floats:
    """P(code as read | a code of this scheme was put on in that year).

    Parameters
    ----------
    code : str
        As typed; `?` is one unreadable character, `[0?]` a doubtful 0.
    scheme : Scheme
    years : array of int, shape (years,)

    Returns
    -------
    array, shape (years,)
        The codes valid in a year are equally likely, and add up to 1 with what is made of them: one confusable
        character may be misread, and the share that the scheme's `floor` says reads as anything at all. Years
        outside its span have no codes: 0 but for that share.

    Examples
    --------
    >>> from footring.marks.datecode_schemes import build_schemes
    >>> rows = [{"id": "tarn", "maker": "Quillow & Tarn", "span_from": 1930, "span_to": 1939}]
    >>> field = {"scheme": "tarn", "position": 1, "kind": "number", "name": "year", "gives": "year2", "width": 2}
    >>> chance = code_chance("34", build_schemes(rows, [field], [])[0], np.arange(1930, 1940))
    >>> int(chance.argmax()), bool(0.9 < chance[4] < 1)
    (4, True)
    """
    if (unread := doubted(code)) is not None:
        sure, any_sign = (_read(text, scheme, years) for text in (code, unread))
        right = (1.0 - DOUBTED) * sure + DOUBTED * any_sign / len(SIGNS)
    else:
        right = _read(code, scheme, years)
    return np.asarray((1.0 - scheme.floor) * right + scheme.floor * base_rate(code))


def _read(code: str, scheme: Scheme, years: Years) -> Floats:
    """Summed over what may have stood there: the code itself, and those that one slip makes it of."""
    if "?" in code:
        return _unread(code, scheme, years)
    said = normal(code, worded=False)
    chance = valid_chance(code, scheme, years) / (1.0 + sum(slips(said).values()))
    for other, weight in slips(said).items():
        chance = chance + valid_chance(other, scheme, years) * weight / (1.0 + sum(slips(other).values()))
    return chance


def _unread(code: str, scheme: Scheme, years: Years) -> Floats:
    if code.count("?") == 1:
        return np.asarray(sum(valid_chance(code.replace("?", sign), scheme, years) for sign in SIGNS))
    return np.asarray(np.minimum(1.0, valid_chance(code, scheme, years) * len(SIGNS) ** float(code.count("?"))))


@lru_cache(maxsize=4096)
def slips(code: str) -> Mapping[str, float]:
    """Codes that one confusable character makes of this one, each with its chance against a right reading.

    Examples
    --------
    >>> slips("C1")
    {'CI': 0.1, 'Cl': 0.1, 'C7': 0.05, 'G1': 0.03}
    """
    found: dict[str, float] = {}
    for wrong, right, weight in confusable():
        for at in (match.start() for match in re.finditer(f"(?={re.escape(wrong)})", code)):
            other = code[:at] + right + code[at + len(wrong) :]
            found[other] = max(weight, found.get(other, 0.0))
    found.pop(code, None)
    return found


def valid_chance(code: str, scheme: Scheme, years: Years) -> Floats:
    """One over the number of codes valid in each year that this one dates, 0 in others; lost signs count as they do."""
    held = np.zeros(len(years))
    for parse in _parsed(code, scheme):
        spans = [(1.0, span) for span in parse.spans] + [(weight, span) for weight, of in parse.lost for span in of]
        for weight, (first, last) in spans:
            here = (years >= first // 12) & (years <= last // 12)
            held[here] = np.maximum(held[here], weight)
    return np.asarray(held / codes_in_use(scheme, int(years[0]), len(years)))


def _parsed(code: str, scheme: Scheme) -> list[Parse]:
    letters = normal(code, worded=False)
    for text in dict.fromkeys((normal(code), letters, letters.replace(" ", ""), letters.upper())):
        if found := [parse for parse in parses(scheme, text) if parse.spans and not parse.problems]:
            return found
    return []


@lru_cache(maxsize=512)
def codes_in_use(scheme: Scheme, first_year: int, years: int) -> Floats:
    """How many codes of a scheme there are for each year, at least 1: its ways added, the fields of each multiplied."""
    counts = [
        float(sum(prod(_choices(field, year) for field in way) for way in scheme.ways))
        for year in range(first_year, first_year + years)
    ]
    return np.maximum(1.0, counts)


def _choices(field: Field, year: int) -> int:
    if field.kind in ("literal", "says"):
        found = 1
    elif field.kind == "free":
        found = _FREE.get(field.text or "", len(SIGNS)) ** max(field.widths)
    elif field.tokens:
        tokens = [token for alike in field.tokens.values() for token in alike if not token.skipped]
        found = len({token.text for token in tokens if token.dates is None or _covers(token.dates, year)})
    else:
        found = sum(_says(field, value, year) for value in range(field.least, field.most + 1))
    return found + field.optional


def _covers(spans: Iterable[Span], year: int) -> bool:
    return any(first // 12 <= year <= last // 12 for first, last in spans)


def _says(field: Field, value: int, year: int) -> bool:
    """Whether a number may stand in a code of that year."""
    if field.gives == "year":
        return field.base + field.step * value == year
    if field.gives == "year2":
        return year % 100 == value
    return field.gives != "month" or 1 <= field.base + value <= 12
