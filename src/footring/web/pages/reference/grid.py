"""What of a line was met in what: forms down, treatments across, darker where more pieces were met."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import log2
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.html import escape, format_html, format_html_join
from django.utils.safestring import SafeString, mark_safe

from footring.records.models import Stored
from footring.reference import TREATMENT
from footring.web.pages.reference.called import treatment_of
from footring.web.pages.reference.met import Cell

MOST_TREATMENTS = 120
LISTED = 12
"""Treatments of a form that are listed on a narrow page."""
SHADES = 6
Treatment = tuple[str | None, ...]


@dataclass(frozen=True)
class Grid:
    """The pieces of a line by form and treatment.

    Parameters
    ----------
    line : Stored
    forms : sequence of Stored
    treatments : sequence of Treatment
        Ids of body, glaze, decoration and trim, those met most often first.
    met : mapping of (form, treatment) to int
    documented : set of (form, treatment)
        Named by a document for that very form.
    codes : mapping of treatment to list of str
        Its numbers on the line.
    parts : mapping of id to row
        What the ids of treatments stand for.
    left_out : int
        Treatments beyond the first `MOST_TREATMENTS`.
    """

    line: Stored
    forms: Sequence[Stored]
    treatments: Sequence[Treatment]
    met: dict[tuple[str, Treatment], int]
    documented: set[tuple[str, Treatment]]
    codes: dict[Treatment, list[str]]
    parts: dict[str, Stored]
    left_out: int

    @cached_property
    def common(self) -> tuple[bool, ...]:
        """Which parts of the treatment are the same throughout, so that headings leave them out."""
        same = tuple(len({t[i] for t in self.treatments} - {None}) == 1 for i in range(len(TREATMENT)))
        short = {tuple(None if same[i] else t[i] for i in range(len(TREATMENT))) for t in self.treatments}
        return same if len(short) == len(self.treatments) > 1 else (False,) * len(TREATMENT)

    @property
    def throughout(self) -> str:
        """What is the same throughout, in words."""
        first = [next((t[i] for t in self.treatments if t[i]), None) for i in range(len(TREATMENT))]
        return self._words([one if self.common[i] else None for i, one in enumerate(first)])

    def heading(self, treatment: Treatment) -> str:
        """A treatment in words, without what is the same throughout."""
        return self._words([None if self.common[i] else one for i, one in enumerate(treatment)]) or "not said"

    def _words(self, treatment: Iterable[str | None]) -> str:
        return treatment_of([self.parts.get(one or "") for one in treatment])

    @property
    def sentence(self) -> str:
        """The whole in one sentence; empty where nothing was met."""
        if not self.met:
            return ""
        forms, treatments = ({key[i] for key in self.met} for i in (0, 1))
        return f"Met in {_count(len(treatments), 'treatment')}, on {len(forms)} of {len(self.forms)}."

    @property
    def head(self) -> SafeString:
        """The headings of the columns."""
        return format_html_join(
            "", '<th scope="col"><span>{} <b>{}</b></span></th>',
            ((self._headings[one], " ".join(self.codes.get(one, ()))) for one in self.treatments),
        )  # fmt: skip

    @property
    def body(self) -> SafeString:
        """The rows; put together here, because a template takes too long over thousands of cells."""
        return mark_safe("".join(self._row(form) for form in self.forms))

    def _row(self, form: Stored) -> str:
        start = format_html('<tr><th scope="row"><a href="{}">{}</a></th>', _page(form), form.name)
        cells = (self._cell(form, one, asked) for one, asked in self._asked.items())
        return start + "".join(cells) + "</tr>"

    def _cell(self, form: Stored, treatment: Treatment, asked: str) -> str:
        count = self.met.get((form.pk, treatment))
        if count:
            return f'<td class="met-{shade(count)}"><a href="{self._start(form)}{asked}">{count}</a></td>'
        if (form.pk, treatment) in self.documented:
            return f'<td><a href="{self._start(form)}{asked}" aria-label="documented, not met">○</a></td>'
        return "<td></td>"

    @cached_property
    def _asked(self) -> dict[Treatment, str]:
        """What asks for each treatment, escaped once for all of its cells."""
        return {one: _query(zip(TREATMENT, [part or "-" for part in one], strict=True)) for one in self.treatments}

    @cached_property
    def _base(self) -> str:
        return reverse("reference-met", args=[self.line.pk])

    def _start(self, form: Stored) -> str:
        if form.pk not in self._starts:
            self._starts[form.pk] = escape(self._base) + "?" + _query([("form", form.pk)]) + "&amp;"
        return self._starts[form.pk]

    @cached_property
    def _starts(self) -> dict[str, str]:
        return {}

    def url(self, form: Stored, treatment: Treatment) -> str:
        """Where the pieces and documents of a cell are."""
        asked = [("form", form.pk), *((n, one or "-") for n, one in zip(TREATMENT, treatment, strict=True))]
        return self._base + "?" + urlencode(asked)

    @property
    def lists(self) -> list[Listed]:
        """The same for a narrow page: each form with what it was met in, or is documented in, most often first."""
        return [listed for form in self.forms if (listed := self._listed(form)).found]

    def _listed(self, form: Stored) -> Listed:
        mine = [one for one in self.treatments if (form.pk, one) in self.met or (form.pk, one) in self.documented]
        mine.sort(key=lambda one: -self.met.get((form.pk, one), 0))
        shown = [(self._headings[one], self.url(form, one), self.met.get((form.pk, one), 0)) for one in mine[:LISTED]]
        return Listed(form, shown, len(mine) - len(shown), self._base + "?" + urlencode({"form": form.pk}))

    @cached_property
    def _headings(self) -> dict[Treatment, str]:
        return {one: self.heading(one) for one in self.treatments}


@dataclass(frozen=True)
class Listed:
    """A form with the first treatments it was met in: in words, where they are told, and how often (0: documented)."""

    form: Stored
    found: Sequence[tuple[str, str, int]]
    more: int
    url: str


def _page(form: Stored) -> str:
    return reverse("reference-form", args=[form.pk])


def _query(asked: Iterable[tuple[str, str]]) -> str:
    return escape(urlencode(list(asked)))


def shade(count: int) -> int:
    """How dark a count is, from 1."""
    return min(SHADES, 1 + int(log2(count)))


def grid_of(
    line: Stored,
    forms: Sequence[Stored],
    met: dict[Cell, int],
    productions: Iterable[Stored],
    numbers: Sequence[Stored],
    parts: dict[str, Stored],
) -> Grid | None:
    """The grid of a line; None while nothing of it was met or documented by form.

    Parameters
    ----------
    met : mapping of (form, body, glaze, decoration, trim) to int
        From `Met.grid`.
    productions, numbers : Stored
        Of the line.
    parts : mapping of id to row
        Everything that may be named in a treatment and be seen by who asks.
    """
    own = {form.pk for form in forms}
    seen = {
        (cell[0], cell[1:]): n
        for cell, n in met.items()
        if cell[0] in own and all(one is None or one in parts for one in cell[1:])
    }
    often: Counter[Treatment] = Counter()
    for (_, treatment), count in seen.items():
        often[treatment] += count
    order = sorted(often, key=lambda one: (-often[one], str(one)))
    documented = _documented(productions, order)
    treatments = order + sorted({t for _, t in documented} - set(order), key=str)
    if not treatments:
        return None
    kept = treatments[:MOST_TREATMENTS]
    codes = {t: codes for t in kept if (codes := [n.code for n in numbers if _names(n, t)])}
    counted = {(str(form), t): n for (form, t), n in seen.items()}
    return Grid(line, forms, kept, counted, documented, codes, parts, len(treatments) - len(kept))


def _documented(productions: Iterable[Stored], met: Sequence[Treatment]) -> set[tuple[str, Treatment]]:
    """Forms and treatments that documents name together; a treatment of its own where none that was met fits it."""
    found: set[tuple[str, Treatment]] = set()
    for one in productions:
        if one.form_id:
            fits = [treatment for treatment in met if _fits(_pattern(one), treatment)] or [_pattern(one)]
            found |= {(one.form_id, treatment) for treatment in fits}
    return {(form, treatment) for form, treatment in found if any(treatment)}


def _pattern(row: Stored) -> Treatment:
    return tuple(getattr(row, f"{part}_id") for part in TREATMENT)


def _fits(pattern: Treatment, treatment: Treatment) -> bool:
    return all(said is None or said == part for said, part in zip(pattern, treatment, strict=True))


def _names(number: Stored, treatment: Treatment) -> bool:
    return any(_pattern(number)) and _fits(_pattern(number), treatment)


def _count(number: int, word: str) -> str:
    return f"{number} {word}" + ("" if number == 1 else "s")
