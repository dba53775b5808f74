"""Where each thing is told of."""

from __future__ import annotations

from urllib.parse import urlencode

from django.urls import reverse

from footring.records.models import Stored

_OWN = {"makers": "reference-maker", "lines": "reference-line", "forms": "reference-form"}
_ON_LINE = ("numbers", "productions", "mark_uses")
_ON_FORM = ("telltales", "goes_with", "sizes")


def page_of(row: Stored) -> str:
    """The page on which a thing, or a statement, is told."""
    table = row.SPEC.name
    if table in _OWN:
        return reverse(_OWN[table], args=[row.pk])
    if table in _ON_LINE and row.line_id:
        return reverse("reference-line", args=[row.line_id])
    if table in _ON_FORM:
        return reverse("reference-form", args=[row.form_id])
    if table == "sources":
        return reverse("source", args=[row.pk])
    return reverse("reference-thing", args=[table, row.pk])


def with_query(name: str, **asked: str) -> str:
    """A page with a question."""
    return f"{reverse(name)}?{urlencode(asked)}"
