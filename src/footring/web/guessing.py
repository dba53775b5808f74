"""Who guesses at passwords is made to wait. The count stands in the database, so that every process keeps it."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpRequest
from django.utils import timezone

from footring.records.models import FailedSignIn
from footring.terms.errors import BadInput

WAIT = timedelta(minutes=15)
KEPT = timedelta(days=1)
MOST_TOGETHER, MOST_ADDRESS, MOST_ACCOUNT = 5, 20, 50
"""Failures within `WAIT` of one account from one address, from one address, and of one account from anywhere."""
_LONGEST = 150


def address_of(request: HttpRequest) -> str:
    """Where a request comes from; the server has put there what the proxy said, where one was trusted."""
    return request.META.get("REMOTE_ADDR", "")[:45]


def stop_guessing(account: str, address: str) -> None:
    """Refuse to look at a password at all.

    Raises
    ------
    BadInput
        There were too many wrong ones.
    """
    late = FailedSignIn.objects.filter(at__gt=timezone.now() - WAIT)
    name = _plain(account)
    limits = (
        (late.filter(account=name, address=address), MOST_TOGETHER),
        (late.filter(address=address), MOST_ADDRESS),
        (late.filter(account=name), MOST_ACCOUNT),
    )
    if any(tries.count() >= most for tries, most in limits):
        minutes = WAIT.seconds // 60
        raise BadInput(f"too many wrong tries: wait {minutes} minutes, or ask a keeper for a new way in")


def failed(account: str, address: str) -> None:
    """Count a wrong name or password; those of other days are forgotten."""
    FailedSignIn.objects.filter(at__lt=timezone.now() - KEPT).delete()
    FailedSignIn.objects.create(account=_plain(account), address=address)


def succeeded(account: str, address: str) -> None:
    """Forget the wrong tries of who then got in."""
    FailedSignIn.objects.filter(account=_plain(account), address=address).delete()


def _plain(account: str) -> str:
    return account.strip().casefold()[:_LONGEST]
