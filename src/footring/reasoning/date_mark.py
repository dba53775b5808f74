"""Put what stands on a foot in, get its dates out."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files

import footring
from footring.care.cautions import Caution, cautions
from footring.marks import datecodes, makers, registration, wording, written_years
from footring.marks.datecode_schemes import Scheme, builtin_schemes
from footring.marks.datecodes import DateCodeReading
from footring.marks.evidence import Evidence, Window, floor_for
from footring.marks.foot import Foot, MarkPart
from footring.marks.numerals import Numeral, numerals
from footring.marks.readings import Reading, feet, read_reading
from footring.reasoning.date_finding import Dated, date_evidence, doubt
from footring.reasoning.dates import GENERAL
from footring.reasoning.prior import YearPrior, default_prior
from footring.terms.phrases import parse_when

SOURCES_OF_EVIDENCE: tuple[Callable[[Foot], list[Evidence]], ...] = (
    wording.evidence,
    written_years.evidence,
    registration.evidence,
    makers.evidence,
)


@dataclass(frozen=True, slots=True)
class DateFinding:
    """When one piece was made, and why.

    Parameters
    ----------
    foot : Foot
        What was read.
    dated : Dated
        The four dates, the evidence and its weights, the conflicts.
    codes, numerals : sequences
        Date codes decoded, with the fields that are no date; figures with the chances of each kind.
    cautions : sequence of Caution
        The most urgent first.
    notes : tuple of str
        What could not be used, and why.
    provenance : mapping
        Version, digest of the rule tables, name and digest of the prior.
    lid : DateFinding or None
        The lid's own finding, where it was read apart.
    """

    foot: Foot
    dated: Dated
    codes: tuple[DateCodeReading, ...]
    numerals: tuple[Numeral, ...]
    cautions: tuple[Caution, ...]
    notes: tuple[str, ...]
    provenance: Mapping[str, str]
    lid: DateFinding | None = None


def date_mark(
    mark: str | None = None,
    *,
    prior: YearPrior | None = None,
    schemes: Sequence[Scheme] = (),
    readings: Iterable[Reading] = (),
    **named: str | None,
) -> DateFinding:
    """Dates of a piece from the mark on its foot and whatever else was read.

    Parameters
    ----------
    mark : str, optional
        As typed (`?` one unreadable character, `...` a gap, `/` a line break) or a museum-style transcription.
    prior : YearPrior, optional
        Replaces the table that ships with Footring.
    schemes : sequence of Scheme, optional
        Date codes of your own pack (`pack_schemes`), besides those that ship with Footring.
    readings : iterable of Reading
        Further readings.
    **named : str or None
        Further readings by name, None for not looked at: `country="Japan"`, `date_code="none"`,
        `made="between 1936 and 1939"`.

    Raises
    ------
    BadInput
        If a reading's name is unknown or its value cannot be read; the text says what was expected.

    Notes
    -----
    When *not* to use it: a piece of a line that your own reference knows is better examined against that reference.

    Examples
    --------
    >>> finding = date_mark("QUILLOW & TARN / MADE IN ENGLAND", country="United Kingdom")
    >>> finding.dated.dates["decorated"].median > 1890
    True
    """
    typed = [("mark", mark or ""), *named.items()]
    read = [*readings, *(r for name, value in typed if (r := read_reading(name, value or "")))]
    by_part = feet(read)
    using = prior or default_prior()
    lid = date_foot(by_part["lid"], using, schemes) if "lid" in by_part else None
    return replace(date_foot(by_part[None], using, schemes), lid=lid)


def date_foot(foot: Foot, prior: YearPrior, schemes: Sequence[Scheme] = ()) -> DateFinding:
    """Dates of one foot; see `date_mark`."""
    codes = (*builtin_schemes(), *schemes)
    dated = date_evidence(foot_evidence(foot, schemes), prior, country_of(foot))
    decorated = dated.dates["decorated"].intervals[95]
    return DateFinding(
        foot=foot,
        dated=dated,
        codes=tuple(datecodes.readings(foot, codes)),
        numerals=tuple(numerals(foot)),
        cautions=tuple(cautions(foot, (decorated[0][0], decorated[-1][1]))),
        notes=(*foot.notes, *datecodes.notes(foot, codes), *registration.remarks(foot)),
        provenance={
            "footring": footring.__version__,
            "rules": rules_digest(),
            "prior": prior.name,
            "prior_digest": prior.digest,
            **({"own_date_codes": _digest(schemes)} if schemes else {}),
        },
    )


def foot_evidence(foot: Foot, schemes: Sequence[Scheme] = ()) -> list[Evidence]:
    """Everything that a foot says of its dates by the general rules, each as far as its reader was sure.

    Parameters
    ----------
    foot : Foot
    schemes : sequence of Scheme, optional
        Date codes of one's own pack, besides those that ship with Footring.

    Examples
    --------
    >>> [item.kind for item in foot_evidence(Foot(made="1936"))]
    ['known']
    """
    found = [item for source in SOURCES_OF_EVIDENCE for item in source(foot)]
    found += datecodes.evidence(foot, (*builtin_schemes(), *schemes))
    return [_weakened(item, foot) for item in found] + _known(foot)


def country_of(foot: Foot) -> str | None:
    """Country as read, else that of the makers its mark names; None where neither is known."""
    if foot.country:
        return foot.country
    countries = makers.maker_countries(foot)
    return max(countries, key=lambda name: (countries[name], name)) if countries else None


def _weakened(item: Evidence, foot: Foot) -> Evidence:
    """A reading held with probability p: a share 1 - p of such readings belongs to any other year.

    A mark marked (?) is mostly doubtful in a figure or two: words found in it were legible enough to be found.
    """
    part = _part_of(item, foot)
    p = 1.0 if part is None else part.p * (doubt("doubtful") if part.doubtful and item.kind not in GENERAL else 1.0)
    if part is not None and part.technique == "label":
        p *= doubt("label")
    return _doubted(item, p)


def _doubted(item: Evidence, p: float) -> Evidence:
    return item if p == 1.0 else replace(item, floor=min(1.0, item.floor + floor_for(1.0 - p, item.windows)))


def _part_of(item: Evidence, foot: Foot) -> MarkPart | None:
    if item.part is not None:
        return foot.parts[item.part]
    return next((code for code in foot.date_codes if code.text == item.reading), None)


def _known(foot: Foot) -> list[Evidence]:
    if not foot.made:
        return []
    when = parse_when(foot.made)
    windows = tuple(Window(*span) for span in when.year_spans)
    vague = any(window.soft_before or window.soft_after for window in windows)
    known = Evidence(
        reading=foot.made,
        says="known from elsewhere",
        speaks_of=("decorated",),
        windows=windows,
        floor=doubt("misread") if vague else 0.0,
        family=f"known:{when}",
        kind="known",
        strength="fact",
        rule="made",
        source="given with the piece",
        status="given",
    )
    return [_doubted(known, foot.made_p)]


def _digest(schemes: Sequence[Scheme]) -> str:
    return hashlib.blake2b(repr(tuple(schemes)).encode(), digest_size=8).hexdigest()


@cache
def rules_digest() -> str:
    """Digest of every table of rules and figures that a date rests on."""
    total = hashlib.blake2b(digest_size=8)
    for package in ("footring.marks", "footring.reasoning", "footring.care"):
        for table in sorted(files(package).joinpath("tables").iterdir(), key=lambda entry: entry.name):
            total.update(table.name.encode() + table.read_bytes())
    return total.hexdigest()
