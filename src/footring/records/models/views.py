"""What somebody asks the list for again and again."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class SavedView(models.Model):
    """A view of what is at home that a person gave a name: what was asked for, as in the address."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="views")
    name = models.CharField(max_length=60)
    query = models.TextField()

    class Meta:
        ordering = ("name",)
        constraints = (models.UniqueConstraint(fields=["user", "name"], name="one_view_of_a_name"),)

    def __str__(self) -> str:
        return self.name
