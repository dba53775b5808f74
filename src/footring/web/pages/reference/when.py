"""Dates of the reference in words."""

from __future__ import annotations

import re

from footring.terms.dates import UncertainDate, parse_edtf
from footring.terms.errors import BadInput

_MONTHS = "January February March April May June July August September October November December".split()
_SEASONS = {"21": "spring", "22": "summer", "23": "autumn", "24": "winter"}
_DOUBT = {"~": "about ", "?": "perhaps ", "%": "perhaps about "}
_YEAR = re.compile(r"\d{4}")


def in_words(edtf: str | None, whole_years: bool = False) -> str:
    """A date as one says it, nothing of its doubt left out; as written where it is no date, or one rarely met.

    Examples
    --------
    >>> in_words("1934/1939"), in_words("1909~"), in_words("[1928..1935]"), in_words("1904/1922~")
    ('1934-39', 'about 1909', 'between 1928 and 1935', 'from 1904 to about 1922')
    >>> in_words("1934-03"), in_words("1950/.."), in_words("193X"), in_words("[1936,1938]")
    ('March 1934', 'from 1950', '1930s', '1936 or 1938')
    """
    if not edtf:
        return ""
    if edtf[0] in "[{":
        return _set(edtf) or edtf
    if "/" in edtf:
        return _interval(*edtf.split("/", 1), whole_years)
    return _one(edtf) or edtf


def read(edtf: str | None) -> UncertainDate | None:
    """A date; None where there is none that can be read."""
    try:
        return parse_edtf(edtf) if edtf else None
    except BadInput:
        return None


def _one(text: str) -> str | None:
    doubt = _DOUBT.get(text[-1:], "")
    year, *rest = text.rstrip("~?%").split("-")
    if re.fullmatch(r"\d{3}X", year) and not rest:
        return f"{doubt}{year[:3]}0s"
    if not _YEAR.fullmatch(year) or not all(part.isdigit() for part in rest) or len(rest) > 2:
        return None
    return doubt + " ".join([*_day(rest), year])


def _day(rest: list[str]) -> list[str]:
    if not rest:
        return []
    month = _SEASONS.get(rest[0]) or (_MONTHS[int(rest[0]) - 1] if 1 <= int(rest[0]) <= 12 else rest[0])
    return [*([str(int(rest[1]))] if len(rest) > 1 else []), month]


def _interval(first: str, last: str, whole_years: bool) -> str:
    if _YEAR.fullmatch(first) and _YEAR.fullmatch(last):
        short = first[:2] == last[:2] and not whole_years
        return f"{first}-{last[2:] if short else last}"
    begun, ended = (_one(end) or end for end in (first, last))
    told = [f"from {begun}"] if first not in ("", "..") else []
    told += [f"{'to' if told else 'until'} {ended}"] if last not in ("", "..") else []
    told += [", nobody knows until when"] if last == "" else []
    told += [", nobody knows from when"] if first == "" else []
    return " ".join(told).replace(" ,", ",")


def _set(text: str) -> str | None:
    members, inside = text[1:-1].split(","), text[1:-1]
    if len(members) == 1 and ".." in inside:
        first, last = (_one(end) for end in inside.split("..", 1))
        told = (
            f"between {first} and {last}" if first and last else f"{first} or later" if first else f"{last} or before"
        )
        return told if first or last else None
    said = [_one(member.strip()) for member in members]
    joint = " or " if text[0] == "[" else " and "
    return joint.join(str(one) for one in said) if all(said) else None
