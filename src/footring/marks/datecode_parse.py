"""Every way a code, or the beginning of a text, can be taken apart into the fields of a scheme."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from footring.marks.datecode_dates import Span, merged, only_months, overlap
from footring.marks.datecode_fields import OUTSIDE, Field, Meaning
from footring.marks.datecode_schemes import Scheme

MOST_PARSES = 64
"""Ways of taking one code apart that are looked at; a code of a real scheme has one to three."""

Run = tuple[tuple[Field, Meaning], ...]


@dataclass(frozen=True, slots=True)
class Parse:
    """One way of taking a code apart: its end, its dates, what is kept, what is wrong with it."""

    end: int
    spans: tuple[Span, ...]
    lost: tuple[tuple[float, tuple[Span, ...]], ...]
    fields: tuple[tuple[str, str], ...]
    problems: tuple[str, ...]
    status: str


@dataclass(slots=True)
class _Walk:
    """One run of fields over one text. Each (field, place) is walked once, however hostile the text."""

    way: Sequence[Field]
    text: str
    whole: bool
    done: dict[tuple[int, int], list[tuple[int, Run]]] = field(default_factory=dict)

    def runs(self, index: int, at: int) -> list[tuple[int, Run]]:
        if index == len(self.way):
            return [(at, ())] if self._may_end(at) else []
        key = index, at
        if key not in self.done:
            self.done[key] = self._walk(index, at)
        return self.done[key]

    def _walk(self, index: int, at: int) -> list[tuple[int, Run]]:
        here, found = self.way[index], []
        for after, meaning in here.read(self.text, at):
            for end, tail in self.runs(index + 1, after):
                found.append((end, tail if meaning is None else ((here, meaning), *tail)))
                if len(found) >= MOST_PARSES:
                    return found
        return found

    def _may_end(self, at: int) -> bool:
        if at == len(self.text):
            return True
        return not self.whole and not (self.text[at].isalnum() or self.text[at] in "?-+")


def parses(scheme: Scheme, text: str, whole: bool = True) -> list[Parse]:
    """Ways of reading text from its beginning by a scheme; those with a problem only where none is without.

    Parameters
    ----------
    scheme : Scheme
    text : str
        From `datecode_notation.normal`.
    whole : bool
        Whether it must end with the text. False takes any end that is not inside a word or number.
    """
    found = [_parse(scheme, end, run) for way in scheme.ways for end, run in _Walk(way, text, whole).runs(0, 0) if end]
    return [parse for parse in found if not parse.problems] or found


def _parse(scheme: Scheme, end: int, run: Run) -> Parse:
    spans, problem = _combined(scheme, [meaning for _, meaning in run])
    lost = [
        (weight, later)
        for i, (_, meaning) in enumerate(run)
        for weight, dates in meaning.lost
        if (later := _combined(scheme, [Meaning(dates) if j == i else m for j, (_, m) in enumerate(run)])[0])
    ]
    own = [meaning.problem for _, meaning in run if meaning.problem]
    return Parse(
        end=end,
        spans=spans,
        lost=tuple(lost),
        fields=tuple((field.name, meaning.kept) for field, meaning in run if meaning.kept),
        problems=tuple(own or ([problem] if problem else [])),
        status=next((m.status for _, m in run if not m.status.startswith("opened")), scheme.status),
    )


def _combined(scheme: Scheme, meanings: Sequence[Meaning]) -> tuple[tuple[Span, ...], str | None]:
    """Dates on which all the fields agree, and why there are none."""
    spans: tuple[Span, ...] | None = None
    for dates in (meaning.dates for meaning in meanings if meaning.dates is not None):
        spans = dates if spans is None else overlap(spans, dates)
    if spans is None:
        return (scheme.span,), None
    stood = bool(spans)
    for meaning in meanings:
        if meaning.months is not None:
            spans = only_months(spans, meaning.months)
    inside = merged(overlap(spans, [scheme.span]))
    if inside:
        return inside, None
    if not stood or not spans:
        return (), "its parts contradict one another"
    return (), OUTSIDE
