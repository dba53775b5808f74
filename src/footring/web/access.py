"""Who may see a page. A page says so itself; one that says nothing is seen by nobody."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse

from footring.records.models import Role

View = TypeVar("View", bound=Callable[..., HttpResponse])
ANYONE = "anyone"


def allow(role: Role | str) -> Callable[[View], View]:
    """Let those see a page who have this role or a higher one; `ANYONE` for pages without an account."""

    def marked(view: View) -> View:
        view.allowed = role  # type: ignore[attr-defined]
        return view

    return marked


class OnlyWhoMay:
    """Turns away whom the page was not meant for."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, view: Callable[..., HttpResponse], *_: object) -> HttpResponse | None:
        """None to go on; else the way to sign in."""
        role = getattr(view, "allowed", None)
        if role == ANYONE:
            return None
        if not request.user.is_authenticated:
            return redirect_to_login(request.get_full_path())
        if role is None or not request.user.may(Role(role)):
            raise PermissionDenied
        return None
