"""The first five minutes, what each page is for, the words, how to look."""

from __future__ import annotations

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from footring.care.cautions import cautions
from footring.marks.foot import Foot
from footring.reasoning.look_closer import look_closer, looked_at
from footring.records.models import Role
from footring.terms.tables import read_table
from footring.web.access import allow
from footring.web.context import PLACES

WHAT_FOR = {
    "examine": "Type what you see on a piece; the label writes itself. Tap its words, look where it says, and put the "
    "piece away when you are done. Nothing is kept before.",
    "at-home": "What was put away, drawn to one scale. Find it by words or by what it is, keep a list, change many "
    "together, take a list along as a table. Each piece has a page: its pictures and label, what it is said to be, "
    "every reading, faults and damage, where it came from, what was done to it.",
    "reference": "What factories made, as far as this collection knows: makers, lines in their years, forms to scale, "
    "which number stands for what on which line, marks, names, and what was met on what.",
    "sources": "Who says so, and how each has proved. Claims for and against, where they disagree, what was decided, "
    "and what is to be checked later.",
    "bring-in": "A spreadsheet of pieces, or a pack. You see what it would add before anything is written, and one "
    "press takes it all back.",
    "help": "These pages.",
    "settings": "Millimetres or inches, form or shape, light or dark; tokens for programs that act for you.",
}
"""What can be done on each of the first pages."""
PEOPLE = "Invite people, give each a role, close an account, let somebody in again who lost a password."


@allow(Role.GUEST)
@require_safe
def first(request: HttpRequest) -> HttpResponse:
    """What to do first, in order, what each page is for, and the cautions that go with every piece."""
    pages = [(name, title, WHAT_FOR[name]) for name, title, role in PLACES if request.user.may(role)]
    if settings.SOCIETY and request.user.may(Role.KEEPER):
        pages.append(("people", "People of this collection", PEOPLE))
    return render(request, "help/first.html", {"cautions": cautions(Foot(), None), "pages": pages})


@allow(Role.GUEST)
@require_safe
def words(request: HttpRequest) -> HttpResponse:
    """What the words on the pages mean."""
    return render(request, "help/words.html", {"words": read_table("footring.terms", "words.csv")})


@allow(Role.GUEST)
@require_safe
def look(request: HttpRequest) -> HttpResponse:
    """How to look at each thing, and how to look closer."""
    how, closer = (read_table("footring.reasoning", name) for name in ("how_to_look.csv", "look_closer.csv"))
    first = {row["reading"]: [row["how"]] for row in how}
    names = dict.fromkeys(row["reading"] for row in (*how, *closer))
    notes = [(looked_at(name), [*first.get(name, []), *look_closer(name)]) for name in names]
    return render(request, "help/look.html", {"notes": notes})
