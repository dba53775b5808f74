"""Ways into a society's collection: each works once, for a role, until a day."""

from __future__ import annotations

import hashlib
import secrets
from datetime import timedelta

from django.db import transaction
from django.utils import timezone

from footring.records.models import Invitation, Role, User
from footring.terms.errors import BadInput

DAYS = 7


def hash_of(token: str) -> str:
    """What is kept of a token: it is drawn at random, so that a plain hash cannot be guessed back."""
    return hashlib.sha256(token.encode()).hexdigest()


def invite(role: Role, by: User | None, account: User | None = None) -> str:
    """A new invitation; its token is told here and never again."""
    token = secrets.token_urlsafe(32)
    until = timezone.now() + timedelta(days=DAYS)
    Invitation.objects.create(token_hash=hash_of(token), role=role, invited_by=by, account=account, until=until)
    return token


def first_invitation() -> str | None:
    """A way in for the keeper of a collection into which no keeper can sign in yet; None where one can."""
    keepers = list(User.objects.filter(role=Role.KEEPER, is_active=True).order_by("pk"))
    if any(keeper.has_usable_password() for keeper in keepers):
        return None
    Invitation.objects.filter(role=Role.KEEPER, invited_by=None, used_by=None).delete()
    return invite(Role.KEEPER, None, keepers[0] if keepers else None)


def new_way_in(name: str) -> str:
    """A way in for an account whose password is lost, given by whoever runs the server.

    Raises
    ------
    BadInput
        There is no such account, or it was closed.
    """
    account = User.objects.filter(username=name, is_active=True).first()
    if account is None:
        raise BadInput(f"{name!r}: expected the name of an account that is open; names are told apart by every letter")
    return invite(Role(account.role), None, account)


def invitation_of(token: str) -> Invitation:
    """The invitation that a token is for.

    Raises
    ------
    BadInput
        There is none, it was used, its day is past, or who gave it is no keeper any more.
    """
    open_still = Invitation.objects.select_related("account", "invited_by").filter(used_by=None)
    found = open_still.filter(token_hash=hash_of(token)).first()
    by = found.invited_by if found else None
    if found is None or found.until < timezone.now() or (by and not (by.is_active and by.may(Role.KEEPER))):
        raise BadInput("this invitation was used already, or is too old: ask a keeper for a new one")
    return found


@transaction.atomic
def accept(token: str, user: User) -> User:
    """Use an invitation up for somebody, whose name and password are set already.

    Raises
    ------
    BadInput
        It was used meanwhile.
    """
    found = invitation_of(token)
    user.role = found.account.role if found.account else found.role
    user.is_active = True
    user.save()
    if not Invitation.objects.filter(pk=found.pk, used_by=None).update(used_by=user):
        raise BadInput("this invitation was used already, or is too old: ask a keeper for a new one")
    return user
