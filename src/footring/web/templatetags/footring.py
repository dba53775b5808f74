"""What templates say often, as each reader wants it said."""

from __future__ import annotations

from typing import Any

from django import template

from footring.reasoning.label_text import chance
from footring.terms.units import in_inches

register = template.Library()
register.filter("chance", chance)


@register.simple_tag(takes_context=True)
def length(context: dict[str, Any], mm: float | None) -> str:
    """A length as the reader wants it: millimetres, or inches to the sixteenth."""
    if mm is None:
        return ""
    user = context.get("user")
    return in_inches(mm) if getattr(user, "inches", False) else f"{mm:.0f} mm"


@register.simple_tag(takes_context=True)
def form_word(context: dict[str, Any]) -> str:
    """What the reader calls a form."""
    return str(getattr(context.get("user"), "form_word", "form"))


@register.simple_tag(takes_context=True)
def years(context: dict[str, Any], first: int, last: int) -> str:
    """A span of years, short (1934-39) or written out, as the reader wants it."""
    if first == last:
        return str(first)
    short = first // 100 == last // 100 and not getattr(context.get("user"), "whole_years", False)
    return f"{first}-{last % 100:02d}" if short else f"{first}-{last}"
