"""Date codes looked for in the parts of a mark."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from footring.marks.datecode_notation import LONGEST, normal
from footring.marks.datecode_parse import Parse, parses
from footring.marks.datecode_reading import DateCodeReading, holds, misreadings, readings_of
from footring.marks.datecode_schemes import Scheme
from footring.marks.foot import MarkPart

NEXT_PARTS = 2
"""How many parts on a code may run, for schemes whose codes stand in a device and the lettering under it."""

_LINE = re.compile(r"\s*[/;]\s*")
_START = re.compile(r"(?<![^\s])[^\s]|(?<=-)\w")
_MIXED = re.compile(r"(?=\S*\d)(?=\S*[^\W\d_])\S{3,8}")


@dataclass(frozen=True, slots=True)
class Found:
    """A code found in a mark, or (without readings) something close to one: as it stands there, and normalised."""

    text: str
    code: str
    part: int
    readings: tuple[DateCodeReading, ...]
    schemes: tuple[Scheme, ...]


def scan(parts: Sequence[MarkPart], schemes: Sequence[Scheme]) -> list[Found]:
    """Codes of these schemes in the parts of a mark; what is only close to one where there is none.

    Parameters
    ----------
    parts : sequence of MarkPart
        Labels and what was looked for and absent are passed over.
    schemes : sequence of Scheme
        Those of the maker.
    """
    read = [i for i, part in enumerate(parts) if not part.absent and part.technique != "label"]
    found = [item for i in read for item in _in_part(parts, i, read, schemes)]
    return found or [item for i in read for item in _close(parts[i], i, schemes)]


def _in_part(parts: Sequence[MarkPart], i: int, read: Sequence[int], schemes: Sequence[Scheme]) -> Iterator[Found]:
    able = [scheme for scheme in schemes if holds(scheme, parts[i].technique, None, None)]
    by_scan = {name: [scheme for scheme in able if scheme.scan == name] for name in ("across", "part", "line")}
    run = [parts[j].text for j in read if i <= j <= i + NEXT_PARTS]
    yield from _search(run, i, by_scan["across"])
    yield from _search(run[:1], i, by_scan["part"])
    yield from _lines(run[0], i, by_scan["line"])


def _lines(text: str, part: int, schemes: Sequence[Scheme]) -> Iterator[Found]:
    for line in _LINE.split(text):
        plain = normal(line, worded=False)
        found = [one for scheme in schemes for one in readings_of(scheme, line, parses(scheme, plain))]
        if plain and len(plain) <= LONGEST and any(one.spans for one in found):
            yield Found(line, plain, part, tuple(found), tuple(schemes))


def _search(run: Sequence[str], part: int, schemes: Sequence[Scheme]) -> Iterator[Found]:
    """The longest code at each place of the first text, left to right, none within another; it may run on."""
    if not schemes:
        return
    text, starts_to, done = normal(" / ".join(run)), len(normal(run[0])), 0
    for start in (found.start() for found in _START.finditer(text)):
        if done <= start < starts_to:
            end, found = _longest(text[start : start + LONGEST], schemes)
            if end:
                done = start + end
                code = text[start:done]
                shown = _as_typed(code, run)
                told = [one for scheme, read in found for one in readings_of(scheme, shown, read)]
                yield Found(shown, code, part, tuple(told), tuple(scheme for scheme, _ in found))


def _as_typed(code: str, run: Sequence[str]) -> str:
    """The code itself where it was typed so, else the text of as many parts as it takes."""
    if code in run[0]:
        return code
    typed = (" / ".join(run[:count]) for count in range(1, len(run) + 1))
    return next((text for text in typed if code in normal(text)), code)


def _longest(text: str, schemes: Sequence[Scheme]) -> tuple[int, list[tuple[Scheme, list[Parse]]]]:
    read = [(scheme, parses(scheme, text, whole=False)) for scheme in schemes]
    end = max((one.end for _, found in read for one in found), default=0)
    longest = [(scheme, [one for one in found if one.end == end]) for scheme, found in read]
    return end, [(scheme, found) for scheme, found in longest if found]


def _close(part: MarkPart, i: int, schemes: Sequence[Scheme]) -> Iterator[Found]:
    """Words of letters and figures that one slip of the reader would make a code."""
    able = tuple(scheme for scheme in schemes if scheme.scan in ("part", "line"))
    for word in _MIXED.findall(normal(part.text, worded=False)):
        if any(misreadings(word, scheme) for scheme in able):
            yield Found(word, word, i, (), able)
