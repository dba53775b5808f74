"""What went wrong, told on a page in the same sentence as on the command line."""

from __future__ import annotations

import sys
from collections.abc import Callable

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from footring.terms.errors import FootringError

FAILED = (OperationalError, OSError)
"""A disk, a store or the database does not do what it should."""


class ToldPlainly:
    """A page that could not do what was asked says why; nothing of it was kept."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        if answer.status_code == 405 and not answer.content:
            text = "Nothing is done at this address in this way: go back, and use the page that you came from."
            page = told(request, text, 405)
            page.headers["Allow"] = answer.headers["Allow"]  # RFC 9110, 15.5.6
            return page
        return answer

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """A page for errors that are told; None for others, which are faults of ours."""
        if isinstance(error, FootringError):
            return told(request, str(error), 400)
        if isinstance(error, FAILED):
            return _failed(request, error)
        return None


def why(error: Exception) -> str:
    """What went wrong with a disk, a store or the database, without the file or the machine that it went wrong with."""
    told = getattr(error, "strerror", None) or str(error)
    lost = isinstance(error, OperationalError) and "connection" in told.casefold()
    return "the database cannot be reached" if lost else told


def sentence(error: Exception) -> str:
    """What is said of one of `FAILED`."""
    return f"The collection could not be written or read: {why(error)}. Nothing was changed."


def _failed(request: HttpRequest, error: Exception) -> HttpResponse:
    return told(request, sentence(error), 503)


HEADINGS = {403: "Not let in", 404: "Not here", 500: "A fault of ours"}


def told(request: HttpRequest, text: str, status: int) -> HttpResponse:
    """A page, or a line of one, with what went wrong."""
    heading = HEADINGS.get(status, "Not done")
    return render(request, "problem.html", {"problem": text, "heading": heading}, status=status)


def stale(request: HttpRequest, reason: str = "") -> HttpResponse:  # noqa: ARG001 (Django gives it)
    """A form that was shown before somebody signed in or out, or by another site."""
    return told(request, "This form is of an earlier session: go back, load its page again, and send it again.", 403)


def forbidden(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:  # noqa: ARG001 (Django gives it)
    """A page that is not for whoever asks."""
    return told(request, "This page is not for your role. Ask a keeper of the collection.", 403)


def missing(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:  # noqa: ARG001 (Django gives it)
    """No such page, or nothing of that id."""
    return told(request, "There is nothing here: the address is wrong, or what it named was taken away.", 404)


def broken(request: HttpRequest) -> HttpResponse:
    """A fault of ours, or a disk that was full before any page was asked: what is sent is read before."""
    error = sys.exc_info()[1]
    if isinstance(error, FAILED):
        return _failed(request, error)
    return told(request, "Something is wrong in Footring itself. Nothing was changed. Please report what you did.", 500)
