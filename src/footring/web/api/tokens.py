"""Ways in for programs: each acts for the person who made it, with that person's role, until it is revoked."""

from __future__ import annotations

import secrets
from datetime import timedelta

from django.db.models import Q
from django.http import HttpRequest
from django.utils import timezone
from ninja.errors import HttpError
from ninja.security import HttpBearer

from footring.records.invitations import hash_of
from footring.records.models import ApiToken, Role, User

BEGINS = "footring_"
NOTED_EVERY = timedelta(hours=1)
"""How exactly it is noted when a token was last used: not at each request, since every note is written."""


def new_token(user: User, name: str) -> str:
    """A token in somebody's name; told here and never again."""
    token = BEGINS + secrets.token_urlsafe(32)
    ApiToken.objects.create(user=user, name=name, token_hash=hash_of(token))
    return token


class TokenOf(HttpBearer):
    """Lets in whoever brings a token of somebody with a role, or a higher one. Cookies count for nothing."""

    def __init__(self, role: Role) -> None:
        super().__init__()
        self.role = role

    def authenticate(self, _: HttpRequest, token: str) -> User | None:
        """The person a token acts for; None where there is none."""
        found = ApiToken.objects.select_related("user").filter(token_hash=hash_of(token), user__is_active=True).first()
        if found is None:
            return None
        if not found.user.may(self.role):
            raise HttpError(
                403, f"this is for a {self.role} or more, and {found.user.get_username()} is a {found.user.role}"
            )
        now = timezone.now()
        seldom = Q(last_used=None) | Q(last_used__lt=now - NOTED_EVERY)
        if found.last_used is None or found.last_used < now - NOTED_EVERY:
            ApiToken.objects.filter(seldom, pk=found.pk).update(last_used=now)
        return found.user
