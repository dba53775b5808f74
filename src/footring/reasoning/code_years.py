"""What a date code says of the years, mark by mark: by the scheme of the mark and by no other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from footring.marks.datecode_notation import normal
from footring.marks.datecode_pack import pack_schemes
from footring.marks.datecode_scan import scan
from footring.marks.datecode_schemes import Scheme
from footring.marks.foot import IN_CLAY, Foot, MarkPart
from footring.reasoning.code_chance import base_rate, code_chance
from footring.reasoning.gaps import gaps
from footring.reasoning.habits import habit
from footring.reference import Reference
from footring.rows import TABLES

Floats = NDArray[np.float64]
Years = NDArray[np.int64]

_TECHNIQUES = TABLES["marks"].column("technique").choices or ()


@dataclass(frozen=True, slots=True, eq=False)
class CodeYears:
    """One date code, or its absence, under every mark of one kind; all on one measure.

    Parameters
    ----------
    text : str
        As read; empty where it was looked for and absent.
    by_year : mapping of mark row to array, shape (years,)
        p(code as read | mark, year), for marks whose scheme is known; the year is that of potting for marks in the
        clay, that of decorating for those on top, whatever the code dates.
    dates : mapping of mark row to tuple of str
        What the code dates on that mark: "potted", "decorated", or either.
    otherwise, new, outside : float
        The same for marks without a scheme and for no mark; for a mark that the reference does not hold; for a piece
        of a factory that it does not hold.
    """

    text: str
    by_year: Mapping[int, Floats]
    dates: Mapping[int, tuple[str, ...]]
    otherwise: float
    new: float
    outside: float


def reference_schemes(reference: Reference) -> tuple[Scheme, ...]:
    """Schemes of a reference, in the order of the rows of its table date_code_schemes.

    Raises
    ------
    BadInput
        With every fault of the schemes' rows, if there is any.
    """
    return pack_schemes({name: table.rows for name, table in reference.tables.items()})


def words_of_marks(reference: Reference) -> frozenset[str]:
    """Every word of the lettering of a reference's marks: what is part of a mark is no date code beside it."""
    letterings = reference.tables["marks"].text("lettering").tolist()
    return frozenset(word for lettering in letterings if lettering for word in normal(lettering, worded=False).split())


def codes_on(foot: Foot, schemes: Sequence[Scheme], words: frozenset[str] = frozenset()) -> list[tuple[MarkPart, bool]]:
    """Date codes of a foot, each once, and whether it stands in a mark; where one was given apart, only those.

    Parameters
    ----------
    foot : Foot
    schemes : sequence of Scheme
        Looked for in the marks whatever the rest of the mark: which mark it is, is another question.
    words : frozenset of str
        From `words_of_marks`; what is made of these alone is no code.

    Examples
    --------
    >>> codes_on(Foot(date_codes=(MarkPart("C4"), MarkPart("C4"))), [])
    [(MarkPart(text='C4', lettering=True, technique=None, colour=None, place=None, under_glaze=None, \
doubtful=False, absent=False, p=1.0), False)]
    """
    apart = {part.text.strip(): part for part in foot.date_codes if part.absent or part.text.strip()}
    if apart:
        return [(part, False) for part in apart.values()]
    able = [replace(scheme, style="") for scheme in schemes if scheme.scan != "apart"]
    near = scan(foot.parts, able) if able else []
    found = {one.code: one for one in near if one.readings and not words.issuperset(one.code.split())}
    read = [(one.text, foot.parts[one.part]) for one in found.values()]
    return [(MarkPart(text, technique=part.technique, doubtful=part.doubtful, p=part.p), True) for text, part in read]


def date_code_years(
    code: MarkPart, in_mark: bool, reference: Reference, schemes: Sequence[Scheme], years: Years
) -> dict[str, CodeYears]:
    """What one date code says, by kind of mark.

    Parameters
    ----------
    code : MarkPart
        Its text as read, or its absence; `p` is how sure the reader was.
    in_mark : bool
        Whether it was found in a mark that was read. The channel of the lettering has then paid for its letters
        already, so everything is against a mark without a scheme, which gets 1.
    reference : Reference
    schemes : sequence of Scheme
        From `reference_schemes`.
    years : array of int, shape (years,)
        Annual grid.

    Returns
    -------
    dict of kind of mark ("mark_in_clay", "mark_printed") to CodeYears
        A code belongs to one mark: to the kind it was made like where that is known, else to the kind whose schemes
        make it likeliest. The absence of a code is told of both kinds. A mark whose technique is not known is of both.

    Notes
    -----
    Within its span a scheme's mark carries a code mostly, and it is then one of those valid in the year, each as
    likely as the other; a code may be overlooked, or one character misread. Outside its span, and on marks without a
    scheme, figures are taken for a code now and then.
    """
    chances = {scheme: _read(code, schemes[scheme], years) for scheme in _schemes_in_use(reference)}
    of_kind = {side: _of_kind(code, side, reference, schemes, chances) for side in ("mark_in_clay", "mark_printed")}
    sides = tuple(of_kind) if code.absent else (_side(code, of_kind),)
    return {side: _against_plain(of_kind[side]) if in_mark else of_kind[side] for side in sides}


def _schemes_in_use(reference: Reference) -> list[int]:
    return [int(scheme) for scheme in np.unique(reference.tables["marks"].links["date_code_scheme"]) if scheme >= 0]


def _read(code: MarkPart, scheme: Scheme, years: Years) -> Floats:
    """P(code as read | a mark of the scheme, year)."""
    inside = (years >= scheme.span[0] // 12) & (years <= scheme.span[1] // 12)
    coded = inside * habit("coded") * (1.0 - habit("overlooked"))
    taken = (1.0 - inside * habit("coded")) * habit("stray")
    if code.absent:
        return np.asarray(code.p * (1.0 - coded - taken) + (1.0 - code.p) * (1.0 - habit("stray")))
    plain = base_rate(code.text)
    sure = coded * code_chance(code.text, scheme, years) + taken * plain
    return np.asarray(code.p * sure + (1.0 - code.p) * habit("stray") * plain)


def _of_kind(
    code: MarkPart, side: str, reference: Reference, schemes: Sequence[Scheme], chances: Mapping[int, Floats]
) -> CodeYears:
    marks = reference.tables["marks"].links
    able = [t is None or (t in IN_CLAY) == (side == "mark_in_clay") for t in (*_TECHNIQUES, None)]
    scheme_of = {
        mark: int(scheme)
        for mark, scheme in enumerate(marks["date_code_scheme"])
        if scheme >= 0 and able[marks["technique"][mark]]
    }
    told = {scheme: ("potted",) if side == "mark_in_clay" else schemes[scheme].dates for scheme in scheme_of.values()}
    printed = side == "mark_printed"
    at = {scheme: _as_decorated(chances[scheme], of) if printed else chances[scheme] for scheme, of in told.items()}
    by_year = {mark: at[scheme] for mark, scheme in scheme_of.items()}
    dates = {mark: told[scheme] for mark, scheme in scheme_of.items()}
    rates = (_rate(code, habit(what)) for what in ("stray", "coded_unknown", "coded_unknown"))
    return CodeYears("" if code.absent else code.text, by_year, dates, *rates)


def _rate(code: MarkPart, share: float) -> float:
    return 1.0 - share if code.absent else share * base_rate(code.text)


def _as_decorated(chance: Floats, dates: tuple[str, ...]) -> Floats:
    """The chance by year of decorating, of a code that dates the potting, the decorating, or either."""
    by_date = [gaps(len(chance)).lag @ chance if date == "potted" else chance for date in dates]
    return np.asarray(np.mean(by_date, axis=0))


def _side(code: MarkPart, of_kind: Mapping[str, CodeYears]) -> str:
    if code.technique is not None and code.technique != "stamped":
        return "mark_in_clay" if code.technique in IN_CLAY else "mark_printed"
    best = {
        side: max((float(chance.max()) for chance in of.by_year.values()), default=0.0) for side, of in of_kind.items()
    }
    return "mark_in_clay" if best["mark_in_clay"] > best["mark_printed"] else "mark_printed"


def _against_plain(code: CodeYears) -> CodeYears:
    by_year = {mark: chance / code.otherwise for mark, chance in code.by_year.items()}
    return CodeYears(code.text, by_year, code.dates, 1.0, 1.0, 1.0)
