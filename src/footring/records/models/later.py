"""What somebody means to look at again."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class LaterCheck(models.Model):
    """A question to come back to: what is to be checked, of which row if of one, and when it was settled.

    It says nothing of the ware, so that it is no statement and counts for nothing.
    """

    what = models.TextField()
    table = models.CharField(max_length=40, blank=True)
    row_id = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now_add=True)
    done_at = models.DateTimeField(null=True)
    done_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ("-id",)
        indexes = (models.Index(fields=["table", "row_id"]),)

    def __str__(self) -> str:
        return self.what
