"""A form, and any other single thing of the reference."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from footring.records.models import Role, Stored, User
from footring.web.access import allow
from footring.web.pages.reference.addresses import page_of, with_query
from footring.web.pages.reference.called import PARTS, THINGS, WORD, called, rows, treatment
from footring.web.pages.reference.drawn import outlines
from footring.web.pages.reference.index import mark_told, pictures_of
from footring.web.pages.reference.lines import names_of
from footring.web.pages.reference.met import TABLE_OF, met_by
from footring.web.pages.reference.opened import seen_row, shown
from footring.web.pages.reference.told import Told, claims_of, fact, production, source_words, texts_of, word_cautions
from footring.web.pages.reference.when import in_words

MOST_MEASURED = 2000
MADE_IN = (*PARTS, "customer")


@allow(Role.GUEST)
@require_safe
def form(request: HttpRequest, key: str) -> HttpResponse:
    """A form: drawn to scale, told from its near twins, with what it was issued with."""
    user, row = request.user, seen_row("forms", key, request.user)
    sizes = list(rows("sizes", user).filter(form=row).order_by("across_mm", "pk"))
    claims = claims_of("forms", key, user)
    met = met_by(user)
    by_size = met.by("size", form=key) if met else {}
    return render(request, "reference/form.html", {
        "row": row, "line_url": page_of(row.line), "told": _facts(row, claims, user) + texts_of(row, claims, user),
        "names": names_of("forms", key, user), "pieces": met.of(form=key) if met else None,
        "drawn": outlines(sizes, {key: met.of(form=key)} if met else None), "issued": _issued(row, user),
        "sizes": [(size, by_size.get(size.pk, 0)) for size in sizes], "telltales": _telltales(row, user),
        "strip": strip(sizes, met.measured(key)[:MOST_MEASURED] if met else []),
        "mould": _of_the_mould(row, user), "made": [production(one, user) for one in _made(row, user)],
        "cautions": word_cautions(f"{row.name} {row.kind or ''}"), "edits": user.may(Role.CURATOR),
    })  # fmt: skip


def _facts(row: Stored, claims: Sequence[Stored], user: User) -> list[Told]:
    found = (
        [fact(row, "designed", f"Designed {when}.", claims)]
        if (when := in_words(row.designed, user.whole_years))
        else []
    )
    if row.replaced_by_id:
        found.append(fact(row, "replaced_by", f"Replaced by the {called(row.replaced_by)}.", claims))
    found += [
        Told("forms", one.pk, "replaced_by", f"It replaced the {called(one)}.")
        for one in rows("forms", user).filter(replaced_by=row)
    ]
    return found


def _made(row: Stored, user: User) -> list[Stored]:
    return list(rows("productions", user).filter(form=row).order_by("made", "pk"))


def _telltales(row: Stored, user: User) -> list[tuple[Stored, Stored, str, str, str]]:
    """Each telltale from this form's side: the other form, what is seen here and there, and who says so."""
    mine = [(one, one.other_form, one.seen, one.seen_on_other) for one in rows("telltales", user).filter(form=row)]
    theirs = [(one, one.form, one.seen_on_other, one.seen) for one in rows("telltales", user).filter(other_form=row)]
    return [(*one, source_words(one[0].source, user)) for one in (*mine, *theirs)]


def _issued(row: Stored, user: User) -> list[Told]:
    """What was issued together with this form: never a marriage."""
    mine = [(one, "", one.with_form, "with_") for one in rows("goes_with", user).filter(form=row)]
    theirs = [(one, "with_", one.form, "") for one in rows("goes_with", user).filter(with_form=row)]
    return [_pair(*one, user) for one in (*mine, *theirs)]


def _pair(one: Stored, here: str, other: Stored, there: str, user: User) -> Told:
    role = f"as its {one.kind}" if there == "" else f"as the {one.kind} of"
    told = f"{called(other)}, {role}" if there == "" else f"Issued {role} the {called(other)}"
    own, others = treatment(one, here), treatment(one, there)
    told += f", in {own}" if own else ""
    told += f"; that one in {others}" if others and others != own else ""
    return Told("goes_with", one.pk, "", told, source_words(one.source, user))


def _of_the_mould(row: Stored, user: User) -> list[tuple[Stored, str]]:
    """Other forms from the same mould."""
    if not row.mould_id:
        return []
    return [(one, page_of(one)) for one in rows("forms", user).filter(mould=row.mould_id).exclude(pk=row.pk)]


@dataclass(frozen=True)
class Strip:
    """Lengths across on one scale, as percentages: sizes of the reference, and pieces in the hand."""

    sizes: Sequence[tuple[str, str]]
    pieces: Sequence[str]
    low_mm: float
    high_mm: float


def strip(sizes: Sequence[Stored], pieces: Sequence[float]) -> Strip | None:
    """What sizes and pieces measure across; None while no piece was measured."""
    named = [
        (size.trade_size or f"{size.across_mm:g} mm", size.across_mm) for size in sizes if size.across_mm is not None
    ]
    every = [*(mm for _, mm in named), *pieces]
    if not pieces:
        return None
    low, high = min(every), max(every)
    margin = max(2.0, 0.06 * (high - low))
    at = lambda mm: f"{100 * (mm - low + margin) / (high - low + 2 * margin):.2f}%"  # noqa: E731
    return Strip([(at(mm), name) for name, mm in named], [at(mm) for mm in pieces], min(pieces), max(pieces))


@allow(Role.GUEST)
@require_safe
def thing(request: HttpRequest, table: str, key: str) -> HttpResponse:
    """Any other thing: what stands in the reference of it, and what is said of it."""
    user, row = request.user, seen_row(table, key, request.user)
    if table not in THINGS or table == "numbers":
        return redirect("reference-said", table=table, key=key)
    claims = claims_of(table, key, user)
    column = next((name for name, of in TABLE_OF.items() if of == table and name in MADE_IN), None)
    made = rows("productions", user).filter(**{column: row}) if column else ()
    told = [*_columns(row, claims, user), *texts_of(row, claims, user)]
    met = met_by(user)
    return render(request, "reference/thing.html", {
        "row": row, "word": WORD[table], "table": table, "told": told,
        "names": names_of(table, key, user), "made": [production(one, user, with_line=True) for one in made],
        "pieces": met.of(**{column: key}) if met and column else None,
        "mark": _mark(row, user), "edits": user.may(Role.CURATOR), "name": called(row),
        "numbers_url": with_query("concordance", q=row.name) if table == "decorations" else "",
    })  # fmt: skip


_TOLD_ELSEWHERE = ("id", "name", "maker", "private", "recorded_at", "recorded_by", "lab_lightness", "lab_a", "lab_b")


def _columns(row: Stored, claims: Sequence[Stored], user: User) -> list[Told]:
    found = []
    for column in row.SPEC.columns:
        if column.name not in _TOLD_ELSEWHERE and getattr(row, column.name) is not None:
            words = f"{column.name.replace('_', ' ').capitalize()}: {shown(row, column, user)}."
            found.append(fact(row, column.name, words, claims))
    return found


def _mark(row: Stored, user: User) -> dict[str, Any] | None:
    if row.SPEC.name != "marks":
        return None
    return mark_told(row, rows("mark_uses", user).filter(mark=row), pictures_of([row], user)[row.pk], user)
