"""Everything that was done, in order: acts, and what each changed."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class Act(models.Model):
    """One thing that a person did, whole or not at all.

    Its `revision` is one more than that of the act that was kept before it, whichever was begun first; None while it
    is being done. The highest is the revision of the collection.
    """

    at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+")
    what = models.TextField()
    tables = models.JSONField(default=list)
    revision = models.BigIntegerField(null=True, unique=True)
    undoes = models.OneToOneField("self", on_delete=models.PROTECT, null=True, related_name="undone_by")

    class Meta:
        ordering = ("-id",)

    def __str__(self) -> str:
        return self.what


class Change(models.Model):
    """A row before and after an act, each None where there was none. Rows that an act added name the act instead."""

    act = models.ForeignKey(Act, on_delete=models.PROTECT, related_name="changes")
    table = models.CharField(max_length=40)
    row_id = models.CharField(max_length=200)
    before = models.JSONField(null=True)
    after = models.JSONField(null=True)

    class Meta:
        indexes = (models.Index(fields=["table", "row_id"]),)
