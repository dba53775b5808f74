"""The first five minutes, and the words."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from footring.care.cautions import cautions
from footring.marks.foot import Foot
from footring.records.models import Role
from footring.terms.tables import read_table
from footring.web.access import allow


@allow(Role.GUEST)
@require_GET
def first(request: HttpRequest) -> HttpResponse:
    """What to do first, in order, with the cautions that go with every piece."""
    return render(request, "help/first.html", {"cautions": cautions(Foot(), None)})


@allow(Role.GUEST)
@require_GET
def words(request: HttpRequest) -> HttpResponse:
    """What the words on the pages mean."""
    return render(request, "help/words.html", {"words": read_table("footring.terms", "words.csv")})
