"""What templates say often."""

from __future__ import annotations

from django import template

from footring.reasoning.label_text import chance

register = template.Library()
register.filter("chance", chance)
