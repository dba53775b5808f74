"""Date codes on a foot: found, decoded by the schemes of its maker, and turned into evidence."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from footring.marks.datecode_notation import bare_words, doubted, normal, speaks
from footring.marks.datecode_reading import DateCodeReading, decode, misreadings
from footring.marks.datecode_scan import Found, scan
from footring.marks.datecode_schemes import Scheme, build_schemes, builtin_schemes
from footring.marks.evidence import Evidence, Window, floor_for
from footring.marks.foot import IN_CLAY, Foot, MarkPart

__all__ = [
    "DateCodeReading",
    "Scheme",
    "build_schemes",
    "builtin_schemes",
    "decode",
    "evidence",
    "misreadings",
    "notes",
    "readings",
]


DOUBTED = 0.3
"""Weight of any other character where one was read with doubt (common practice, no source)."""
CLOSE = 0.5
"""Weight of the likeliest slip where nothing but a slip makes a date of it (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class _Code:
    """A code on a foot: what was read, in which part (None: given apart), and what the schemes make of it."""

    text: str
    part: int | None
    how: MarkPart
    readings: tuple[DateCodeReading, ...]
    near: tuple[tuple[DateCodeReading, float], ...] = ()


def evidence(foot: Foot, schemes: Sequence[Scheme] | None = None) -> list[Evidence]:
    """What the date codes of a foot say of its dates.

    Codes given apart are read first; then the mark is searched for codes of its maker's schemes. A code that stands
    in both gives two pieces of evidence of one family with the same windows, so it counts once. Handbooks that
    disagree give windows side by side. Misread characters and lost signs add windows of low weight.

    Parameters
    ----------
    foot : Foot
    schemes : sequence of Scheme, optional
        Instead of those that ship with Footring.

    Returns
    -------
    list of Evidence
        Empty where the maker is not known, or no scheme of its can read anything (see `notes`).

    Raises
    ------
    BadInput
        If a code given apart is longer than 200 characters.

    Notes
    -----
    When *not* to use it: a piece without a code is not evidence, unless its mark's style makes the lack a token;
    a code may be missing on late short issues (common practice, no source).

    Examples
    --------
    >>> evidence(Foot(date_codes=(MarkPart("TOT"),)))
    []
    """
    found = _codes(foot, _schemes(schemes))
    return [item for code in found if (item := _evidence(code)) is not None]


def readings(foot: Foot, schemes: Sequence[Scheme] | None = None) -> list[DateCodeReading]:
    """Every reading of every code on a foot, each once, with the fields that are no date.

    Examples
    --------
    >>> readings(Foot(maker="Quillow & Tarn", date_codes=(MarkPart("TOT"),)))
    []
    """
    unlike: dict[tuple[str, object, object], DateCodeReading] = {}
    for code in _codes(foot, _schemes(schemes)):
        for one in code.readings or [reading for reading, _ in code.near]:
            unlike.setdefault((one.scheme, one.spans, tuple(one.fields.items())), one)
    return list(unlike.values())


def notes(foot: Foot, schemes: Sequence[Scheme] | None = None) -> list[str]:
    """What was given as a date code and could not be used, and why.

    Examples
    --------
    >>> notes(Foot(date_codes=(MarkPart("TOT"),)))
    ["date code 'TOT': the maker is not known, so no scheme was tried; give the maker"]
    """
    used = _of_maker(foot, _schemes(schemes))
    given = [part.text for part in foot.date_codes if part.text.strip() and not part.absent]
    if not used:
        why = (
            f"no date-code scheme of {foot.maker} is known"
            if foot.maker
            else "the maker is not known, so no scheme was tried; give the maker"
        )
        return [f"date code {text!r}: {why}" for text in given]
    read = {code.text for code in _codes(foot, _schemes(schemes)) if code.readings or code.near}
    makers = ", ".join(sorted({scheme.maker for scheme in used}))
    return [f"date code {text!r}: no scheme of {makers} reads it" for text in given if text not in read]


def _schemes(schemes: Sequence[Scheme] | None) -> tuple[Scheme, ...]:
    return builtin_schemes() if schemes is None else tuple(schemes)


def _of_maker(foot: Foot, schemes: Iterable[Scheme]) -> tuple[Scheme, ...]:
    """Schemes of the maker as known, else of the makers the mark names."""
    named = bare_words(foot.maker or "")
    marked = bare_words(" / ".join(part.text for part in foot.parts if not part.absent))
    known = tuple(scheme for scheme in schemes if speaks(scheme.makers, named))
    return known or tuple(scheme for scheme in schemes if speaks(scheme.makers, marked))


@lru_cache(maxsize=64)
def _codes(foot: Foot, schemes: tuple[Scheme, ...]) -> tuple[_Code, ...]:
    used = _of_maker(foot, schemes)
    if not used:
        return ()
    apart = [code for part in foot.date_codes if (code := _given(part, used, foot)) is not None]
    said = [normal(code.text) for code in apart]
    # Part of a code that was given whole ("14 flames" of "14 flames XXI") is no second code.
    whole = (found for found in scan(foot.parts, used) if not any(_within(found.code, text) for text in said))
    return (*apart, *(_marked(found, foot) for found in whole))


def _within(part: str, whole: str) -> bool:
    """Whether a code, or its last words, stand in a longer one and that goes on."""
    words = part.split()
    tails = (" ".join(words[i:]) for i in range(max(1, len(words) - 1)))
    return any(f" {tail} " in f" {whole}" for tail in tails)


def _given(part: MarkPart, schemes: Sequence[Scheme], foot: Foot) -> _Code | None:
    text = "none" if part.absent else part.text
    if not text.strip():
        return None
    found = decode(text, schemes, technique=part.technique, style=foot.lettering)
    near = () if part.absent else _near(text, schemes, foot)
    return _Code(text, None, part, _best(found), near)


def _marked(found: Found, foot: Foot) -> _Code:
    near = _near(found.code, found.schemes, foot)
    return _Code(found.text, found.part, foot.parts[found.part], _best(found.readings), near)


def _best(found: Sequence[DateCodeReading]) -> tuple[DateCodeReading, ...]:
    """Readings that date; the others only where none does."""
    return tuple(one for one in found if one.spans) or tuple(found)


def _near(text: str, schemes: Sequence[Scheme], foot: Foot) -> tuple[tuple[DateCodeReading, float], ...]:
    slips = [(other, weight, scheme) for scheme in schemes for other, weight in misreadings(text, scheme)]
    if (open_to_doubt := doubted(text)) is not None:
        slips += [(open_to_doubt, DOUBTED, scheme) for scheme in schemes]
    return tuple(
        (replace(one, problems=(*one.problems, f"read as {other}: a character may be misread")), weight)
        for other, weight, scheme in slips
        for one in decode(other, [scheme], style=foot.lettering)
        if one.spans
    )


def _evidence(code: _Code) -> Evidence | None:
    windows = _windows(code)
    told = [one for one in code.readings if one.spans] or [one for one, _ in code.near]
    if not windows:
        return None
    return Evidence(
        reading=code.text,
        says="; or ".join(dict.fromkeys(one.says for one in told)),
        speaks_of=_speaks_of(code.how, told[0]),
        windows=windows,
        floor=floor_for(max(one.floor for one in told), windows),
        family=f"date code: {told[0].maker}",
        kind="date code",
        strength="fact",
        rule=", ".join(dict.fromkeys(one.scheme for one in told)),
        source="; ".join(dict.fromkeys(one.source for one in told)),
        status="opened" if all(one.status.startswith("opened") for one in told) else "memory",
        part=code.part,
    )


def _windows(code: _Code) -> tuple[Window, ...]:
    """One for each span, the highest where two are the same."""
    best: dict[tuple[int, int], float] = {}
    raised = 1.0 if any(one.spans for one in code.readings) else _raised(code)
    for one, slip in [*((one, 1.0) for one in code.readings), *((one, slip * raised) for one, slip in code.near)]:
        spans = [(1.0, first, last) for first, last, _ in one.spans]
        for weight, first, last in (*spans, *one.later):
            best[first, last] = max(best.get((first, last), 0.0), weight * slip * one.weight)
    return tuple(Window(first, last, weight=weight) for (first, last), weight in sorted(best.items()))


def _raised(code: _Code) -> float:
    """Where nothing but a slip makes a date of it, the slips count more, for one of them may well have happened."""
    return CLOSE / max((slip for _, slip in code.near), default=1.0)


def _speaks_of(how: MarkPart, reading: DateCodeReading) -> tuple[str, ...]:
    """In the clay: potted. Not said, or only "stamped", which may be either: what the scheme says."""
    if how.technique in IN_CLAY:
        return ("potted",)
    return reading.dates if how.technique in (None, "stamped") else ("decorated",)
