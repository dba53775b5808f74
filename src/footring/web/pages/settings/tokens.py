"""Tokens: ways in for programs, made and revoked by whom they act for."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from footring.records.models import Role
from footring.terms.errors import BadInput
from footring.web.access import allow
from footring.web.api.tokens import new_token

MOST = 20
LONGEST = 60


@allow(Role.GUEST)
@require_POST
def make(request: HttpRequest) -> HttpResponse:
    """A new token; it is shown once."""
    name = request.POST.get("name", "").strip()[:LONGEST]
    if not name:
        raise BadInput("a token needs a name: say which program it is for")
    if request.user.tokens.count() >= MOST:
        raise BadInput(f"you have {MOST} tokens already: revoke one first")
    return render(request, "settings/token.html", {"name": name, "token": new_token(request.user, name)})


@allow(Role.GUEST)
@require_POST
def revoke(request: HttpRequest, token_id: int) -> HttpResponse:
    """Let a token let nobody in any more."""
    request.user.tokens.filter(pk=token_id).delete()
    messages.success(request, "That token is revoked.")
    return redirect("settings")
