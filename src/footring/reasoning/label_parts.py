"""The pieces every label is put together from: lines, sections, years, fights, cautions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from textwrap import wrap

from footring.care.cautions import Caution
from footring.reasoning.conflicts import Conflict
from footring.reasoning.date_finding import DateAnswer
from footring.terms.printable import printable

WIDTH = 78
INDENT = "    "
ALWAYS = "always shown"
_ASCII = str.maketrans("–—’‘“”·©®º°", "--''\"\"-cRoo")


def section(heading: str, texts: Iterable[str]) -> list[str]:
    """A heading and its texts, wrapped and indented; nothing where there is no text."""
    told = [
        line for text in texts for line in wrap(printable(text), WIDTH, initial_indent="  ", subsequent_indent=INDENT)
    ]
    return [heading, *told] if told else []


def wrapped(texts: Iterable[str]) -> list[str]:
    """Lines of texts."""
    return [line for text in texts for line in wrap(printable(text), WIDTH)]


def stacked(blocks: Iterable[Sequence[str]]) -> str:
    """Blocks of lines, one under another; those without a line are left out."""
    return "\n\n".join("\n".join(block) for block in blocks if block)


def before_use(cautions: Iterable[Caution], always: bool) -> list[str]:
    """Cautions that do not stand above all else; without those that go with every piece where they stand elsewhere."""
    told = (c.text for c in cautions if not c.first and (always or c.trigger != ALWAYS))
    return section("Before anyone eats from it", told)


def fight(conflict: Conflict) -> str:
    """A conflict, in two sentences."""
    times = f"{2 ** min(conflict.bits, 19):,.0f}"
    return (
        f"{' and '.join(conflict.between)}. Together {times} times rarer than apart. "
        f"Cheapest explanation: {conflict.explanation}."
    )


def made(answer: DateAnswer) -> str:
    """When something was made, in one sentence."""
    spans = answer.intervals[90]
    if spans[0][0] == spans[-1][1]:
        return f"Made in {spans[0][0]}, nine chances in ten or better."
    return f"Made {years_phrase(spans)}, nine chances in ten; an even chance of {answer.median} or earlier."


def potted_earlier(dates: Mapping[str, DateAnswer]) -> Iterator[str]:
    """A sentence where the blank is years older than what stands on it."""
    potted = dates["potted"]
    if dates["decorated"].median - potted.median >= 3:
        yield f"Potted earlier: {years_phrase(potted.intervals[80])}, eight chances in ten."


def years_phrase(spans: Sequence[tuple[int, int]]) -> str:
    """Spans of years in words.

    Examples
    --------
    >>> years_phrase([(1921, 1941)]), years_phrase([(1860, 1861), (1886, 1886)])
    ('between 1921 and 1941', 'in 1860-61 or 1886')
    """
    if len(spans) == 1 and spans[0][1] > spans[0][0]:
        return f"between {spans[0][0]} and {spans[0][1]}"
    if len(spans) > 4:
        return f"at some time between {spans[0][0]} and {spans[-1][1]}"
    written = [_short(first, last) for first, last in spans]
    return "in " + (written[0] if len(written) == 1 else ", ".join(written[:-1]) + " or " + written[-1])


def _short(first: int, last: int) -> str:
    if first == last:
        return str(first)
    return f"{first}-{last % 100:02d}" if first // 100 == last // 100 else f"{first}-{last}"


def ascii_only(text: str) -> str:
    """As ASCII, every character in its place; one that has no likeness becomes `?`."""
    return text.translate(_ASCII).encode("ascii", "replace").decode("ascii")
