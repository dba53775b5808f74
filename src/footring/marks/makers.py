"""A maker's name in a mark, turned into the years in which that name could stand there.

Each row of `tables/makers.csv` is a firm's working life (scope `firm`) or the years of one form of its name
(scope `form`: with Ltd, a partner, a works). A form holds for lettering that was read; a maker's name given
apart may be today's name for it, so only the firm's life is taken from that.
"""

from __future__ import annotations

import csv
import re
import unicodedata
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib import resources

from footring.marks.evidence import Evidence, Window, floor_for
from footring.marks.foot import Foot, MarkPart

_LETTERS = str.maketrans({"ø": "o", "æ": "ae", "œ": "oe", "ß": "ss", "ł": "l", "đ": "d", "&": " and ", "+": " and "})
_SILENT = re.compile(r"['’‘`´]")
_GAP = re.compile(r"[^\w]+|_")


@dataclass(frozen=True, slots=True)
class MakerRow:
    """One row of the table: a firm, or a form of its name, and the years it stands for."""

    id: str
    maker: str
    pattern: re.Pattern[str]
    scope: str
    country: str
    hand: str
    window: Window
    floor: float
    what: str
    exceptions: str
    citation: str
    source: str
    status: str

    @property
    def bounds(self) -> bool:
        """Whether it bounds the years at all; a row without years only names the maker and the country."""
        return self.window.first is not None or self.window.last is not None


@dataclass(frozen=True, slots=True)
class _Match:
    row: MakerRow
    reading: str
    length: int
    part: int | None
    speaks_of: tuple[str, ...]


def spelled(text: str) -> str:
    """Bring lettering to one spelling: small letters without accents, `and` for &, single spaces, no points.

    Parameters
    ----------
    text : str
        Lettering as typed, with `/` for line breaks.

    Returns
    -------
    str
        What the patterns of the table are written for.

    Examples
    --------
    >>> spelled("QUILLOW & TARN'S / W.-Körn Ltd.")
    'quillow and tarns w korn ltd'
    """
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    plain = "".join(c for c in plain if not unicodedata.combining(c))
    return _GAP.sub(" ", _SILENT.sub("", plain)).strip()


@cache
def table() -> tuple[MakerRow, ...]:
    """Rows of the table of makers, patterns compiled, in the order of the file.

    Examples
    --------
    >>> all(row.scope in ("firm", "form") for row in table())
    True
    """
    file = resources.files("footring.marks") / "tables" / "makers.csv"
    return tuple(_row(line) for line in csv.DictReader(file.read_text(encoding="utf-8").splitlines()))


@cache
def _any_name() -> re.Pattern[str]:
    # Most lettering names no firm: one search over all patterns at once is five times cheaper than each in turn.
    return re.compile("|".join(f"(?:{row.pattern.pattern})" for row in table()))


def _row(line: dict[str, str]) -> MakerRow:
    return MakerRow(
        id=line["id"],
        maker=line["maker"],
        pattern=re.compile(rf"\b(?:{line['pattern']})\b"),
        scope=line["scope"],
        country=line["country"],
        hand=line["hand"],
        window=Window(_year(line["from"]), _year(line["to"]), float(line["soft_before"]), float(line["soft_after"])),
        floor=float(line["floor"]),
        what=line["what"],
        exceptions=line["exceptions"],
        citation=line["citation"],
        source=line["source"],
        status=line["status"],
    )


def _year(text: str) -> int | None:
    return int(text) if text else None


def _find(text: str, spelling: str, part: int | None, speaks_of: tuple[str, ...], forms: bool) -> Iterator[_Match]:
    for row in table() if _any_name().search(spelling) else ():
        if (forms or row.scope == "firm") and (hit := row.pattern.search(spelling)):
            yield _Match(row, text, hit.end() - hit.start(), part, speaks_of)


def _in_part(part: MarkPart, index: int) -> Iterator[_Match]:
    if not part.absent and (spelling := spelled(part.text)):
        yield from _find(part.text, spelling, index, part.speaks_of, forms=True)


def _matches(foot: Foot) -> list[_Match]:
    """Every row that a part of the mark or the maker's name calls up, each row once for each date it speaks of."""
    found: dict[tuple[str, tuple[str, ...]], _Match] = {}
    for index, part in enumerate(foot.parts):
        for match in _in_part(part, index):
            found.setdefault((match.row.id, match.speaks_of), match)
    in_parts = {row_id for row_id, _ in found}
    if foot.maker:
        for match in _find(foot.maker, spelled(foot.maker), None, ("decorated",), forms=False):
            if match.row.id not in in_parts:
                found[match.row.id, match.speaks_of] = match
    return list(found.values())


def evidence(foot: Foot) -> list[Evidence]:
    """Dated evidence from the makers, decorators, shops and importers named on a foot or given apart.

    A name in the clay speaks of the potting, on a label of the sale, elsewhere (and given apart) of the decorating.
    Several rows for one maker may apply; they are of one family, so that they narrow and never multiply.

    Parameters
    ----------
    foot : Foot
        What was read. Without a known name the list is empty: no evidence, which is not evidence of anything.

    Returns
    -------
    list of Evidence
        Kind "maker", family "firm", strength "fact"; `rule` is the row's id.

    Examples
    --------
    >>> evidence(Foot(parts=(MarkPart("QUILLOW & TARN WORKS"),)))
    []
    """
    return [_evidence(match) for match in _matches(foot) if match.row.bounds]


def _evidence(match: _Match) -> Evidence:
    row = match.row
    return Evidence(
        reading=match.reading,
        says=row.what,
        speaks_of=match.speaks_of,
        windows=(row.window,),
        floor=floor_for(row.floor, (row.window,)),
        family="firm",
        kind="maker",
        strength="fact",
        rule=row.id,
        source=row.citation,
        status=row.status,
        part=match.part,
    )


def known_maker(foot: Foot) -> str | None:
    """Name of the maker on a foot: makers go before decorators and shops, firms before forms, longer lettering first.

    Parameters
    ----------
    foot : Foot
        What was read.

    Returns
    -------
    str or None
        The table's name for the maker, None where no name of the table was read.

    Examples
    --------
    >>> known_maker(Foot(maker="Quillow & Tarn Works")) is None
    True
    """
    best = max(_matches(foot), key=_tells_the_maker, default=None)
    return best.row.maker if best else None


def _tells_the_maker(match: _Match) -> tuple[bool, bool, int]:
    return (match.row.hand == "made", match.row.scope == "firm", match.length)


def maker_countries(foot: Foot) -> dict[str, int]:
    """Countries of the makers named on a foot, with how many makers of each were named.

    Shops, importers and designers who worked in several countries tell nothing and are left out.

    Parameters
    ----------
    foot : Foot
        What was read.

    Returns
    -------
    dict of str to int
        Country in English (England and Scotland apart; today's Czechia for Bohemia) to number of makers; empty
        where none is known.

    Examples
    --------
    >>> maker_countries(Foot(maker="Quillow & Tarn Works"))
    {}
    """
    makers = {(match.row.country, match.row.maker) for match in _matches(foot) if match.row.country}
    return dict(Counter(country for country, _ in makers))
