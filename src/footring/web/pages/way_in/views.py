"""Coming in with a launch token, signing in and out."""

from __future__ import annotations

from django.conf import settings
from django.contrib.auth import login, logout
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from footring.records.models import Role, User
from footring.web.access import ANYONE, allow
from footring.web.errors import told
from footring.web.launch import redeem


@allow(ANYONE)
@require_GET
def enter(request: HttpRequest, token: str) -> HttpResponse:
    """The one person of a collection kept alone comes in; the token is then used up."""
    if settings.SOCIETY:
        raise Http404
    if not redeem(token):
        return told(request, "This way in was used already. Run footring open again for a new one.", 403)
    login(request, User.objects.get(username="keeper"), backend="django.contrib.auth.backends.ModelBackend")
    return redirect("examine")


@allow(ANYONE)
@require_GET
def closed(request: HttpRequest) -> HttpResponse:
    """Nobody is signed in, and nobody can sign in: this collection is kept by one person."""
    return render(request, "way_in/closed.html", status=403)


@allow(Role.GUEST)
@require_POST
def leave(request: HttpRequest) -> HttpResponse:
    """Sign out."""
    logout(request)
    return redirect("sign-in")
