"""What the foot of one piece says of its years: by the mark it carries, and whatever mark it carries.

Lettering of a mark that the reference holds is never dated by the general rules here: its window (`marks_in_use`)
says all there is. The rules date the lettering of a mark that the reference does not hold, and of pieces of factories
that it does not hold. A registered number, a year written out, or a date known from elsewhere is on the piece under
whatever mark, unless some mark of the reference has the very same in its own lettering.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from footring.marks.datecode_schemes import Scheme
from footring.marks.evidence import DATES, Evidence
from footring.marks.foot import Foot
from footring.reasoning.code_years import CodeYears, codes_on, date_code_years, reference_schemes, words_of_marks
from footring.reasoning.date_finding import softened
from footring.reasoning.date_mark import country_of, foot_evidence
from footring.reasoning.dates import alternatives, date_posterior
from footring.reasoning.gaps import gaps
from footring.reasoning.mark_windows import lettering_evidence
from footring.reasoning.prior import YearPrior
from footring.reference import Reference
from footring.rows.reference_things import Mark

__all__ = ["CodeYears", "DateRules", "OutsideDates", "PieceDates", "date_code_years", "date_rules", "new_mark_years"]

Floats = NDArray[np.float64]
Years = NDArray[np.int64]

SIDE_DATE = {"mark_in_clay": "potted", "mark_printed": "decorated"}


@dataclass(frozen=True, slots=True, eq=False)
class OutsideDates:
    """The dates of a piece whose factory the reference does not hold.

    Parameters
    ----------
    log : float
        Natural logarithm of p(own evidence, date codes | lettering, outside): what the lettering itself is likely to
        be is the channel's business, so its rules only move the years.
    density : mapping of date to array, shape (years,)
        By all that the foot says, as `footring date` would have it.
    """

    log: float
    density: Mapping[str, Floats]


@dataclass(frozen=True, slots=True, eq=False)
class PieceDates:
    """Likelihoods over the years for one foot.

    Parameters
    ----------
    own : mapping of date to array, shape (years,)
        p(evidence that holds whatever the mark | year), every date of `DATES`.
    evidence : tuple of Evidence
        What `own` rests on.
    codes : mapping of kind of mark to CodeYears
        Date codes.
    new : mapping of kind of mark to array, shape (years,)
        For a mark that the reference does not hold: what the general rules make of its lettering and date code, with
        mean 1 over the years expected beforehand. Kinds without anything to say are left out.
    speaks : bool
        Whether any of these says anything.
    outside : OutsideDates
    """

    own: Mapping[str, Floats]
    evidence: tuple[Evidence, ...]
    codes: Mapping[str, CodeYears]
    new: Mapping[str, Floats]
    speaks: bool
    outside: OutsideDates


@dataclass(frozen=True, slots=True, eq=False)
class DateRules:
    """What dates the feet of pieces against one reference, made once; see `date_rules`."""

    reference: Reference
    years: Years
    prior: YearPrior
    schemes: tuple[Scheme, ...]
    said: frozenset[tuple[str, str]]
    words: frozenset[str]

    def piece_dates(self, foot: Foot) -> PieceDates:
        """Everything one foot says of its years.

        Raises
        ------
        BadInput
            If what is known of its date cannot be read.
        """
        everything = sorted(dict.fromkeys(foot_evidence(foot, self.schemes)), key=repr)
        own = [item for item in everything if self._is_own(item, foot)]
        rules = [item for item in everything if not self._is_own(item, foot)]
        codes = self._codes(foot)
        prior = self.prior.density(self.years, country_of(foot))
        by_date = new_mark_years(rules, self.years, prior)
        new = {side: by_date[date] for side, date in SIDE_DATE.items() if date in by_date}
        for side, code in codes.items():
            new[side] = new.get(side, np.ones(len(self.years))) * (code.new / code.otherwise)
        speaks = bool(own or codes or new)
        outside = self._outside(own, rules, list(codes.values()), prior)
        return PieceDates(own_years(own, self.years), tuple(own), codes, new, speaks, outside)

    def _is_own(self, item: Evidence, foot: Foot) -> bool:
        if item.part is not None and foot.parts[item.part].technique == "label":
            return True
        return item.kind == "known" or (
            item.kind in ("registration", "year") and (item.kind, told(item)) not in self.said
        )

    def _codes(self, foot: Foot) -> dict[str, CodeYears]:
        found: dict[str, CodeYears] = {}
        for code, in_mark in codes_on(foot, self.schemes, self.words):
            for side, years in date_code_years(code, in_mark, self.reference, self.schemes, self.years).items():
                found.setdefault(side, years)
        return found

    def _outside(
        self, own: Sequence[Evidence], rules: Sequence[Evidence], codes: Sequence[CodeYears], prior: Floats
    ) -> OutsideDates:
        found = date_posterior([[*own, *rules], rules], prior, self.years)
        if not np.isfinite(found.log_evidence).all():
            weaker = [softened(item) for item in rules]
            found = date_posterior([[*map(softened, own), *weaker], weaker], prior, self.years)
        log = float(found.log_evidence[0] - found.log_evidence[1]) + sum(np.log(code.outside) for code in codes)
        return OutsideDates(log, {name: columns[:, 0] for name, columns in found.density.items()})


def date_rules(reference: Reference, years: Years, prior: YearPrior) -> DateRules:
    """What is needed to date feet against a reference, made once.

    Parameters
    ----------
    reference : Reference
    years : array of int, shape (years,)
        Annual grid, ascending, without gaps.
    prior : YearPrior
        What is expected of a piece of which nothing was read.

    Raises
    ------
    BadInput
        With every fault of the reference's date-code schemes, if there is any.

    Examples
    --------
    >>> from footring.reasoning.prior import default_prior
    >>> from footring.reference import compile_reference
    >>> rules = date_rules(compile_reference({}), np.arange(1780, 2011), default_prior())
    >>> rules.piece_dates(Foot(made="1936")).own["decorated"].argmax() + 1780
    np.int64(1936)
    """
    marks = [row for row in reference.tables["marks"].rows.rows() if isinstance(row, Mark)]
    said = frozenset(
        (item.kind, told(item))
        for mark in marks
        for item in lettering_evidence(mark.lettering, mark.device, mark.technique)
    )
    return DateRules(reference, years, prior, reference_schemes(reference), said, words_of_marks(reference))


def told(item: Evidence) -> str:
    """What one and the same registration or year has in common wherever it stands."""
    return item.family if item.kind == "registration" else f"{item.family} {item.windows}"


def own_years(own: Sequence[Evidence], years: Years) -> dict[str, Floats]:
    """Likelihoods of each date, shape (years,); 1 where nothing speaks of it.

    What bears on one of two designs, not known which, is carried over to the decorating, averaged over both.
    """
    plain = [item for item in own if len(item.speaks_of) == 1]
    (found,) = alternatives(plain, years)
    whole = {date: found.get(date, np.ones(len(years))) for date in DATES}
    either = [item for item in own if len(item.speaks_of) > 1]
    if either:
        ways = [_at_decorating(way, len(years)) for way in alternatives(either, years)]
        whole["decorated"] = whole["decorated"] * np.mean(ways, axis=0)
    return whole


def _at_decorating(by_date: Mapping[str, Floats], years: int) -> Floats:
    """P(evidence on any date | year of decorating), nothing else known."""
    between, one = gaps(years), np.ones(years)
    form = between.form_age @ by_date.get("form_designed", one)
    potted = between.lag @ (by_date.get("potted", one) * form)
    pattern = between.pattern_age @ by_date.get("pattern_designed", one)
    sold = between.sale_lag @ by_date.get("sold", one)
    return np.asarray(by_date.get("decorated", one) * potted * pattern * sold)


def new_mark_years(rules: Sequence[Evidence], years: Years, prior: Floats) -> dict[str, Floats]:
    """What the general rules say of lettering, date by date, for a mark that the reference does not hold.

    Parameters
    ----------
    rules : sequence of Evidence
        Of one family only the tightest applies. What bears on one of two dates is left out.
    years : array of int, shape (years,)
    prior : array, shape (years,)
        p(decorated), summing to 1.

    Returns
    -------
    dict of date to array, shape (years,)
        rule(year) / sum of p(year) rule(year): times the base rate of the text, it is p(text | year), which has the
        base rate as its mean. Dates that nothing speaks of are left out.

    Examples
    --------
    >>> from footring.marks.evidence import Window
    >>> rule = Evidence("E", "", ("decorated",), (Window(1901, None),), 0.2, "f", "wording", "law", "R", "", "memory")
    >>> new_mark_years([rule], np.arange(1900, 1902), np.array([0.5, 0.5]))["decorated"].round(3)
    array([0.333, 1.667])
    """
    (found,) = alternatives([item for item in rules if len(item.speaks_of) == 1], years)
    expected = _expected(prior)
    return {date: height / float(expected[date] @ height) for date, height in found.items()}


def _expected(prior: Floats) -> dict[str, Floats]:
    """Distribution of each date before anything is read."""
    between = gaps(len(prior))
    potted = prior @ between.lag
    return {
        "decorated": prior,
        "potted": potted,
        "form_designed": potted @ between.form_age,
        "pattern_designed": prior @ between.pattern_age,
        "sold": prior @ between.sale_lag,
    }
