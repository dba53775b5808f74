"""What the pages of the reference say often."""

from __future__ import annotations

from typing import Any

from django import template

from footring.records.models import Stored
from footring.web.pages.reference.addresses import page_of
from footring.web.pages.reference.called import called
from footring.web.pages.reference.when import in_words

register = template.Library()
register.filter("page_of", page_of)
register.filter("called", called)


@register.simple_tag(takes_context=True)
def when(context: dict[str, Any], edtf: str | None) -> str:
    """A date in words, as the reader wants years written."""
    return in_words(edtf, getattr(context.get("user"), "whole_years", False))


@register.filter
def pieces(count: int | None) -> str:
    """How many pieces were met."""
    if count is None:
        return "pieces are being counted"
    return "no piece met" if not count else "1 piece met" if count == 1 else f"{count:,} pieces met"


@register.filter
def plain(word: str) -> str:
    """A word of a table as one says it."""
    return word.replace("_", " ")


@register.filter
def of_table(row: Stored) -> str:
    """The table that a row stands in."""
    return row.SPEC.name
