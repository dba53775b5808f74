"""What a piece is, from what was read off it."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from footring.marks.readings import read_reading
from footring.reasoning.label_text import tell_piece
from footring.records.known import known
from footring.records.models import Role
from footring.web.access import allow


@allow(Role.MEMBER)
@require_GET
def examine(request: HttpRequest) -> HttpResponse:
    """The label, from readings in the address: `?r=form=bowl&r=number=417`."""
    given = [one.partition("=") for one in request.GET.getlist("r")]
    readings = [reading for name, _, value in given if (reading := read_reading(name, value)) is not None]
    finding = known().examiner.finding(readings)
    return render(request, "examine/examine.html", {"label": tell_piece(finding), "readings": readings})
