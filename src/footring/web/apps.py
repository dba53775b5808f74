"""How Django finds the pages."""

from __future__ import annotations

from django.apps import AppConfig


class Web(AppConfig):
    """Templates, their tags, and what browsers are sent as it stands."""

    name = "footring.web"
    label = "web"
