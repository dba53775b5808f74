"""What folds out under a word: what else it may be, each with its chance, and what to do with what was read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from footring.marks.readings import Reading
from footring.reasoning.channels.build import Channels
from footring.reasoning.channels.named import word_key
from footring.reasoning.finding import Finding, Share
from footring.reasoning.label_text import chance
from footring.reasoning.look_closer import look_closer
from footring.reasoning.reading_words import in_words
from footring.reasoning.thing_names import TABLE_OF
from footring.web.pages.examine.asked import Asked
from footring.web.pages.examine.label import READ_AS, key_of

SHOWN = 6
"""Alternatives under one word."""
LEAST = 0.002
DOUBT = 0.7
"""How sure a reading is that was marked doubtful (as in doubts.csv)."""
_KINDS = {"in_clay_mark": "impressed", "printed_mark": "printed"}


@dataclass(frozen=True)
class Other:
    """One thing that a word may stand for.

    Parameters
    ----------
    text, chance : str
    take : str
        Address that takes it as a reading; empty where it cannot be taken.
    out : bool
        Whether it was ruled out.
    rule_out : str
        Address that rules it out, or no longer; empty where it cannot be.
    subject : tuple of (str, str)
        Table and id.
    """

    text: str
    chance: str
    take: str = ""
    out: bool = False
    rule_out: str = ""
    subject: tuple[str, str] = ("", "")


@dataclass(frozen=True)
class Detail:
    """Where two forms differ, and what is seen there on each."""

    look_at: str
    seen: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Fold:
    """What stands under one word.

    Parameters
    ----------
    others : tuple of Other
    details : tuple of Detail
        Where the likeliest forms differ.
    read : str
        What was read of it, in words; empty for nothing.
    back, doubt, close : str
        Addresses: take the reading back, mark it doubtful or sure again, fold up.
    doubtful : bool
    closer : tuple of str
        How to look.
    """

    others: tuple[Other, ...] = ()
    details: tuple[Detail, ...] = ()
    read: str = ""
    back: str = ""
    doubt: str = ""
    close: str = ""
    doubtful: bool = False
    closer: tuple[str, ...] = ()


def fold_of(asked: Asked, finding: Finding | None, channels: Channels) -> Fold | None:
    """What is unfolded now; None where nothing is."""
    if not asked.open:
        return None
    if asked.open.startswith("r."):
        return _of_look(asked)
    part, _, name = asked.open.rpartition(".")
    of = finding.lid if finding and part == "lid" else finding
    if name not in TABLE_OF or of is None:
        return None
    look = [r for r in asked.readings if r.name == READ_AS.get(name) and (r.part == "lid") == (part == "lid")]
    fold = _with_reading(asked, look) if look else Fold(close=asked.now().address)
    shares = of.marginals.get(name, [])[:SHOWN]
    others = tuple(_other(asked, part, name, share) for share in shares if share[1] >= LEAST and share[0] != "unknown")
    details = tuple(_details(asked, part, of, channels)) if name == "form" else ()
    return replace(fold, others=others, details=details, closer=look_closer(READ_AS.get(name, "in_clay"))[:2])


def _of_look(asked: Asked) -> Fold | None:
    look = next((of for _, of in in_words(asked.readings) if "r." + key_of(of) == asked.open), None)
    return _with_reading(asked, look) if look else None


def _with_reading(asked: Asked, look: Sequence[Reading]) -> Fold:
    doubtful = look[0].p < 1.0
    p = 1.0 if doubtful else DOUBT
    again = tuple(replace(r, p=p) if r in look else r for r in asked.readings)
    return Fold(
        read="; ".join(words for words, _ in in_words(look)),
        back=asked.without(look).address,
        doubt=asked.now(readings=again).address,
        close=asked.now().address,
        doubtful=doubtful,
    )


def _other(asked: Asked, part: str, name: str, share: Share) -> Other:
    value, p, thing = share
    reading = _reading_of(part, name, value)
    take = asked.taking(reading).address if reading else ""
    text = {"none": "none", "new": "one that is not in your reference"}.get(value, value)
    if thing is None:
        return Other(text, chance(p), take)
    subject = (TABLE_OF[name], thing)
    key = "/".join(subject)
    return Other(text, chance(p), take, key in asked.ruled_out, asked.ruling_out(key).address, subject)


def _reading_of(part: str, name: str, value: str) -> tuple[Reading, ...] | None:
    """The readings that a person takes by saying that it is this."""
    lid = part or None
    if value == "new":
        return None
    if kind := _KINDS.get(name):
        mark = Reading("mark", "" if value == "none" else value, absent=value == "none", part=lid)
        return (mark, Reading("mark_kind", kind, part=lid))
    if value == "none":
        return (Reading(READ_AS[name], "", absent=True, part=lid),)
    return (Reading(READ_AS[name], value, part=lid),)


def _details(asked: Asked, part: str, finding: Finding, channels: Channels) -> Iterator[Detail]:
    """Telltales between the likeliest forms, not looked at yet."""
    tables = channels.reference.tables
    table, ids = tables["telltales"], tables["forms"].ids
    likely = [ids.find(thing) for _, _, thing in finding.marginals.get("form", [])[:4] if thing]
    seen_at = {word_key(r.value.partition(":")[0]) for r in asked.readings if r.name == "feature"}
    both = table.current & np.isin(table.links["form"], likely) & np.isin(table.links["other_form"], likely)
    for row in np.flatnonzero(both).tolist():
        look_at = str(table.text("look_at").value(row))
        if word_key(look_at) not in seen_at:
            yield Detail(look_at, tuple(_seen(asked, part, channels, row, look_at)))


def _seen(asked: Asked, part: str, channels: Channels, row: int, look_at: str) -> Iterator[tuple[str, str, str]]:
    tables = channels.reference.tables
    for column, form in (("seen", "form"), ("seen_on_other", "other_form")):
        seen = str(tables["telltales"].text(column).value(row))
        name = tables["forms"].text("name").value(int(tables["telltales"].links[form][row]))
        take = asked.taking((Reading("feature", f"{look_at}: {seen}", part=part or None),)).address
        yield seen, str(name), take
