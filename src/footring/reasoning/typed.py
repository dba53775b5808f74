"""One line, typed as one would say it, becomes readings to be confirmed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from footring.marks.readings import Reading, feet
from footring.reasoning.channels.build import Channels, compile_channels
from footring.reasoning.model import Model
from footring.reasoning.reading_words import in_words
from footring.reasoning.typed_clauses import LONGEST, clauses, doubt_of, led, part_of, words_of
from footring.reasoning.typed_rules import (
    Meant,
    Rule,
    absence,
    exact_naming,
    explicit,
    fault_in,
    feature,
    figure,
    is_whole,
    lettering,
    loose_words,
    measure,
    naming,
)
from footring.reference import Reference
from footring.terms.errors import BadInput
from footring.terms.phrases import parse_when

MOST = 6
"""Meanings that are offered of one clause."""
LEAST = 0.02
"""Share of all meanings below which one is not offered."""
MOST_WORDS = 12
"""Words of a clause that are looked up one by one."""
_SETTLES: tuple[Rule, ...] = (feature, absence)
_SAYS_WHAT: tuple[Rule, ...] = (explicit, measure)
_SPEAKS: tuple[Rule, ...] = (figure, lettering)
_IN_OWN_WORDS = ("form", "decoration", "glaze", "trim", "body", "line", "customer", "mark")
"""What words that name nothing may be meant for."""


@dataclass(frozen=True, slots=True)
class Meaning:
    """What a clause may mean.

    Parameters
    ----------
    readings : tuple of Reading
    says : str
        The readings in words.
    share : float
        How likely it is among the meanings of its clause; they sum to 1.
    """

    readings: tuple[Reading, ...]
    says: str
    share: float


@dataclass(frozen=True, slots=True)
class Understood:
    """One clause of what was typed.

    Parameters
    ----------
    text : str
        As typed.
    meanings : tuple of Meaning
        The likeliest first; empty where it was not understood.
    problem : str or None
        What was not understood, or what is not known of it.
    """

    text: str
    meanings: tuple[Meaning, ...]
    problem: str | None = None


def understood(known: Reference | Model, text: str) -> tuple[Understood, ...]:
    """What a line says, clause by clause, each with what it may mean.

    Parameters
    ----------
    known : Reference or Model
        Whose names are understood.
    text : str
        Clauses with commas or semicolons between, at most 400 characters: numbers (`417 green printed`), sizes
        (`184 mm`), names (`Ormsley`, `green edge line`), letterings (`QUILLOW & T?RN`, or after `mark`), what was
        looked for and not found (`no date code`), `not sure:` before what is doubtful, `lid:` before what is of the
        lid, or `name=value` as on the command line.

    Returns
    -------
    tuple of Understood
        In the order of the text. Never raises on a text: what is not understood is said.

    Notes
    -----
    When *not* to use it: without showing what was understood to who typed it. A meaning is a guess until confirmed.

    Examples
    --------
    >>> from footring.reference import compile_reference
    >>> from footring.rows.reference_things import Line, Maker
    >>> known = compile_reference({"makers": [Maker("q", name="Quillow & Tarn Works")],
    ...                            "lines": [Line("o", maker="q", name="Ormsley")]})
    >>> [one.meanings[0].says for one in understood(known, "Ormsley, 184 mm, no date code")]
    ['line Ormsley', '184 mm across', 'looked for a date code and found none']
    """
    channels = known.channels if isinstance(known, Model) else compile_channels(known)
    given = clauses(text.replace("\0", " "), lambda clause: is_whole(channels, _bare(clause)))
    found = [one for clause in given for one in _clause(channels, clause)]
    if len(text) > LONGEST:
        found.append(
            Understood(text[LONGEST:], (), f"only the first {LONGEST} characters are read: type the rest apart")
        )
    return tuple(found)


def _bare(clause: str) -> str:
    return doubt_of(part_of(clause)[1])[1]


def _clause(channels: Channels, clause: str) -> Iterator[Understood]:
    part, text = part_of(clause)
    p, text = doubt_of(text)
    meant = _whole(channels, text)
    if text.casefold() in words_of("doubt"):
        yield Understood(clause, (), _STRANGE.format(clause))
    elif meant:
        yield _told(channels, clause, meant, part, p)
    elif led(text, list(words_of("absent"))):
        yield Understood(clause, (), _NOT_A_READING.format(clause))
    else:
        yield from _in_pieces(channels, clause, text, part, p)


def _in_pieces(channels: Channels, clause: str, text: str, part: str | None, p: float) -> Iterator[Understood]:
    pieces = _pieces(channels, text)
    fault = None if pieces and all(of for _, of in pieces) else fault_in(text)
    if fault:
        yield Understood(clause, (), fault)
    elif not pieces:
        yield _strange(clause, text, part, p)
    else:
        for words, of in pieces:
            yield _told(channels, words, of, part, p) if of else Understood(words, (), _STRANGE.format(words))


_STRANGE = "“{}” was not understood: say what it is (glaze: ..., trim: ..., mark ...) or leave it out"
_NOT_A_READING = (
    "“{}” was not understood: say what was looked for and not found as a whole (no trim, no mark, no number, "
    "no date code), or what is there instead"
)


def _whole(channels: Channels, text: str) -> list[Meant]:
    """What all the words together may mean."""
    if text.casefold() in words_of("absent"):
        return []
    plain = _without_article(text)
    for rule in _SETTLES:
        if found := list(rule(channels, plain)):
            return found
    said = next((of for rule in _SAYS_WHAT if (of := list(rule(channels, plain)))), None)
    said = said or [meant for rule in _SPEAKS for meant in rule(channels, plain)]
    return said + (list(naming(channels, text)) or list(naming(channels, plain)))


def _without_article(text: str) -> str:
    first, _, rest = text.partition(" ")
    return rest.strip() if first.casefold() in ("a", "an", "the") and rest.strip() else text


def _pieces(channels: Channels, text: str) -> list[tuple[str, list[Meant]]]:
    """Words one after another, the longest that mean something first; empty where none does."""
    words, at, found = text.split()[:MOST_WORDS], 0, list[tuple[str, list[Meant]]]()
    while at < len(words):
        if words[at].casefold() in words_of("filler"):
            at += 1
            continue
        size, meant = next(
            ((n, of) for n in range(len(words) - at, 0, -1) if (of := _short(channels, " ".join(words[at : at + n])))),
            (1, []),
        )
        found.append((" ".join(words[at : at + size]), meant))
        at += size
    return found if any(meant for _, meant in found) else []


def _short(channels: Channels, words: str) -> list[Meant]:
    return [meant for rule in (measure, figure, exact_naming) for meant in rule(channels, words)]


def _told(channels: Channels, clause: str, meant: Iterable[Meant], part: str | None, p: float) -> Understood:
    whole: dict[tuple[Reading, ...], float] = {}
    for share, readings in meant:
        of = tuple(replace(r, part=part or r.part, p=min(p, r.p)) for r in readings)
        whole[of] = max(whole.get(of, 0.0), share)
    faults = {of: fault for of in whole if (fault := fault_of(channels, of))}
    usable = {of: share for of, share in whole.items() if of not in faults}
    if not usable:
        return Understood(clause, (), next(iter(faults.values())))
    return Understood(clause, _ranked(usable), loose_words(part_of(clause)[1]) if _of_figure(usable) else None)


def _of_figure(usable: Iterable[tuple[Reading, ...]]) -> bool:
    return any(reading.name == "numeral" for of in usable for reading in of)


def _ranked(usable: dict[tuple[Reading, ...], float]) -> tuple[Meaning, ...]:
    total = sum(usable.values())
    first = sorted(usable.items(), key=lambda item: -item[1])[:MOST]
    first = [(of, share) for of, share in first if share >= LEAST * total]
    among = sum(share for _, share in first)
    return tuple(Meaning(of, "; ".join(words for words, _ in in_words(of)), share / among) for of, share in first)


def fault_of(channels: Channels, readings: Iterable[Reading]) -> str | None:
    """Why readings cannot be used; None where they can.

    Parameters
    ----------
    channels : Channels
    readings : iterable of Reading
    """
    look = tuple(readings)
    try:
        channels.factors(look)
        for foot in feet(look).values():
            if foot.made:
                parse_when(foot.made)
    except BadInput as error:
        return str(error)
    return None


def _strange(clause: str, text: str, part: str | None, p: float) -> Understood:
    """Words that name nothing: what they may be meant for, as likely each."""
    if not any(c.isalpha() for c in text):
        return Understood(clause, (), _STRANGE.format(clause))
    of = [(Reading(name, text, p, part=part),) for name in _IN_OWN_WORDS]
    told = tuple(Meaning(one, in_words(one)[0][0], 1.0 / len(of)) for one in of)
    return Understood(clause, told, f"“{text}” is not in your reference: say what it is")
