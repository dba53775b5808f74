"""What lets programs in, and what keeps guessers out."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class ApiToken(models.Model):
    """A way in for a program, in somebody's name, until it is revoked. Only a hash of it is kept."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="tokens")
    name = models.CharField(max_length=60)
    token_hash = models.CharField(max_length=64, unique=True)
    made = models.DateTimeField(auto_now_add=True)
    last_used = models.DateTimeField(null=True)

    class Meta:
        ordering = ("id",)

    def __str__(self) -> str:
        return self.name


class FailedSignIn(models.Model):
    """Somebody gave a wrong name or password."""

    account = models.CharField(max_length=150, db_index=True)
    address = models.CharField(max_length=45, db_index=True)
    at = models.DateTimeField(auto_now_add=True, db_index=True)
