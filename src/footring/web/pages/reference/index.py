"""The first page of the reference, the marks, the customers and hands, the names."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from footring.records.models import Role, Stored, User
from footring.web.access import allow
from footring.web.pages.reference.addresses import page_of
from footring.web.pages.reference.called import THINGS, called, in_full, offered, offered_things, rows
from footring.web.pages.reference.lanes import Lane, ends, years
from footring.web.pages.reference.met import met_by
from footring.web.pages.reference.told import mark_use, source_words
from footring.web.pages.reference.when import in_words, read

AT_ONCE = 60
FEW = 3
"""With more makers than this, a maker is one lane on the first page, not one for each of its lines."""


@allow(Role.GUEST)
@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """All makers and their lines, or what is called so."""
    user, words = request.user, request.GET.get("q", "").strip()
    makers = _page(rows("makers", user), request, "name")
    lines = rows("lines", user).filter(maker__in=makers[:AT_ONCE]).order_by("name")
    few = len(makers) <= FEW
    return render(request, "reference/index.html", {
        "q": words, "found": [(in_full(row), page_of(row)) for row in offered_things(words, user)],
        "makers": [(maker, page_of(maker), in_words(maker.active, user.whole_years)) for maker in makers[:AT_ONCE]],
        "years": years(_with_lines(makers, list(lines), user) if few else map(maker_lane, makers)),
        "lines": [(line, page_of(line)) for line in lines] if few else [],
        "after": makers[AT_ONCE - 1].name if len(makers) > AT_ONCE else "", "edits": user.may(Role.CURATOR),
    })  # fmt: skip


def _page(found: Any, request: HttpRequest, column: str) -> list[Stored]:
    """One page of rows in the order of a column, and one more to know of the next."""
    after = {f"{column}__gt": request.GET["after"]} if request.GET.get("after") else {}
    return list(found.filter(**after).order_by(column, "pk")[: AT_ONCE + 1])


def maker_lane(maker: Stored) -> Lane:
    """The years of a maker."""
    return Lane(maker.name, (maker.active,), page_of(maker))


def _with_lines(makers: Sequence[Stored], lines: Sequence[Stored], user: User) -> list[Lane]:
    made = years_made(rows("productions", user).filter(line__in=lines))
    lanes = []
    for maker in makers:
        lanes += [maker_lane(maker), *line_lanes([line for line in lines if line.maker_id == maker.pk], made)]
    return lanes


def line_lanes(lines: Iterable[Stored], made: dict[str, list[str]]) -> list[Lane]:
    """The years of lines, as far as their productions tell."""
    return [Lane(line.name, tuple(made.get(line.pk, ())), page_of(line)) for line in lines]


def years_made(productions: Iterable[Stored]) -> dict[str, list[str]]:
    """Years that the productions of each line name."""
    found: dict[str, list[str]] = defaultdict(list)
    for one in productions:
        if one.made:
            found[one.line_id].append(one.made)
    return found


@allow(Role.GUEST)
@require_safe
def marks(request: HttpRequest) -> HttpResponse:
    """All marks in the order in which they came into use."""
    user, told = request.user, defaultdict(list)
    for use in rows("mark_uses", user):
        told[use.mark_id].append(use)
    found = list(rows("marks", user).select_related("maker", "hand"))
    found.sort(key=lambda mark: (min(map(_begins, told[mark.pk]), default=9999), called(mark)))
    pictures = pictures_of(found, user)
    shown = [mark_told(mark, told[mark.pk], pictures[mark.pk], user) for mark in found]
    return render(request, "reference/marks.html", {"marks": shown, "edits": user.may(Role.CURATOR)})


def mark_told(mark: Stored, uses: Iterable[Stored], pictures: Sequence[Stored], user: User) -> dict[str, Any]:
    """A mark to be set in type, with the years of its use."""
    how = [mark.technique, mark.colour, _glaze(mark.under_glaze)]
    return {
        "mark": mark, "url": page_of(mark), "letters": [line.strip() for line in (mark.lettering or "").split("/")],
        "how": ", ".join(str(one) for one in how if one), "pictures": pictures[:PICTURES],
        "uses": [mark_use(use, user) for use in uses],
    }  # fmt: skip


PICTURES = 3
UNDERSIDES = ("foot", "mark", "base", "underside", "back")
"""Sides of a piece on which a mark is seen."""


def pictures_of(marks: Sequence[Stored], user: User) -> dict[str, list[Stored]]:
    """Photographs of the undersides of pieces with each mark; guests see those with a permission to publish."""
    met = met_by(user)
    pieces = {mark.pk: met.with_mark(mark.pk) for mark in marks} if met else {}
    every = {piece for ids in pieces.values() for piece in ids}
    found = rows("photographs", user).filter(piece__in=every, side__in=UNDERSIDES).order_by("pk")
    if not user.may(Role.MEMBER):
        found = found.exclude(permission=None)
    by_piece: dict[str, list[Stored]] = defaultdict(list)
    for one in found:
        by_piece[one.piece_id].append(one)
    return defaultdict(list, {key: [one for piece in ids for one in by_piece[piece]] for key, ids in pieces.items()})


def _glaze(under: bool | None) -> str:
    return "" if under is None else "under the glaze" if under else "over the glaze"


def _begins(use: Stored) -> int:
    date = read(use.used)
    reach = ends(date) if date else []
    return reach[0] if reach else 9998


@allow(Role.GUEST)
@require_safe
def people(request: HttpRequest) -> HttpResponse:
    """Who ordered ware, and who made, decorated, sold or mounted it."""
    user = request.user
    ordered = defaultdict(list)
    for one in rows("productions", user).exclude(customer=None):
        ordered[one.customer_id].append(one)
    customers = [(row, page_of(row), _lines_of(ordered[row.pk])) for row in rows("customers", user).order_by("name")]
    hands = [(row, page_of(row)) for row in rows("hands", user).select_related("maker").order_by("name")]
    told = {"customers": customers, "hands": hands, "edits": user.may(Role.CURATOR)}
    return render(request, "reference/people.html", told)


def _lines_of(productions: Iterable[Stored]) -> str:
    return ", ".join(sorted({one.line.name for one in productions}))


@allow(Role.GUEST)
@require_safe
def names(request: HttpRequest) -> HttpResponse:
    """Every name that somebody gave something, who gave it, and misnomers."""
    user = request.user
    found = _page(rows("names", user), request, "name")
    things = _things_named(found, user)
    told = [(one, things[one.thing], source_words(one.source, user)) for one in found[:AT_ONCE] if one.thing in things]
    after = found[AT_ONCE - 1].name if len(found) > AT_ONCE else ""
    return render(request, "reference/names.html", {"names": told, "after": after, "edits": user.may(Role.CURATOR)})


def _things_named(names: Iterable[Stored], user: User) -> dict[str, tuple[str, str]]:
    """What each name is a name of, in full and where it is told; one query for each table."""
    wanted: dict[str, set[str]] = defaultdict(set)
    for name in names:
        wanted[name.thing_table].add(name.thing)
    found = [row for table, ids in wanted.items() if table in THINGS for row in rows(table, user).filter(pk__in=ids)]
    return {row.pk: (in_full(row), page_of(row)) for row in found}


@allow(Role.GUEST)
@require_safe
def offer(request: HttpRequest, table: str) -> HttpResponse:
    """Names to choose from while one types: of a table, or of anything that a claim can be made of."""
    text = next((value for name, value in request.GET.items() if value), "")
    if table == "things":
        told = [in_full(row) for row in offered_things(text, request.user)]
    else:
        told = [called(row) for row in offered(table, text, request.user)] if table in _OFFERED else []
    return render(request, "reference/offer.html", {"names": told})


_OFFERED = (*THINGS, "sources", "sizes", "date_code_schemes")
