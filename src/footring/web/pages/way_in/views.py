"""Coming in with a launch token or an invitation, signing in and out, changing one's password."""

from __future__ import annotations

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import authenticate, login, logout, update_session_auth_hash
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render, resolve_url
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from footring.records.invitations import accept, invitation_of
from footring.records.models import Role, User
from footring.terms.errors import BadInput
from footring.web.access import ANYONE, allow
from footring.web.errors import told
from footring.web.guessing import address_of, failed, stop_guessing, succeeded
from footring.web.launch import redeem
from footring.web.pages.way_in.forms import NewAccount, NewPassword, SignIn

BACKEND = "django.contrib.auth.backends.ModelBackend"


@allow(ANYONE)
@require_safe
def enter(request: HttpRequest, token: str) -> HttpResponse:
    """The one person of a collection kept alone comes in; the token is then used up."""
    if settings.SOCIETY:
        raise Http404
    if not redeem(token):
        return told(request, "This way in was used already. Run footring open again for a new one.", 403)
    login(request, User.objects.get(username="keeper"), backend=BACKEND)
    return redirect("examine")


@allow(ANYONE)
@sensitive_post_parameters("password")
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Sign in with a name and a password; a collection kept by one person has none."""
    if not settings.SOCIETY:
        return render(request, "way_in/closed.html", status=403)
    form = SignIn(request.POST or None)
    problem, status = "", 200
    if request.method == "POST" and form.is_valid():
        problem, status = _signed_in(request, form.cleaned_data["username"], form.cleaned_data["password"])
        if not problem:
            return redirect(_onwards(request))
    return render(request, "way_in/sign_in.html", {"form": form, "problem": problem}, status=status)


def _signed_in(request: HttpRequest, account: str, password: str) -> tuple[str, int]:
    """Why somebody is not signed in, and the status; the first is empty where they are."""
    address = address_of(request)
    try:
        stop_guessing(account, address)
    except BadInput as error:
        return str(error), 429
    user = authenticate(request, username=account, password=password)
    if user is None:
        failed(account, address)
        return "that name and password do not belong together: try again, or ask a keeper for a new way in", 403
    succeeded(account, address)
    login(request, user)
    return "", 302


def _onwards(request: HttpRequest) -> str:
    """Where somebody wanted to go, if that is here."""
    wanted = request.POST.get("next") or request.GET.get("next", "")
    here = url_has_allowed_host_and_scheme(wanted, {request.get_host()}, require_https=request.is_secure())
    return wanted if here else first_page(request.user)


def first_page(user: User) -> str:
    """Where somebody begins."""
    return resolve_url("examine" if user.may(Role.MEMBER) else "reference")


@allow(ANYONE)
@sensitive_post_parameters("password", "again")
@require_http_methods(["GET", "HEAD", "POST"])
def invited(request: HttpRequest, token: str) -> HttpResponse:
    """Choose a name and a password; the invitation is then used up."""
    if not settings.SOCIETY:
        raise Http404
    try:
        invitation = invitation_of(token)
        form = NewAccount(request.POST or None, account=invitation.account)
        if request.method == "POST" and form.is_valid():
            login(request, accept(token, form.user()), backend=BACKEND)
            return redirect(first_page(request.user))
    except BadInput as error:
        return told(request, str(error), 403)
    return render(request, "way_in/invited.html", {"form": form, "role": Role(invitation.role).label})


@allow(Role.GUEST)
@sensitive_post_parameters()
@require_http_methods(["GET", "HEAD", "POST"])
def password(request: HttpRequest) -> HttpResponse:
    """Change one's password; whoever else is signed in under one's name is signed out."""
    if not settings.SOCIETY:
        raise Http404
    form = NewPassword(request.user, request.POST or None)
    if request.method == "POST" and form.is_valid():
        update_session_auth_hash(request, form.save())
        messages.success(request, "Your password is changed. Wherever else you were signed in, you are signed out.")
        return redirect("settings")
    return render(request, "way_in/password.html", {"form": form})


@allow(Role.GUEST)
@require_POST
def leave(request: HttpRequest) -> HttpResponse:
    """Sign out."""
    logout(request)
    return redirect("sign-in")
