"""Who works with a collection, and what each may do."""

from __future__ import annotations

from django.contrib.auth.models import AbstractUser
from django.db import models


class Role(models.TextChoices):
    """What a person may do, the most first."""

    KEEPER = "keeper", "keeper: everything"
    CURATOR = "curator", "curator: the reference and all pieces"
    MEMBER = "member", "member: own pieces, and claims for others to weigh"
    GUEST = "guest", "guest: what is published, nothing else"

    @property
    def rank(self) -> int:
        """0 for a guest, more for who may do more."""
        return len(Role) - 1 - list(Role).index(self)


class Paper(models.TextChoices):
    """Light or dark pages."""

    AS_THE_MACHINE = "auto", "as this machine has it"
    LIGHT = "light", "light"
    DARK = "dark", "dark"


class User(AbstractUser):
    """Somebody with an account. The one person of a collection kept alone is its keeper.

    How things are shown: `inches` instead of millimetres, "shape" instead of "form", years written out (1934-1939)
    instead of short (1934-39), and light or dark `paper`.
    """

    role = models.CharField(max_length=8, choices=Role, default=Role.GUEST)
    inches = models.BooleanField(default=False)
    says_shape = models.BooleanField(default=False)
    whole_years = models.BooleanField(default=False)
    paper = models.CharField(max_length=5, choices=Paper, default=Paper.AS_THE_MACHINE)

    @property
    def form_word(self) -> str:
        """What this person calls a form."""
        return "shape" if self.says_shape else "form"

    def may(self, role: Role) -> bool:
        """Whether this person may do what a role may."""
        return self.is_active and Role(self.role).rank >= role.rank


class Invitation(models.Model):
    """A way in for one person, once, until a day. Only a hash of its token is kept.

    `account` is whose it is where they have one already, and only need a new password.
    """

    token_hash = models.CharField(max_length=64, unique=True)
    role = models.CharField(max_length=8, choices=Role)
    invited_by = models.ForeignKey(User, on_delete=models.CASCADE, null=True, related_name="+")
    account = models.ForeignKey(User, on_delete=models.CASCADE, null=True, related_name="+")
    until = models.DateTimeField()
    used_by = models.ForeignKey(User, on_delete=models.SET_NULL, null=True, related_name="+")
