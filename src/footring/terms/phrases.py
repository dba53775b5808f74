"""Dates typed in English, read into EDTF without dropping a year or a doubt."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import NamedTuple

from footring.terms.dates import LONGEST, UncertainDate, parse_edtf
from footring.terms.errors import BadInput
from footring.terms.moments import parse_moment, refusal
from footring.terms.phrase_words import Doubt, Ends, ends, led_by, words

TYPED = (
    'write it in EDTF (1938, 1938~, 193X, [1936..1939], 1936/1945) or in words such as "between 1936 and 1939", '
    '"late 1930s", "1936 or 1937", "c. 1938", "before 1940", "from 1930 to 1945", "May 1938"'
)
_DASHES = dict.fromkeys(map(ord, "\u2010\u2011\u2012\u2013\u2014\u2212"), "-") | {ord("\u2019"): "'"}
_EVERY_DOUBT = {"?": frozenset("?"), "~": frozenset("~")}


def parse_when(text: str, *, lasted: bool = False) -> UncertainDate:
    """Read a date typed in EDTF or in English.

    Parameters
    ----------
    text : str
        At most 200 characters.
    lasted : bool
        Read a bare range ("1936-40") as an interval that lasted, for a line's years of making. By default it is a
        set: one piece, made once in it. "from", "since", "until" and "to" always give an interval; "between",
        "before", "after" and "or" a set; so does a part of a decade or century, with or without "to".

    Returns
    -------
    UncertainDate

    Raises
    ------
    BadInput
        Not understood, or a date that does not exist. Two-digit years and numeric days and months (5/12/1938) are
        refused, since each can be read in more than one way.

    Notes
    -----
    Nothing is narrowed by guessing. "before 1940" and "after 1936" include 1940 and 1936, since people use them
    both ways. "1900s" is 1900 to 1999. "1908-12", which is December in EDTF and five years on many a label, is
    1908 to 1912; `parse_edtf` reads it as December. "1936-40" is five years although EDTF knows a season 40.
    "winter 1938" takes in both winters of that year. A doubt in front covers all that follows. Phrases and the
    years of "early", "mid" and "late" are rows of `tables/phrases.csv`, common practice without a source; their
    edges are soft by a year.

    Examples
    --------
    >>> str(parse_when("between 1936 and 1939")), str(parse_when("probably c. 1938"))
    ('[1936..1939]', '1938%')
    >>> str(parse_when("1936-40")), str(parse_when("1936-40", lasted=True))
    ('[1936..1940]', '1936/1940')
    """
    if not isinstance(text, str):
        raise refusal(text, "a date is given as text", TYPED)
    if len(text) > LONGEST:
        raise refusal(text, f"{len(text)} characters are too long for a date", f"give at most {LONGEST}")
    if not text.strip():
        raise refusal(text, "there is nothing to read", f"leave the date out, or {TYPED}")
    return _when(text, lasted)


class _How(NamedTuple):
    """What was said in front of a phrase and beside it: its doubts, and whether a bare range lasted."""

    doubt: Doubt
    lasted: bool


@lru_cache(maxsize=8192)
def _when(text: str, lasted: bool) -> UncertainDate:
    plain = _plain(text)
    refused = refusal(text, "not understood", TYPED)
    if not _is_short_range(plain):
        try:
            return parse_edtf(text)
        except BadInput as error:
            refused = error if re.match(r"[\[{]|[0-9X?~%]{4}[0-9X?~%/.S-]*$", text.strip()) else refused
    phrase = _phrase(plain, lasted)
    if phrase is None:
        raise refused
    return parse_edtf(phrase)


def _is_short_range(plain: str) -> bool:
    """1936-40, and 1908-12 too: a second figure above the year's own last two."""
    match = re.fullmatch("[0-9]{2}([0-9]{2})-([0-9]{2})", plain)
    return match is not None and match[2] > match[1]


def _plain(text: str) -> str:
    """Lower case, one kind of dash, no noise."""
    text = re.sub(r"\s+", " ", text.translate(_DASHES).lower()).strip(" ,;:")
    text = re.sub(r"\(\s*\?\s*\)", "?", text)
    text = text[1:-1] if text.startswith("(") and text.endswith(")") and text.count("(") == 1 else text
    text = re.sub(r"([0-9]0)'s\b", r"\1s", text)
    text = re.sub(
        r"\b(early|mid|late|pre|post|to|circa|[0-9]+(?:st|nd|rd|th))-(?=to\b|mid|late|century|[0-9]{2})", r"\1 ", text
    )
    return re.sub(r"\s+\?", "?", text).removesuffix(".")


def _phrase(text: str, lasted: bool) -> str | None:
    """EDTF of a typed phrase, None when it is not understood."""
    doubt: Doubt = frozenset()
    while found := led_by("skip", text) or led_by("doubt", text):
        doubt |= _EVERY_DOUBT.get(found[0], frozenset())
        text = found[1]
    for candidate, more in ((text, frozenset[str]()), (text.removesuffix("?"), frozenset("?"))):
        for form in _FORMS:
            if edtf := form(candidate, _How(doubt | more, lasted)):
                return edtf
        if not text.endswith("?"):
            break
    return None


def _single(text: str, how: _How) -> str | None:
    found = ends(text)
    if found is None:
        return None
    first, last = found.doubted(how.doubt)
    return first if first == last else f"[{first}..{last}]"


def _winter(text: str, how: _How) -> str | None:
    """A winter runs over the turn of a year, so the winter of one year may be either of two."""
    match = re.fullmatch(r"winter (?:of )?([0-9]{4})(?:\s*[-/]\s*((?:[0-9]{2})?[0-9]{2}))?", text)
    if match is None:
        return None
    year = int(match[1])
    if match[2]:
        return _single(f"{year}-24", how) if int(match[2]) % 100 == (year + 1) % 100 else None
    return _members([Ends(f"{year}-01", f"{year}-02"), Ends(f"{year}-12", f"{year + 1}-02")], how.doubt, "[]")


def _bound(text: str, how: _How) -> str | None:
    for sense, (prefix, suffix) in _OPEN.items():
        found = led_by(sense, text) or _ended_by(sense, text)
        edge = _edge(found[1], found[0], how.doubt) if found else None
        if edge:
            return prefix + edge + suffix
    return None


_OPEN = {
    "bound_before": ("[..", "]"),
    "bound_after": ("[", "..]"),
    "suffix_before": ("[..", "]"),
    "suffix_after": ("[", "..]"),
    "lasted_until": ("../", ""),
    "lasted_from": ("", "/.."),
}


def _ended_by(sense: str, text: str) -> tuple[str, str] | None:
    if not sense.startswith("suffix"):
        return None
    for phrase, value in words(sense).items():
        if text.endswith(phrase) and text != phrase:
            return value, text.removesuffix(phrase).strip(" ,")
    return None


def _edge(text: str, side: str, doubt: Doubt) -> str | None:
    """The first or last year (month, day) of a typed date, as EDTF."""
    found = ends(text)
    if found is None:
        return None
    end = (found.first if side == "first" else found.last).rstrip("?~%")
    moment = parse_moment(end)
    exact = f"{(moment.first if side == 'first' else moment.last).year:04d}" if "X" in end else end
    own = found.doubted(doubt)
    sign = (own.first if side == "first" else own.last)[len(end) :]
    return exact + sign


def _two_bounds(text: str, how: _How) -> str | None:
    """After 1936 and before 1940."""
    for left, _, right in _cuts(text, r", | and | but "):
        found = [_bound(side, how) for side in (left, right)]
        first = next((edge[1:-3] for edge in found if edge and edge.endswith("..]")), None)
        last = next((edge[3:-1] for edge in found if edge and edge.startswith("[..")), None)
        if first and last:
            return f"[{first}..{last}]"
    return None


def _between(text: str, how: _How) -> str | None:
    if not text.startswith("between "):
        return None
    return _spanned(_pair(text.removeprefix("between "), r" and | to |\s*-\s*"), _How(how.doubt, lasted=False))


def _lasted(text: str, how: _How) -> str | None:
    """From 1930 to 1945; 1930 until 1945. Early to mid 1950s says no more than when."""
    pair = _pair(text.removeprefix("from "), r" to | until | till | through ")
    parts = pair is not None and any(end.first != end.last for end in pair)
    return _spanned(pair, _How(how.doubt, how.lasted or text.startswith("from ") or not parts))


def _range(text: str, how: _How) -> str | None:
    """1936-40, 1936/37, late 1930s - early 1940s."""
    return _spanned(_pair(text, r"\s*-\s*|\s*/\s*"), how)


def _spanned(pair: tuple[Ends, Ends] | None, how: _How) -> str | None:
    if pair is None:
        return None
    first, last = pair[0].doubted(how.doubt).first, pair[1].doubted(how.doubt).last
    return f"{first}/{last}" if how.lasted else f"[{first}..{last}]"


def _listed(text: str, how: _How) -> str | None:
    """1936 or 1937 is one of them; 1936 and 1938 is both."""
    for word, brackets in ((" or ", "[]"), (" and ", "{}")):
        *left, right = re.split(rf"\s*,?{word}|\s*,\s*", text) if word in text else [""]
        items = [_beside(item, right) for item in left]
        last = _beside(right, left[0] if left else "")
        if left and last and all(items):
            return _members([item for item in (*items, last) if item], how.doubt, brackets)
    return None


def _members(items: list[Ends], doubt: Doubt, brackets: str) -> str:
    texts = [first if first == last else f"{first}..{last}" for first, last in (item.doubted(doubt) for item in items)]
    return brackets[0] + ",".join(texts) + brackets[1]


def _pair(text: str, separators: str) -> tuple[Ends, Ends] | None:
    for left, _, right in _cuts(text, separators):
        pair = _beside(left, right), _beside(right, left)
        if pair[0] and pair[1]:
            return pair[0], pair[1]
    return None


def _cuts(text: str, separators: str) -> Iterator[tuple[str, str, str]]:
    for match in re.finditer(separators, text):
        yield text[: match.start()], match[0], text[match.end() :]


def _beside(text: str, other: str) -> Ends | None:
    """A date that may leave to its neighbour what both share: 1936-40, early to mid 1950s, May or June 1938."""
    short = re.fullmatch(r"([0-9]{1,2})(s?)(\??)", text)
    year = re.findall(r"(?<![0-9])[0-9]{4}(?=s?\b|[?~%])", other)
    if short and year:
        full = year[-1][: 4 - len(short[1])] + short[1]
        return ends(full + short[2] + short[3]) if full > year[-1] else None
    shared = re.search(r"[0-9]{4}s?$|(?:[a-z]+|[0-9]+(?:st|nd|rd|th)) century$", other)
    return ends(text) or (ends(f"{text} {shared[0]}") if shared else None)


_FORMS: tuple[Callable[[str, _How], str | None], ...] = (
    _winter,
    _two_bounds,
    _between,
    _bound,
    _lasted,
    _range,
    _listed,
    _single,
)
