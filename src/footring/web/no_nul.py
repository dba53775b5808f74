"""What no database holds and nobody types is refused before any page sees it."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

from footring.web.errors import told


class NoNul:
    """Refuses what has a NUL in it: PostgreSQL holds none in a text, and a name of a file ends there."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_: object) -> HttpResponse | None:
        """None to go on; else a page that says what was wrong. The API refuses it by its own description."""
        if request.resolver_match.namespace == "api":
            return None
        given = (request.path, *_texts(request.GET), *_texts(request.POST))
        if any("\0" in text for text in given):
            return told(request, "A character was sent that no text holds (NUL): type it again, without.", 400)
        return None


def _texts(given: object) -> list[str]:
    return [text for name, values in given.lists() for text in (name, *values)]
