"""A maker and a line: their years, what is said of them, and what was met in what."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from footring.records.models import Role, Stored, User
from footring.reference import TREATMENT
from footring.web.access import allow
from footring.web.pages.reference.addresses import page_of
from footring.web.pages.reference.called import PARTS, called, rows, treatment
from footring.web.pages.reference.drawn import outlines
from footring.web.pages.reference.grid import Grid, grid_of
from footring.web.pages.reference.index import line_lanes, maker_lane, years_made
from footring.web.pages.reference.lanes import Lane, years
from footring.web.pages.reference.met import TABLE_OF, Met, met_by
from footring.web.pages.reference.opened import seen_row
from footring.web.pages.reference.told import claims_of, mark_use, number, production, texts_of, word_cautions
from footring.web.pages.reference.when import in_words
from footring.web.whole import whole


@allow(Role.GUEST)
@require_safe
def maker(request: HttpRequest, key: str) -> HttpResponse:
    """A factory: its lines and marks in their years."""
    user, row = request.user, seen_row("makers", key, request.user)
    lines = list(rows("lines", user).filter(maker=row).order_by("name"))
    made = years_made(rows("productions", user).filter(line__in=lines))
    uses = list(rows("mark_uses", user).filter(mark__maker=row))
    met = met_by(user)
    pieces = met.by("line") if met else None
    return render(request, "reference/maker.html", {
        "row": row, "told": texts_of(row, claims_of("makers", key, user), user), "where": _where(row),
        "active": in_words(row.active, user.whole_years), "names": names_of("makers", key, user),
        "years": years([maker_lane(row), *line_lanes(lines, made), *map(_mark_lane, uses)]),
        "lines": [(line, page_of(line), None if pieces is None else pieces.get(line.pk, 0)) for line in lines],
        "edits": user.may(Role.CURATOR),
    })  # fmt: skip


def _where(maker: Stored) -> str:
    return ", ".join(one for one in (maker.town, maker.country) if one)


def _mark_lane(use: Stored) -> Lane:
    return Lane(called(use.mark).replace(" / ", " · "), (use.used,), page_of(use.mark), "mark")


def names_of(table: str, key: str, user: User) -> list[Stored]:
    """Names that somebody gave a thing, the factory's first."""
    found = rows("names", user).filter(thing_table=table, thing=key)
    order = ("factory", "shop", "author", "collectors", "misnomer")
    return sorted(found, key=lambda name: (order.index(name.kind), name.name))


@allow(Role.GUEST)
@require_safe
def line(request: HttpRequest, key: str) -> HttpResponse:
    """A line: to scale, in its years, and what of it was met in what."""
    user, row = request.user, seen_row("lines", key, request.user)
    forms = list(rows("forms", user).filter(line=row).order_by("name"))
    sizes = list(rows("sizes", user).filter(form__line=row))
    productions = list(rows("productions", user).filter(line=row).order_by("made", "pk"))
    numbers = list(rows("numbers", user).filter(line=row).order_by("code"))
    any_ware = Q(line=None, form=None, mark__maker=row.maker_id)
    uses = list(rows("mark_uses", user).filter(Q(line=row) | Q(form__line=row) | any_ware).order_by("used", "pk"))
    told = texts_of(row, claims_of("lines", key, user), user)
    met = met_by(user)
    pieces = met.by("form", line=key) if met else None
    return render(request, "reference/line.html", {
        "row": row, "told": told, "names": names_of("lines", key, user), "maker_url": page_of(row.maker),
        "years": years(_line_lanes(productions, forms, uses)),
        "drawn": outlines(sizes, pieces), "undrawn": _undrawn(forms, sizes), "forms": len(forms),
        "grid": _grid(row, forms, productions, numbers, met, user), "pieces": met.of(line=key) if met else None,
        "numbers": [(one, number(one, user)) for one in numbers],
        "productions": [production(one, user) for one in productions],
        "marks": [(use.mark, page_of(use.mark), mark_use(use, user)) for use in uses],
        "cautions": word_cautions(*_words(row, forms, productions)), "edits": user.may(Role.CURATOR),
    })  # fmt: skip


def _line_lanes(productions: Sequence[Stored], forms: Sequence[Stored], uses: Sequence[Stored]) -> list[Lane]:
    made = [Lane(_made_name(one), (one.made,)) for one in productions if one.made]
    designed = [Lane(form.name, (form.designed,), page_of(form), "designed") for form in forms if form.designed]
    return [*made, *designed, *map(_mark_lane, uses)]


def _made_name(one: Stored) -> str:
    told = [one.form.name if one.form_id else "", treatment(one)]
    return ", ".join(filter(None, told)) + (f", for {one.customer.name}" if one.customer_id else "") or "the line"


def _undrawn(forms: Sequence[Stored], sizes: Sequence[Stored]) -> list[Stored]:
    drawn = {size.form_id for size in sizes if size.across_mm is not None and size.high_mm is not None}
    return [form for form in forms if form.pk not in drawn]


def _words(row: Stored, forms: Sequence[Stored], productions: Sequence[Stored]) -> list[str]:
    """Everything by which a line may tell that it is for children, or for the oven."""
    told = [f"{form.name} {form.kind or ''}" for form in forms]
    return [row.name, *told, *{one.decoration.name for one in productions if one.decoration_id}]


def _grid(
    row: Stored, forms: list[Stored], productions: list[Stored], numbers: list[Stored], met: Met | None, user: User
) -> Grid | None:
    if met is None:
        return None
    cells = met.grid(row.pk)
    wanted = {part: {cell[1 + i] for cell in cells} for i, part in enumerate(PARTS)}
    parts = {}
    for part in PARTS:
        named = wanted[part] | {getattr(one, f"{part}_id") for one in (*productions, *numbers)}
        parts |= {found.pk: found for found in rows(TABLE_OF[part], user).filter(pk__in=named - {None})}
    return grid_of(row, forms, cells, productions, numbers, parts)


@allow(Role.GUEST)
@require_safe
def met(request: HttpRequest, key: str) -> HttpResponse:
    """What was met of one form and treatment of a line, and which documents and claims speak of it."""
    user, row = request.user, seen_row("lines", key, request.user)
    asked = {part: request.GET[part] for part in ("form", *TREATMENT) if request.GET.get(part)}
    productions = [one for one in rows("productions", user).filter(line=row) if _speaks_of(one, asked)]
    numbers = [one for one in rows("numbers", user).filter(line=row) if _speaks_of(one, asked)]
    return render(request, "reference/met.html", {
        "row": row, "url": page_of(row), "what": _asked_words(asked, user), **_pieces(row, asked, request),
        "productions": [production(one, user) for one in productions],
        "numbers": [(one, number(one, user)) for one in numbers],
    })  # fmt: skip


def _speaks_of(statement: Stored, asked: dict[str, str]) -> bool:
    """Whether a document says something of what is asked for; what it leaves open may be it."""
    said = {part: getattr(statement, f"{part}_id", None) for part in asked}
    return any(said.values()) and all(one is None or one == asked[part] for part, one in said.items())


def _asked_words(asked: dict[str, str], user: User) -> str:
    found = [rows(TABLE_OF[part], user).filter(pk=name).first() for part, name in asked.items() if name != "-"]
    return ", ".join(str(one) for one in found if one is not None)


PIECES_AT_ONCE = 50


def _pieces(row: Stored, asked: dict[str, str], request: HttpRequest) -> dict[str, Any]:
    """Pieces confirmed to be this, a page of them; guests are told only how many."""
    found = met_by(request.user)
    if found is None:
        return {"count": None, "pieces": []}
    which = found.pieces(line=row.pk, **{part: None if name == "-" else name for part, name in asked.items()})
    if not request.user.may(Role.MEMBER):
        return {"count": len(which), "pieces": []}
    after = whole(request.GET.get("after", ""))
    page = which if after is None else which[which > after]
    ids = found.piece_ids[page[:PIECES_AT_ONCE]].tolist()
    asks = request.GET.copy()
    asks["after"] = str(page[PIECES_AT_ONCE - 1]) if len(page) > PIECES_AT_ONCE else ""
    pieces = rows("pieces", request.user).filter(pk__in=ids).order_by("pk")
    return {"count": len(which), "pieces": pieces, "more": asks.urlencode() if asks["after"] else ""}
