"""The people of a society: who is there, what each may do, and who is invited."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps

from django.conf import settings
from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from footring.records.invitations import DAYS, invite
from footring.records.models import Invitation, Role, User
from footring.terms.errors import BadInput
from footring.web.access import allow

View = Callable[..., HttpResponse]


def _of_a_society(view: View) -> View:
    """A collection kept alone has no such page."""

    @wraps(view)
    def shown(request: HttpRequest, **given: int) -> HttpResponse:
        if not settings.SOCIETY:
            raise Http404
        return view(request, **given)

    return shown


def _page(request: HttpRequest, **more: object) -> HttpResponse:
    open_still = Invitation.objects.filter(used_by=None, until__gt=timezone.now()).select_related("account")
    told = {"people": User.objects.order_by("username"), "invitations": open_still, "roles": Role.choices, "days": DAYS}
    return render(request, "people/people.html", told | more)


@allow(Role.KEEPER)
@require_safe
@_of_a_society
def people(request: HttpRequest) -> HttpResponse:
    """Everybody, and who is invited."""
    return _page(request)


@allow(Role.KEEPER)
@require_POST
@_of_a_society
def invite_somebody(request: HttpRequest) -> HttpResponse:
    """A way in for somebody new; its address is shown once."""
    return _told_once(request, invite(_role(request), request.user))


@allow(Role.KEEPER)
@require_POST
@_of_a_society
def new_way_in(request: HttpRequest, user_id: int) -> HttpResponse:
    """A way in for somebody who lost their password."""
    of = get_object_or_404(User, pk=user_id)
    return _told_once(request, invite(Role(of.role), request.user, of))


def _told_once(request: HttpRequest, token: str) -> HttpResponse:
    return _page(request, address=request.build_absolute_uri(reverse("invited", args=[token])))


def _role(request: HttpRequest) -> Role:
    given = request.POST.get("role", "")
    if given not in Role.values:
        raise BadInput(f"role {given!r}: expected one of {', '.join(Role.values)}")
    return Role(given)


@allow(Role.KEEPER)
@require_POST
@_of_a_society
def change(request: HttpRequest, user_id: int) -> HttpResponse:
    """Give somebody another role, or close their account; what they did stays."""
    with transaction.atomic():
        of = get_object_or_404(User.objects.select_for_update(), pk=user_id)
        of.role, of.is_active = _role(request), bool(request.POST.get("open"))
        of.save(update_fields=["role", "is_active"])
        if not User.objects.filter(role=Role.KEEPER, is_active=True).exists():
            raise BadInput(f"{of.get_username()} is the last keeper: make somebody else a keeper first")
        if not of.is_active:
            Invitation.objects.filter(account=of, used_by=None).delete()  # would open it again
    messages.success(request, f"Kept: {of.get_username()}.")
    return redirect("people")


@allow(Role.KEEPER)
@require_POST
@_of_a_society
def take_back(request: HttpRequest, invitation_id: int) -> HttpResponse:
    """Take an invitation back that nobody has used."""
    Invitation.objects.filter(pk=invitation_id, used_by=None).delete()
    messages.success(request, "The invitation is taken back.")
    return redirect("people")
