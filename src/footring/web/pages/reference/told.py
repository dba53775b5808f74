"""What a page says of one thing, statement by statement: each opens to who says so."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from django.urls import reverse
from django.utils.http import urlencode

from footring.care.cautions import Caution, cautions
from footring.marks.foot import Foot
from footring.marks.transcription import parse_mark
from footring.records.models import Role, Stored, User
from footring.terms.errors import BadInput
from footring.web.pages.reference.called import called, rows, treatment
from footring.web.pages.reference.when import in_words

FIRMNESS = {
    "seen": "seen", "printed": "in print", "said_firmly": "said firmly", "said_from_memory": "said from memory",
    "guessed": "guessed",
}  # fmt: skip
STANCE = {"for": "For", "against": "Against", "not_met": "Looked for and not met"}
QUOTED = ("advertised", "slogan", "sold as", "claim", "oven", "table", "guarantee")
"""Words in the name of a property whose value is the seller's own wording."""
UNNAMED = {"letter": "a letter", "interview": "an interview", "talk": "a talk", "piece": "a piece in the hand"}
"""Sources that may name living people: guests are told their kind only."""


@dataclass(frozen=True)
class Told:
    """One sentence, and where it stands.

    Parameters
    ----------
    table, of, about : str
        The thing or statement it is said of, and what of it ("" for the whole statement).
    text : str
    source : str
        Who says so, when and how firmly.
    cautions : sequence of Caution
        What must stand beside it.
    """

    table: str
    of: str
    about: str
    text: str
    source: str = ""
    quoted: bool = False
    cautions: Sequence[Caution] = field(default=())

    @property
    def url(self) -> str:
        """Where its claims, sources and history are."""
        asked = "?" + urlencode({"property": self.about}) if self.about else ""
        return reverse("reference-said", args=[self.table, self.of]) + asked


def source_words(source: Stored | None, user: User) -> str:
    """A source as somebody may know it, with its date."""
    if source is None:
        return "no source named"
    if source.private and not user.may(Role.CURATOR):
        return "a source that is not published"
    if not user.may(Role.MEMBER) and source.kind in UNNAMED:
        return UNNAMED[source.kind]
    published = in_words(source.published, user.whole_years)
    told = any(year in source.name for year in re.findall(r"\d{4}", source.published or ""))
    return f"{source.name}, {published}" if published and not told else source.name


def claim_words(claim: Stored, user: User) -> str:
    """Who makes a claim, where, and how it is put."""
    page = f", {claim.page}" if claim.page else ""
    return f"{source_words(claim.source, user)}{page}; {FIRMNESS[claim.firmness]}"


def word_cautions(*texts: str | None) -> list[Caution]:
    """Cautions that these words call for; none for words that touch no use."""
    told: dict[str, Caution] = {}
    for text in filter(None, texts):
        told.update({one.text: one for one in cautions(_foot(text), _LATE) if one.trigger.endswith('"')})
        if _USE.search(text):
            told.setdefault(_always().text, _always())
    return list(told.values())


_LATE = (9999, 9999)
_OVEN = re.compile(r"\b(oven|fireproof|heat ?proof|bak(e|ing))\b", re.IGNORECASE)
_USE = re.compile(r"\b(oven|fireproof|bak(e|ing)|table|food|eat|drink|freezer|microwave|dishwasher)", re.IGNORECASE)


def _foot(text: str) -> Foot:
    """The words as if they stood in a mark; any word of an oven counts as an oven claim."""
    claim = f"{text} OVENPROOF" if _OVEN.search(text) else text
    try:
        return Foot(parse_mark(claim), notes=(text,), form=text)
    except BadInput:
        return Foot(notes=(text,), form=f"{claim}")


def _always() -> Caution:
    return next(one for one in cautions(Foot(), _LATE) if one.trigger == "always shown")


def claims_of(table: str, of: str, user: User) -> list[Stored]:
    """Claims made of a thing that somebody may see, the oldest first."""
    found = rows("claims", user).filter(subject_table=table, subject=of).order_by("recorded_at", "pk")
    return list(found if user.may(Role.CURATOR) else found.filter(source__private=False))


def texts_of(thing: Stored, claims: Iterable[Stored], user: User) -> list[Told]:
    """A sentence for each thing claimed that is no column of the table: history, selling claims, and the like."""
    columns = {column.name for column in thing.SPEC.columns}
    by_property: dict[str, list[Stored]] = defaultdict(list)
    for claim in claims:
        if claim.property not in columns:
            by_property[claim.property].append(claim)
    return [_text(thing, claim, user) for said in by_property.values() for claim in said if claim.stance == "for"]


def _text(thing: Stored, claim: Stored, user: User) -> Told:
    quoted = any(word in claim.property.casefold() for word in QUOTED)
    text = claim.value or claim.property.replace("_", " ")
    return Told(
        thing.SPEC.name,
        thing.pk,
        claim.property,
        text,
        claim_words(claim, user),
        quoted,
        word_cautions(f"{claim.property}: {text}"),
    )


def fact(thing: Stored, column: str, words: str, claims: Iterable[Stored] = ()) -> Told:
    """What stands in a column of a thing, and whether claims say otherwise."""
    stands = str(getattr(thing, column, "") or "")
    said = [c for c in claims if c.property == column]
    others = sorted({c.value for c in said if c.stance == "for" and c.value and c.value != stands})
    told = f"{len(said)} claim{'s' if len(said) > 1 else ''}" if said else ""
    told += f"; also said: {', '.join(in_words(one) for one in others)}" if others else ""
    return Told(thing.SPEC.name, thing.pk, column, words, told)


def production(row: Stored, user: User, with_line: bool = False) -> Told:
    """A statement that something was made."""
    what = called(row.form) if with_line and row.form_id else row.form.name if row.form_id else ""
    size = row.size.trade_size if row.size_id else None
    parts = [row.line.name if with_line and not row.form_id else "", what, size, treatment(row)]
    told = ", ".join(part for part in parts if part) or "Made"
    told += f", for {row.customer.name}" if row.customer_id else ""
    told += f": {when}" if (when := in_words(row.made, user.whole_years)) else ""
    return Told("productions", row.pk, "", told, source_words(row.source, user))


def number(row: Stored, user: User) -> Told:
    """What a number stands for."""
    era = f", {in_words(row.era, user.whole_years)}" if row.era else ""
    return Told("numbers", row.pk, "", (treatment(row) or "not said") + era, source_words(row.source, user))


def mark_use(row: Stored, user: User) -> Told:
    """A mark in use."""
    on = called(row.form) if row.form_id else row.line.name if row.line_id else "any ware"
    when = in_words(row.used, user.whole_years)
    return Told("mark_uses", row.pk, "", f"On {on}" + (f": {when}" if when else ""), source_words(row.source, user))
