"""A finding told as the label that writes itself: what it is, when it was made, how sure, what to look at next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from footring.marks.readings import Reading
from footring.reasoning.curve import date_curve
from footring.reasoning.finding import Finding, Share
from footring.reasoning.label_parts import (
    ascii_only,
    before_use,
    fight,
    made,
    potted_earlier,
    section,
    stacked,
    wrapped,
)
from footring.reference import TREATMENT

SURE = 0.95
"""Chance from which a thing is said without its chance."""
LIKELIER = 0.5
"""Chance from which a thing is likelier than all others together."""
WORTH_TELLING = 0.05
"""Chance from which another possibility is told."""
TOLD_NEXT = 3


def tell_piece(
    finding: Finding, title: str | None = None, *, why: bool = False, plain: bool = False, always: bool = True
) -> str:
    """The finding as text of at most 80 columns.

    Parameters
    ----------
    finding : Finding
        From `examine`.
    title : str, optional
        Stands above it, an inventory number say.
    why : bool
        With the evidence, reading by reading, in words, decibans and bits.
    plain : bool
        ASCII only.
    always : bool
        With the cautions that go with every piece.
    """
    blocks = [
        wrapped([title or ""]),
        wrapped(c.text for c in finding.cautions if c.first),
        wrapped([" ".join(sentences(finding))]),
        ["  " + line for line in date_curve(finding.dates["decorated"], plain=plain)],
        section("If it is not that", _otherwise(finding)),
        section("Unusual", (one.what for one in finding.unusual)),
        section("What fights", map(fight, finding.conflicts)),
        section("Look at next", _next(finding, why)),
        section("Why", _why(finding)) if why else [],
        section("Could not be used", finding.notes),
        before_use(finding.cautions, always),
    ]
    told = stacked(blocks)
    if finding.lid is not None:
        told += "\n\n" + tell_piece(finding.lid, "The lid, read apart", why=why, plain=plain, always=False)
    return ascii_only(told) if plain else told


def chance(p: float) -> str:
    """A chance in words that a label may carry.

    Examples
    --------
    >>> chance(0.723), chance(0.9991), chance(0.0042)
    ('72 in 100', 'more than 99 in 100', 'less than 1 in 100')
    """
    if p > 0.99:
        return "more than 99 in 100"
    return f"{round(100 * p)} in 100" if p >= 0.01 else "less than 1 in 100"


def sentences(finding: Finding) -> Iterator[str]:
    """What it is, when it was made, how sure, and what was looked for in vain, a sentence each."""
    if not finding.marginals or finding.outside > LIKELIER:
        yield _outside(finding)
    else:
        yield _what(finding)
        if finding.outside >= WORTH_TELLING:
            yield f"Its maker or line may also be one that is not in your reference ({chance(finding.outside)})."
        if finding.unrecorded > LIKELIER:
            yield f"As a whole it was not recorded before ({chance(finding.unrecorded)})."
    yield made(finding.dates["decorated"])
    yield from potted_earlier(finding.dates)
    if finding.together:
        yield finding.together
    yield from _not_found(finding.readings)


def _outside(finding: Finding) -> str:
    if not finding.marginals:
        return "Your reference holds no lines yet: only the general rules speak here."
    best = finding.marginals["line"][0]
    return (
        f"Not in your reference, {chance(finding.outside)}: its maker or line is none that you have a record of. "
        f"The nearest would be {best[0]}."
    )


def _what(finding: Finding) -> str:
    """One sentence, from the likeliest value of each attribute on its own."""
    best = {name: shares[0] for name, shares in finding.marginals.items() if shares}
    first = f"{_article(best['form'][0])} {_said(best['form'], lower=True)}"
    first += f", {_said(best['line'])}" if "line" in best else ""
    first += f", by {_said(best['maker'])}" if "maker" in best else ""
    if "size" in best and best["size"][1] >= WORTH_TELLING and best["size"][0] != "unknown":
        first += f", size {_said(best['size'])}"
    parts = "; ".join(f"{name}: {_said(best[name])}" for name in TREATMENT if name in best)
    marks = "; ".join(_carried(best))
    return f"{first}. {parts[:1].upper()}{parts[1:]}." + (f" {marks[:1].upper()}{marks[1:]}." if marks else "")


def _carried(best: dict[str, Share]) -> Iterator[str]:
    for name, says in (("number", "decoration number"), ("in_clay_mark", "in the clay"), ("printed_mark", "printed")):
        if name in best:
            value, p, _ = best[name]
            if value == "none":
                yield f"{says}: none" + _unsure(p)
            elif value not in ("new", "unknown"):
                quoted = value if name == "number" else f"“{value}”"
                yield f"{says}: {quoted}" + _unsure(p)


def _said(share: Share, lower: bool = False) -> str:
    value = {"new": "one that is not in your reference", "none": "none", "unknown": "not known"}.get(share[0], share[0])
    return (value[:1].lower() + value[1:] if lower else value) + _unsure(share[1])


def _unsure(p: float) -> str:
    return "" if p >= SURE else f" ({chance(p)})"


def _article(word: str) -> str:
    return "An" if word[:1].lower() in "aeiou" else "A"


def _not_found(readings: Sequence[Reading]) -> Iterator[str]:
    absent = [r.name.replace("_", " ") for r in readings if r.absent]
    if absent:
        yield f"Looked for and not found: {', '.join(dict.fromkeys(absent))}."


def _otherwise(finding: Finding) -> Iterator[str]:
    """Other values of what is not sure."""
    for name in ("line", "form", *TREATMENT, "number"):
        shares = finding.marginals.get(name, [])
        others = [s for s in shares[1:4] if s[1] >= WORTH_TELLING and s[0] != "unknown"]
        if shares and shares[0][1] < SURE and others:
            told = ", ".join(f"{_plain(value)} {chance(p)}" for value, p, _ in others)
            yield f"{name.capitalize()}: {told}."


def _plain(value: str) -> str:
    return "one not in your reference" if value == "new" else value


def _next(finding: Finding, why: bool) -> Iterator[str]:
    for one in finding.next[:TOLD_NEXT]:
        bits = f" [{one.bits:.2f} bits, {one.minutes:g} min]" if why else ""
        name = one.reading.replace("in_clay", "mark in the clay").replace("_", " ")
        yield f"{name[:1].upper()}{name[1:]}. {one.how}{bits}"


def _why(finding: Finding) -> Iterator[str]:
    """Weights need not add up: readings repeat and contradict one another."""
    for one in finding.evidence:
        rests = f" Rests on {'; '.join(one.rests_on)}." if one.rests_on else ""
        confirms = f" Confirms {', '.join(one.confirms)}." if one.confirms else ""
        yield (
            f"{one.reading}: alone {one.alone_db:+.1f} dB, with all the rest {one.last_db:+.1f} dB, "
            f"{one.words}.{confirms}{rests}"
        )
    if finding.evidence:
        yield "The weights need not add up: readings repeat one another, or take one another back."
