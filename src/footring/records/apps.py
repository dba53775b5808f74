"""How Django finds the records."""

from __future__ import annotations

from django.apps import AppConfig


class Records(AppConfig):
    """The stored collection."""

    name = "footring.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"
