"""A date finding told as a label: sentences, a curve, what speaks for it, what to be careful of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from footring.care.cautions import Caution
from footring.marks.foot import MarkPart
from footring.reasoning.curve import date_curve
from footring.reasoning.date_finding import DateAnswer, Weighed
from footring.reasoning.date_mark import DateFinding
from footring.reasoning.label_parts import (
    ALWAYS,
    ascii_only,
    before_use,
    fight,
    made,
    potted_earlier,
    section,
    stacked,
    wrapped,
)
from footring.reasoning.weights import weight_words

TOO_WIDE = 90
"""Years of a 90 % set above which the label says first that the foot does not settle it."""


def tell(finding: DateFinding, title: str | None = None, *, plain: bool = False, always: bool = True) -> str:
    """The finding as text of at most 80 columns.

    Parameters
    ----------
    finding : DateFinding
        From `date_mark`.
    title : str, optional
        Stands above it, an inventory number say.
    plain : bool
        ASCII only.
    always : bool
        With the cautions that go with every piece; leave them out only where `tell_always` stands under a list.
    """
    blocks = [
        wrapped([title or ""]),
        wrapped(c.text for c in finding.cautions if c.first),
        wrapped([" ".join(_sentences(finding))]),
        ["  " + line for line in date_curve(_decorated(finding), plain=plain)],
        section("Why", _why(finding.dated.evidence)),
        section("Read off it", _readings(finding)),
        section("What fights", map(fight, finding.dated.conflicts)),
        section("Could not be used", finding.notes),
        before_use(finding.cautions, always),
    ]
    told = stacked(blocks)
    if finding.lid is not None:
        told += "\n\n" + tell(finding.lid, "The lid, read apart", plain=plain, always=False)
    return ascii_only(told) if plain else told


def tell_always(cautions: Iterable[Caution], *, plain: bool = False) -> str:
    """The cautions that go with every piece, to stand once under a list."""
    always = (c.text for c in cautions if c.trigger == ALWAYS)
    told = "\n".join(section("Before anyone eats from any of them", always))
    return ascii_only(told) if plain else told


def _decorated(finding: DateFinding) -> DateAnswer:
    return finding.dated.dates["decorated"]


def _sentences(finding: DateFinding) -> Iterator[str]:
    if finding.foot.parts:
        yield _what_stands(finding.foot.parts)
    yield _when(_decorated(finding), bool(finding.dated.evidence))
    yield from potted_earlier(finding.dated.dates)
    yield from _designs(finding)


def _what_stands(parts: Sequence[MarkPart]) -> str:
    if all(part.absent for part in parts):
        return "Looked for a mark and found none."
    return " ".join(_part_sentence(part) for part in parts if not part.absent and part.text)


def _part_sentence(part: MarkPart) -> str:
    how = " ".join(word for word in (part.technique, part.colour and f"in {part.colour}") if word)
    said = f"“{part.text}”" if part.lettering else part.text
    if part.technique == "label":
        how = "On a label"
    doubt = ", doubtful" if part.doubtful or part.p < 1 else ""
    return f"{how[:1].upper()}{how[1:]}: {said}{doubt}." if how else f"{said}{doubt}."


def _when(answer: DateAnswer, anything: bool) -> str:
    spans = answer.intervals[90]
    span = spans[-1][1] - spans[0][0]
    if not anything:
        return (
            "Nothing here tells when it was made. Ware of this kind was met mostly from "
            f"{spans[0][0]} to {spans[-1][1]}; that is all one can say."
        )
    settled = "" if span < TOO_WIDE else "This foot alone does not settle when it was made. "
    return settled + made(answer)


def _designs(finding: DateFinding) -> Iterator[str]:
    registered = [w for w in finding.dated.evidence if w.evidence.kind == "registration"]
    earliest, latest = finding.dated.dates["decorated"].window
    if registered and earliest is not None:
        yield f"A design on it was registered: finished not before {earliest}, if the number is read right."
    elif earliest is not None:
        yield f"Not before {earliest}."
    if latest is not None:
        yield f"Not after {latest}."


LIGHT_DB = 0.8
"""Below this a reading adds next to nothing."""


def _why(evidence: Sequence[Weighed]) -> Iterator[str]:
    """What each reading says, and in one line what is implied already or adds next to nothing."""
    light: dict[str, None] = {}
    told: set[str] = set()
    for weighed in evidence:
        reading = weighed.evidence.reading
        if abs(weighed.last_db) >= LIGHT_DB or not told:
            told.add(reading)
            yield _because(weighed)
        else:
            light.setdefault(reading)
    rest = [reading for reading in light if reading not in told]
    if rest:
        yield f"Implied already, or next to nothing: {'; '.join(rest)}."


def _because(weighed: Weighed) -> str:
    evidence = weighed.evidence
    last = "" if _much_the_same(weighed) else f"; with all the rest in place, {weight_words(weighed.last_db)}"
    memory = " From memory." if evidence.status == "memory" else ""
    return f"{evidence.reading}: {evidence.says}. Alone {weighed.words}{last}. [{evidence.source}]{memory}"


def _much_the_same(weighed: Weighed) -> bool:
    return abs(weighed.alone_db - weighed.last_db) < 1.0


def _readings(finding: DateFinding) -> Iterator[str]:
    for code in finding.codes:
        fields = "; ".join(f"{name} {value}" for name, value in code.fields.items())
        problems = "".join(f" {problem}." for problem in code.problems)
        yield f"Date code of {code.maker}: {code.says}{'; ' + fields if fields else ''}.{problems}"
    for numeral in finding.numerals:
        best = sorted(numeral.kinds.items(), key=lambda kind: -kind[1])[:2]
        chances = ", ".join(f"{kind} {round(100 * p)} in 100" for kind, p in best)
        yield f"{numeral.text}: {chances}."
