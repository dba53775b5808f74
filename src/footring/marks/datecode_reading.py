"""A date code decoded by every scheme it may belong to."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from footring.marks.datecode_dates import Span, edtf, english, merged
from footring.marks.datecode_notation import LONGEST, bare_words, normal, speaks
from footring.marks.datecode_parse import Parse, parses
from footring.marks.datecode_schemes import Scheme
from footring.marks.foot import IN_CLAY
from footring.terms.errors import BadInput
from footring.terms.tables import read_table


@dataclass(frozen=True, slots=True)
class DateCodeReading:
    """What one scheme makes of one code.

    Parameters
    ----------
    code : str
        As typed, or as it stands in the mark.
    spans : tuple of (int, int, str)
        A *set* of dates: first year, last year, and EDTF with the month where there is one. Empty: no date.
    fields : mapping of str to str
        What the code says beside a date: plant, crew, potter.
    scheme, maker, source, status : str
    weight : float
        How far the scheme is trusted against those it disagrees with.
    says : str
        A short clause for a label.
    problems : tuple of str
        What is wrong with it; empty where nothing is.
    later : tuple of (float, int, int)
        Years that are less likely, with a weight: a counted sign may be lost.
    alternative_of : tuple of str
        Ids of the schemes this one contradicts.
    dates : tuple of str
        What the scheme dates: "potted", "decorated", or either.
    floor : float
        Likelihood left outside the dates.
    """

    code: str
    spans: tuple[tuple[int, int, str], ...]
    fields: Mapping[str, str]
    scheme: str
    maker: str
    source: str
    status: str
    weight: float
    says: str
    problems: tuple[str, ...] = ()
    later: tuple[tuple[float, int, int], ...] = ()
    alternative_of: tuple[str, ...] = ()
    dates: tuple[str, ...] = ("decorated",)
    floor: float = 0.01


def decode(
    code: str,
    schemes: Iterable[Scheme],
    *,
    technique: str | None = None,
    frame: str | None = None,
    style: str | None = None,
) -> list[DateCodeReading]:
    """Decode one date code by each scheme that can read it.

    Parameters
    ----------
    code : str
        As typed: `TOT`, `S over 02`, `14 flames XXI`, `star, 4 dots each side`, `none`. `?` is one unreadable
        character and stands for every one that fits; `[0?]` is a doubtful 0.
    schemes : iterable of Scheme
        From `builtin_schemes` or `build_schemes`; a scheme that cannot read the code gives nothing.
    technique, frame : str, optional
        How it was made, and what stands round it ("circle"; "plain" for nothing). None: not said.
    style : str, optional
        The rest of the mark. A scheme that holds for one style of mark only is not used without it.

    Returns
    -------
    list of DateCodeReading
        Empty where no scheme can read it. Handbooks that disagree give a reading each.

    Raises
    ------
    BadInput
        If nothing, or more than 200 characters, is given.

    Examples
    --------
    >>> from footring.marks.datecode_schemes import build_schemes
    >>> rows = [{"id": "tarn", "maker": "Quillow & Tarn", "span_from": 1910, "span_to": 1950}]
    >>> row = {"scheme": "tarn", "position": 1, "kind": "count", "name": "dots", "sign": "dot"}
    >>> schemes = build_schemes(rows, [{**row, "gives": "year", "base": 1910, "max": 9}], [])
    >>> decode("four dots", schemes)[0].spans
    ((1914, 1914, '1914'),)
    """
    _check(code)
    used = [scheme for scheme in schemes if holds(scheme, technique, frame, style)]
    letters = normal(code, worded=False)
    for text in dict.fromkeys((normal(code), letters, letters.replace(" ", ""))):
        if found := [reading for scheme in used for reading in readings_of(scheme, code, parses(scheme, text))]:
            return found
    if code.islower():
        capitals = decode(code.upper(), used, style=style)
        return [replace(one, code=code, problems=(*one.problems, "read as capitals")) for one in capitals]
    return []


def _check(code: str) -> None:
    if not code.strip():
        raise BadInput("the date code is empty: type what stands there, or 'none' if you looked and found none")
    if len(code) > LONGEST:
        raise BadInput(
            f"a date code of {len(code):,} characters is too long: at most {LONGEST} are read; give the code only"
        )


def holds(scheme: Scheme, technique: str | None, frame: str | None, style: str | None) -> bool:
    """Whether a scheme may be used for a code made so; what was not said rules nothing out but a style."""
    if technique and scheme.technique and (technique in IN_CLAY) != (scheme.technique in IN_CLAY):
        return False
    if frame and scheme.frame and frame != scheme.frame:
        return False
    return not scheme.style or (style is not None and speaks(scheme.style, bare_words(style)))


def readings_of(scheme: Scheme, code: str, found: Sequence[Parse]) -> list[DateCodeReading]:
    """One reading for each different set of kept fields."""
    by_fields: dict[tuple[tuple[str, str], ...], list[Parse]] = {}
    for parse in found:
        by_fields.setdefault(parse.fields, []).append(parse)
    return [_reading(scheme, code, fields, alike) for fields, alike in by_fields.items()]


def _reading(scheme: Scheme, code: str, fields: tuple[tuple[str, str], ...], alike: Sequence[Parse]) -> DateCodeReading:
    spans = merged(span for parse in alike for span in parse.spans)
    return DateCodeReading(
        code=code,
        spans=tuple((first // 12, last // 12, edtf((first, last))) for first, last in spans),
        fields=dict(fields),
        scheme=scheme.id,
        maker=scheme.maker,
        source=scheme.source,
        status=next((one.status for one in alike if not one.status.startswith("opened")), alike[0].status),
        weight=scheme.weight,
        says=_clause(scheme, spans),
        problems=tuple(dict.fromkeys(problem for parse in alike for problem in parse.problems)),
        later=tuple((w, a // 12, b // 12) for parse in alike for w, later in parse.lost for a, b in later),
        alternative_of=scheme.alternative_of,
        dates=scheme.dates,
        floor=scheme.floor,
    )


def _clause(scheme: Scheme, spans: Sequence[Span]) -> str:
    shown = [english(span) for span in spans[:4]] + [f"{len(spans) - 4} more"] * (len(spans) > 4)
    return f"{scheme.name}: {' or '.join(shown) if shown else 'no date'}"


def misreadings(code: str, scheme: Scheme) -> list[tuple[str, float]]:
    """Codes near this one that the scheme dates, each with the chance of the slip against a right reading.

    One confusable character (or pair: II for 11, IV for VI) is changed at a time; `tables/confusable.csv` holds
    them, from memory.

    Examples
    --------
    >>> from footring.marks.datecode_schemes import build_schemes
    >>> rows = [{"id": "tarn", "maker": "Quillow & Tarn", "span_from": 1910, "span_to": 1950}]
    >>> row = {"scheme": "tarn", "position": 1, "kind": "number", "name": "year", "gives": "year2", "width": 2}
    >>> misreadings("3I", build_schemes(rows, [row], [])[0])
    [('31', 0.1), ('37', 0.02)]
    """
    _check(code)
    near: dict[str, float] = {}
    for wrong, right, weight in confusable():
        at = code.find(wrong)
        while at >= 0:
            other = code[:at] + right + code[at + len(wrong) :]
            near[other] = max(weight, near.get(other, 0.0))
            at = code.find(wrong, at + 1)
    near.pop(code, None)
    likeliest = sorted(near.items(), key=lambda one: (-one[1], one[0]))
    return [(other, weight) for other, weight in likeliest if _dated(scheme, other)]


def _dated(scheme: Scheme, code: str) -> bool:
    return any(parse.spans and not parse.problems for parse in parses(scheme, normal(code)))


@cache
def confusable() -> tuple[tuple[str, str, float], ...]:
    """What is taken for what, either way round, with its chance."""
    rows = [(row["a"], row["b"], float(row["weight"])) for row in read_table("footring.marks", "confusable.csv")]
    return tuple(rows + [(b, a, weight) for a, b, weight in rows])
