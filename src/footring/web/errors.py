"""What went wrong, told on a page in the same sentence as on the command line."""

from __future__ import annotations

from collections.abc import Callable

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from footring.terms.errors import FootringError


class ToldPlainly:
    """A page that could not do what was asked says why; nothing of it was kept."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """A page for errors that are told; None for others, which are faults of ours."""
        if isinstance(error, FootringError):
            return told(request, str(error), 400)
        if isinstance(error, (OperationalError, OSError)):
            return told(request, f"The collection could not be written or read: {error}. Nothing was changed.", 503)
        return None


def told(request: HttpRequest, text: str, status: int) -> HttpResponse:
    """A page, or a line of one, with what went wrong."""
    return render(request, "problem.html", {"problem": text, "status": status}, status=status)


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:  # noqa: ARG001 (Django gives it)
    """A page that is not for whoever asks."""
    return told(request, "This page is not for your role. Ask a keeper of the collection.", 403)


def missing(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:  # noqa: ARG001 (Django gives it)
    """No such page, or nothing of that id."""
    return told(request, "There is nothing here: the address is wrong, or what it named was taken away.", 404)


def broken(request: HttpRequest) -> HttpResponse:
    """A fault of ours."""
    return told(request, "Something is wrong in Footring itself. Nothing was changed. Please report what you did.", 500)
